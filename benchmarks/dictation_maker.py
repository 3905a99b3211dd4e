"""A designer who dictates aloud, listens to the answers, and answers what she is asked, until it is as she meant it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from benchmarks.ear_voices import Voice
from companion.dictation.dictating import Dictating
from companion.dictation.draft import Draft
from companion.ear.recogniser import RATE, Recogniser, Samples
from companion.ear.stream import Listener, Utterance
from companion.ear.voice import SileroVoiceActivity, frames_of
from companion.phrases.command import Command
from companion.wording.numbers import cardinal

BALL = (  # common practice, no source: six in a ring, six more a round, straight, and back
    ("new piece", "start a new piece"),
    ("six single crochet in a magic ring", "work six single crochet into a magic ring"),
    ("increase six times", "six increases"),
    ("single crochet one increase repeat six times", "one single crochet one increase six times"),
    ("single crochet two increase six times", "two single crochet one increase six times"),
    ("single crochet three increase six times", "three single crochet one increase six times"),
    ("single crochet in each stitch around", "single crochet in every stitch"),
    ("same again three times", "three more rounds the same"),
    ("single crochet three decrease six times", "three single crochet one decrease six times"),
    ("single crochet two decrease repeat six times", "two single crochet one decrease six times"),
    ("single crochet one decrease repeat six times", "one single crochet one decrease six times"),
)
"""What is said, and the other words for it that she takes where she was not understood."""
TOTALS = (6, 12, 18, 24, 30, 30, 30, 30, 30, 24, 18, 12)
"""The twelve rounds of that ball, worked out by hand."""

_QUIET = np.zeros(round(1.3 * RATE), np.float32)
_SPEEDS = (1.0, 0.9, 1.1, 0.8)  # of what is said again: nobody says it twice in just the same way


@dataclass(slots=True)
class Tally:
    """How often something was said, acted on at once, asked about, said again, acted on wrongly.

    `given_up` are sentences that did not come through at all.
    """

    said: int = 0
    at_once: int = 0
    asked: int = 0
    again: int = 0
    wrong: int = 0
    given_up: int = 0


class Designer:
    """Dictates in one voice. `meant` is a second dictation that is typed: what the first one has to become."""

    def __init__(self, voice: Voice, dictating: Dictating, meant: Dictating, recogniser: Recogniser) -> None:
        self.tally = Tally()
        self._voice = voice
        self._dictating = dictating
        self._meant = meant
        self._recogniser = recogniser
        self._activity = SileroVoiceActivity()

    def dictate(self, sentences: Iterable[tuple[str, str]]) -> Tally:
        """Says every sentence until it is in the draft as it was meant."""
        for wordings in sentences:
            self._meant.typed(wordings[0])
            self._sentence(wordings, self._dictating.phrasebook.parse(wordings[0], {"writing"}))
        return self.tally

    def _sentence(self, wordings: tuple[str, str], wanted: tuple[Command, ...]) -> None:
        before = self._dictating.draft
        for turn, (speed, words) in enumerate(product(_SPEEDS[:2], wordings)):
            self._say(words, speed)
            if turn:
                self.tally.again += 1
            if self._dictating.unsure:
                self.tally.asked += 1
                self._answer(wanted)
            elif turn == 0 and self._right():
                self.tally.at_once += 1
            if self._right():
                return
            if self._dictating.draft != before:
                self.tally.wrong += 1
                self._undo(before)
        self.tally.given_up += 1

    def _right(self) -> bool:
        return self._dictating.draft == self._meant.draft

    def _answer(self, wanted: tuple[Command, ...]) -> None:
        for speed in _SPEEDS:
            asked = self._dictating.asked
            if not asked:
                return
            if wanted in asked:
                said = "yes" if len(asked) == 1 else ("the first one", "the second one")[asked.index(wanted)]
            else:
                number = other_number(asked[0], wanted)
                said = "no" if number is None else f"no {cardinal(number)}"
            self._say(said, speed)

    def _undo(self, before: Draft) -> None:
        for speed in _SPEEDS:
            self._say("scratch that", speed)
            self._answer((Command("scratch"),))
            if self._dictating.draft == before:
                return

    def _say(self, text: str, speed: float = 1.0) -> None:
        """Says it aloud and lets the dictation hear it, as from a microphone."""
        self.tally.said += 1
        self._activity.forget()
        sound = np.concatenate([_QUIET[: RATE // 3], replace(self._voice, speed=speed).say(text), _QUIET])
        with Listener(
            self._recogniser, self._dictating.phrasebook, self._activity, self._dictating.contexts, "embedded"
        ) as listener:
            for utterance in _utterances(listener, sound):
                if utterance.takes_back is not None:
                    self._dictating.take_back()
                self._dictating.heard(utterance.verdict)
                listener.contexts = self._dictating.contexts


def _utterances(listener: Listener, sound: Samples) -> Iterator[Utterance]:
    for frame in frames_of(sound):
        yield from listener.feed(frame)


def other_number(heard: tuple[Command, ...], wanted: tuple[Command, ...]) -> int | None:
    """The number that was meant, where that one alone was heard as another: "no, four"."""
    lines = [re.findall(r"\d+|\D+", str([(c.name, sorted(c.slots.items())) for c in said])) for said in (heard, wanted)]
    if len(lines[0]) != len(lines[1]):
        return None
    apart = [(one, two) for one, two in zip(*lines, strict=True) if one != two]
    if len(apart) == 1 and apart[0][1].isdigit() and sum(part.isdigit() and part != "1" for part in lines[0]) == 1:
        return int(apart[0][1])
    return None
