"""`companion write-down` with no devices: takes a pattern down from typed lines or recordings."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from companion.dictation.dictating import Dictating
from companion.dictation.turn import Turn
from companion.settings import remember_spoken


def from_lines(dictating: Dictating, lines: Iterable[str], *, as_json: bool) -> None:
    """Takes one utterance a line until the pattern is finished or the lines end; prints a turn as it comes."""
    _show(dictating.opening(), as_json)
    for line in lines:
        if line.strip():
            for turn in dictating.typed(line.strip()):
                remember_spoken(turn)
                _show(turn, as_json)
        if dictating.state == "off":
            return
    dictating.end()


def from_recordings(dictating: Dictating, recordings: Iterable[Path], *, ear: str, as_json: bool) -> None:
    """Takes recordings in order, through the same ear as a microphone; prints a turn as it comes.

    Raises `MakerError` for a file that cannot be read, or where the speech model is missing.
    """
    from companion.ear.choose import choose
    from companion.ear.hear import hear_recording
    from companion.ear.voice import SileroVoiceActivity

    name, recogniser = choose(ear)
    voice = SileroVoiceActivity()
    _show(dictating.opening(), as_json)
    for recording in recordings:
        heard = hear_recording(recording, recogniser, dictating.phrasebook, voice, dictating.contexts, ear=name)
        for turn in dictating.heard(heard.verdict) or (dictating.not_for_us(heard.verdict.text),):
            _show(turn, as_json)
        if dictating.state == "off":
            return
    dictating.end()


def _show(turn: Turn, as_json: bool) -> None:
    text = turn.as_json() if as_json else turn.reply
    if text:
        print(text, flush=True)
