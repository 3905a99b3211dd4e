"""Recordings of people: numbers spoken to a telephone system, announcements, and a novel read aloud.

Sources: Debian's asterisk-core-sounds-en-wav (one woman, telephone quality) and pocketsphinx-testdata (LibriVox readers
and others).
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import numpy as np

from companion.ear.decide import judge
from companion.ear.hear import hear_recording
from companion.ear.recogniser import Recogniser, Samples
from companion.ear.recording import read_recording
from companion.ear.voice import SileroVoiceActivity
from companion.phrases.phrasebook import Phrasebook

ANNOUNCEMENTS = Path("/usr/share/asterisk/sounds/en_US_f_Allison")
READINGS = Path("/usr/share/pocketsphinx/test/data")
_COMMANDS = {"hello", "goodbye", "one-moment-please", "please-try-again"}  # these are said to be understood


def report(recogniser: Recogniser, book: Phrasebook) -> None:
    """Print how a person's numbers are heard, and what is done when people talk of other things."""
    results: Counter[str] = Counter()
    answers = frozenset({"choosing"})
    quiet: Samples = np.zeros(4_000, np.float32)
    for number, sound in persons_numbers().items():
        verdict = judge(recogniser.hear(np.concatenate([quiet, sound, quiet]), book.grammar(answers)), book, answers)
        if verdict.decision == "act":
            right = number in verdict.commands[0].slots.values()
            results["right" if right else "wrong"] += 1
        else:
            results["asked" if verdict.decision == "ask" else "ignored"] += 1
    print(f"a person's numbers, 1 to 99: {dict(results)}")
    others: Counter[str] = Counter()
    voice = SileroVoiceActivity()
    recordings = [p for p in sorted(ANNOUNCEMENTS.glob("*.wav")) if p.stem not in _COMMANDS]
    recordings += sorted((READINGS / "librivox").glob("*.wav"))
    for path in recordings:
        verdict = hear_recording(path, recogniser, book, voice, frozenset({"idle"})).verdict
        others[verdict.decision] += 1
        if verdict.decision in ("act", "ask"):
            print(f"  {verdict.decision}: {path.stem}: {verdict.text!r} for {verdict.free!r}")
    print(f"people talking of other things, {len(recordings)} recordings: {dict(others)}")


def persons_numbers() -> dict[int, Samples]:
    """Each number from 1 to 99 in one woman's voice; above twenty, the tens and the ones put together."""
    digits = {n: read_recording(ANNOUNCEMENTS / "digits" / f"{n}.wav") for n in [*range(1, 21), *range(30, 100, 10)]}
    numbers = dict(digits)
    for n in range(21, 100):
        if n % 10:
            numbers[n] = np.concatenate([digits[n - n % 10], digits[n % 10]])
    return dict(sorted(numbers.items()))
