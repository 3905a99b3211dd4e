"""Practising with a new maker: each phrase is asked for, heard and judged, and in the end it is said what would help.

The same practice is led aloud, in writing, or over recordings.
"""

from __future__ import annotations

import json
import math
import re
import sys
import time
from collections.abc import Iterable
from pathlib import Path

from companion.aloud import Aloud, opened_aloud
from companion.ear import practise as ear_practise
from companion.ear.practise import PHRASES, Advice, Attempt
from companion.ear.stream import Listener, Utterance
from companion.garbage import collect
from companion.pattern.reader import read
from companion.phrases.phrasebook import Phrasebook
from companion.settings import Settings
from companion.wording.numbers import cardinal
from companion.wording.speaker import Wording, together

CONTEXTS = frozenset({"idle"})
_TRIES = 2  # a phrase may be said, the last one counts
_PATIENCE = 10.0  # seconds that a maker has to begin
_EARLY = 5  # frames by which an answer may begin before the last sound of its question
_DEAF_AFTER = 4  # silences in a row: the microphone gives nothing
_LAST_WORDS = 60.0  # seconds waited for the report to be spoken
_END = "that's all for today"
_ADVICE: dict[Advice, str] = {
    "louder or nearer": "practice_louder",
    "softer or further": "practice_softer",
    "less noise": "practice_noise",
}


class Practice:
    """What is asked and what came of it. It knows no sound: whoever leads it hands over each attempt."""

    def __init__(self, book: Phrasebook, *, tries: int = _TRIES) -> None:
        self.book = book
        self._wording = Wording(read(""))
        self._tries = tries
        self._tried = 0
        self._attempts: list[Attempt] = []
        self._left = list(PHRASES)
        self._silences = 0

    @property
    def phrase(self) -> str:
        """The phrase that is asked for now."""
        return self._left[0]

    @property
    def over(self) -> bool:
        """Whether all phrases are done, or nothing was heard for so long that there is no sense in going on."""
        return not self._left or self._silences >= _DEAF_AFTER

    def begin(self) -> str:
        """The first words."""
        return together(self._line("practice_begin", count=cardinal(len(PHRASES))), self._ask())

    def take(self, attempt: Attempt) -> str:
        """Takes what was made of the phrase; gives what is said to it, and the next phrase."""
        self._tried += 1
        silent = attempt.result == "not heard" and attempt.speech_level == -math.inf
        self._silences = self._silences + 1 if silent else 0
        if attempt.result != "good" and self._tried < self._tries and not self.over:
            line = {"unsure": "practice_unsure", "other": "practice_wrong"}.get(
                attempt.result, "practice_silence" if silent else "practice_missed"
            )
            return self._line(line, phrase=attempt.phrase, heard=attempt.heard)
        self._attempts.append(attempt)
        self._left.pop(0)
        self._tried = 0
        right = self._line("practice_right") if attempt.result == "good" else ""
        return together(right, self._ask())

    def closing(self) -> str:
        """How it went, and what would help."""
        if self._silences >= _DEAF_AFTER:
            return self._line("practice_no_sound")
        if not self._attempts:
            return ""
        report = ear_practise.report(self._attempts, self.book)
        right = len(report.attempts) - len(report.badly_heard)
        told = [self._line("practice_end", right=cardinal(right), all=cardinal(len(report.attempts)))]
        if report.badly_heard:
            told.append(self._line("practice_badly", phrases=", ".join(report.badly_heard)))
        told += [self._line(_ADVICE[each]) for each in report.advice if each in _ADVICE]
        for phrase, ways in report.other_ways.items():
            if ways:
                told.append(self._line("practice_other", phrase=phrase, ways=", or ".join(ways)))
        return together(*told)

    def as_json(self) -> str:
        """The report as the last line of `work --practise --json`."""
        report = ear_practise.report(self._attempts, self.book)
        ways = {phrase: list(found) for phrase, found in report.other_ways.items()}
        told = {"badly_heard": list(report.badly_heard), "advice": list(report.advice), "other_ways": ways}
        return json.dumps(told | {"reply": self.closing()}, ensure_ascii=False)

    def _ask(self) -> str:
        return "" if self.over else self._line("practice_say", phrase=self.phrase)

    def _line(self, name: str, **slots: str) -> str:
        return self._wording.line(name, **{slot: re.sub(r"\bi\b", "I", words) for slot, words in slots.items()})


