"""`companion hear`: what the ear makes of recordings, with the names of a pattern's pieces where one is given."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path

from companion.ear.choose import choose
from companion.ear.explain import explain
from companion.ear.hear import Heard, hear_recording
from companion.ear.voice import SileroVoiceActivity
from companion.phrases.phrasebook import Phrasebook


def hear_all(recordings: Iterable[Path], *, pattern: str | None, ear: str, as_json: bool) -> None:
    """Prints what was heard in each file, in order, and why it would act on it or not.

    Raises `MakerError` for a file that cannot be read.
    """
    phrasebook = Phrasebook(_pieces(pattern) if pattern else ())
    name, recogniser = choose(ear)
    voice = SileroVoiceActivity()
    for recording in recordings:
        heard = hear_recording(recording, recogniser, phrasebook, voice, ear=name)
        if as_json:
            print(json.dumps(heard.as_json(), ensure_ascii=False), flush=True)
        else:
            print("\n".join([_line(heard), *explain(heard, phrasebook, name)]), flush=True)


def _pieces(pattern: str) -> tuple[str, ...]:
    from companion.pattern.reader import read_file
    from companion.place.layout import Layout

    return Layout(read_file(pattern)).names


def _line(heard: Heard) -> str:
    verdict = heard.verdict
    what = f'"{verdict.text}"' if verdict.text else "nothing"
    return f"{heard.file}: heard {what}, score {verdict.score:.2f}, decision {verdict.decision}"
