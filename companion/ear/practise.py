"""Practising with a new maker: ten phrases, how well each is heard on this microphone, and what would help.

This room measures and judges; how it is said belongs to the wording.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from companion.ear.recogniser import Samples
from companion.ear.stream import PRE_ROLL, Utterance
from companion.ear.voice import FRAME
from companion.phrases.numbers import in_words
from companion.phrases.phrasebook import Phrasebook

PHRASES = (
    "next round",
    "how many stitches are left",
    "i have done sixteen",
    "go back two rounds",
    "three more",
    "undo that",
    "where am i",
    "say that again",
    "i counted thirty stitches",
    "stop",
)
"""Ten phrases between them hold the moves that matter, numbers that sound alike, and short words."""

Result = Literal["good", "unsure", "other", "not heard"]
"""good: acted on. unsure: right, but it would ask. other: taken for something else. not heard: not understood."""

Advice = Literal["louder or nearer", "softer or further", "less noise", "other words"]

_FAINT = -45.0  # dB of full scale, speech
_NOISY = 12.0  # dB between speech and room
_CLIPPED = 0.99
_OFTEN = 0.002  # share of samples at the limit


@dataclass(frozen=True, slots=True)
class Attempt:
    """One phrase as it was heard. Levels are in dB of full scale; `heard` is the text, if there was one."""

    phrase: str
    result: Result
    heard: str
    score: float
    speech_level: float
    room_level: float
    clipped: bool


@dataclass(frozen=True, slots=True)
class Report:
    """How the practice went: the phrases heard badly, and what would help, the most helpful first.

    `other_ways` gives for each badly heard phrase other sentences with the same meaning.
    """

    attempts: tuple[Attempt, ...]
    badly_heard: tuple[str, ...]
    advice: tuple[Advice, ...]
    other_ways: dict[str, tuple[str, ...]]


def attempt(phrase: str, utterance: Utterance | None, phrasebook: Phrasebook) -> Attempt:
    """Judge one phrase by what the listener made of it; None where it heard no speech."""
    if utterance is None:
        return Attempt(phrase, "not heard", "", 0.0, -np.inf, -np.inf, False)
    verdict = utterance.verdict
    result: Result
    if verdict.decision == "ignore" or not verdict.commands:
        result = "not heard"
    elif verdict.commands != phrasebook.parse(phrase):
        result = "other"
    else:
        result = "good" if verdict.decision == "act" else "unsure"
    speech, room = _levels(utterance)
    clipped = bool(np.mean(np.abs(utterance.sound) >= _CLIPPED) > _OFTEN)
    return Attempt(phrase, result, verdict.text, verdict.score, speech, room, clipped)


def typed_attempt(phrase: str, text: str, phrasebook: Phrasebook) -> Attempt:
    """Judge one phrase by what was typed for it: the words alone, since there is no sound to measure."""
    commands = phrasebook.parse(text)
    result: Result = "good" if commands == phrasebook.parse(phrase) else "other" if commands else "not heard"
    return Attempt(phrase, result, text, float(bool(commands)), np.inf, -np.inf, False)


def report(attempts: Sequence[Attempt], phrasebook: Phrasebook) -> Report:
    """What the attempts say together."""
    bad = [each for each in attempts if each.result != "good"]
    advice: list[Advice] = []
    if any(each.clipped for each in bad):
        advice.append("softer or further")
    if any(each.speech_level < _FAINT for each in bad):
        advice.append("louder or nearer")
    if any(each.speech_level - each.room_level < _NOISY for each in bad if np.isfinite(each.speech_level)):
        advice.append("less noise")
    if bad:
        advice.append("other words")
    ways = {each.phrase: other_ways(each.phrase, phrasebook) for each in bad}
    return Report(tuple(attempts), tuple(each.phrase for each in bad), tuple(advice), ways)


def other_ways(phrase: str, phrasebook: Phrasebook) -> tuple[str, ...]:
    """Other sentences that mean what `phrase` means, from the examples of its command with the numbers put in."""
    commands = phrasebook.parse(phrase)
    names = {command.name for command in commands}
    numbers = [value for command in commands for value in command.slots.values() if isinstance(value, int)]
    found = []
    for example in (example for each in phrasebook.phrases if each.name in names for example in each.examples):
        for command in phrasebook.parse(example):
            for value, wanted in zip(command.slots.values(), numbers, strict=False):
                if isinstance(value, int):
                    example = example.replace(in_words(value), in_words(wanted))
        if example != phrase and phrasebook.parse(example) == commands:
            found.append(example)
    return tuple(found)[:3]


def _levels(utterance: Utterance) -> tuple[float, float]:
    """Level of the speech, as its louder half has it, and of the room before it, in dB of full scale."""
    frames = utterance.sound[: len(utterance.sound) // FRAME * FRAME].reshape(-1, FRAME)
    power = np.mean(np.square(frames), axis=1)
    before = power[: max(1, PRE_ROLL // 2)]
    speech = power[power >= np.median(power)]
    return _decibels(speech), _decibels(before)


def _decibels(power: Samples) -> float:
    return 10 * float(np.log10(max(float(np.mean(power)), 1e-12)))