def practise_typed(lines: Iterable[str], *, as_json: bool) -> None:
    """One line for each phrase asked for."""
    practice = Practice(Phrasebook())
    _show(practice.begin(), as_json)
    for line in lines:
        attempt = ear_practise.typed_attempt(practice.phrase, line.strip(), practice.book)
        _told(attempt, practice.take(attempt), as_json)
        if practice.over:
            break
    print(practice.as_json() if as_json else practice.closing(), flush=True)


def practise_recordings(recordings: Iterable[Path], *, ear: str, as_json: bool) -> None:
    """A recording for each phrase, in order. Raises `MakerError` for a file that cannot be read, or a missing model."""
    from companion.ear.choose import choose
    from companion.ear.hear import hear_recording
    from companion.ear.voice import SileroVoiceActivity

    practice = Practice(Phrasebook(), tries=1)
    name, recogniser = choose(ear)
    activity = SileroVoiceActivity()
    for phrase, recording in zip(PHRASES, recordings, strict=False):
        heard = hear_recording(recording, recogniser, practice.book, activity, CONTEXTS, ear=name)
        attempt = ear_practise.attempt(phrase, heard.utterance, practice.book)
        practice.take(attempt)
        _told(attempt, f"{recording}, {phrase}: {_outcome(attempt)}", as_json)
    print(practice.as_json() if as_json else practice.closing(), flush=True)


def practise_aloud(*, ear: str, as_json: bool, settings: Settings) -> None:
    """With microphone and loudspeaker, as in a session. "That's all for today" ends it. Raises `MakerError`."""
    practice = Practice(Phrasebook())
    with (
        opened_aloud(settings, ear, trouble=lambda sentence: print(sentence, file=sys.stderr)) as aloud,
        aloud.listener(practice.book, CONTEXTS) as listener,
    ):
        aloud.settle(listener)
        lead = _Lead(aloud, listener)
        words = practice.begin()
        _show(words, as_json)
        while not practice.over:
            lead.say(words)
            utterance = lead.answer()
            if lead.ended or (utterance is not None and _goodbye(utterance)):
                break
            attempt = ear_practise.attempt(practice.phrase, utterance, practice.book)
            words = practice.take(attempt)
            _told(attempt, words, as_json)
            collect()
        print(practice.as_json() if as_json else practice.closing(), flush=True)
        lead.say(practice.closing())
        aloud.audio.wait(_LAST_WORDS)


class _Lead:
    """Asks aloud and waits for the answer."""

    def __init__(self, aloud: Aloud, listener: Listener) -> None:
        self._aloud = aloud
        self._listener = listener
        self._fed = 0  # frames
        self.ended = False

    def say(self, words: str) -> None:
        """Says it to its end; what is heard meanwhile is no answer."""
        self._aloud.replies.say(words)
        while self._aloud.replies.unfinished or self._aloud.audio.playing:
            self._frame()

    def answer(self) -> Utterance | None:
        """What the maker says next; None where nothing is said in time, or the maker ends it by a key."""
        asked = self._fed - _EARLY
        end = time.monotonic() + _PATIENCE
        while not self.ended and (time.monotonic() < end or self._listener.hears_speech):
            for utterance in self._frame():
                if self._fed - (utterance.decided - utterance.began) >= asked:
                    return utterance
        return None

    def _frame(self) -> tuple[Utterance, ...]:
        self.ended = self.ended or _END in self._aloud.keys.pressed()
        self._listener.prepare()
        frame = self._aloud.audio.read()
        if frame is None:
            return ()
        self._fed += 1
        return self._listener.feed(frame)


def _goodbye(utterance: Utterance) -> bool:
    verdict = utterance.verdict
    return verdict.decision == "act" and verdict.commands[0].name == "goodbye"


def _show(words: str, as_json: bool) -> None:
    print(json.dumps({"reply": words}, ensure_ascii=False) if as_json else words, flush=True)


def _told(attempt: Attempt, words: str, as_json: bool) -> None:
    """One line for each attempt. Levels are in dB of full scale, null where nothing was measured."""
    if not as_json:
        print(words, flush=True)
        return
    told = {
        "phrase": attempt.phrase,
        "heard": attempt.heard,
        "result": attempt.result,
        "score": round(attempt.score, 4),
        "speech_level": _decibels(attempt.speech_level),
        "room_level": _decibels(attempt.room_level),
        "reply": words,
    }
    print(json.dumps(told, ensure_ascii=False), flush=True)


def _decibels(level: float) -> float | None:
    return round(level, 1) if math.isfinite(level) else None


def _outcome(attempt: Attempt) -> str:
    match attempt.result:
        case "good":
            return "understood."
        case "unsure":
            return f'heard as "{attempt.heard}", but not surely enough to act on.'
        case "other":
            return f'taken for "{attempt.heard}".'
        case _:
            return "not heard."
