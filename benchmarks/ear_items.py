"""What the bench has said to the ear: sentences with what they mean and where they may be said.

Sentences are the examples of every command, with their numbers changed so that each number from 1 to 200 comes up
somewhere. Half of them, by a hash of the text, may be tuned on; the other half are for testing only.
"""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass

import numpy as np

from companion.phrases import numbers
from companion.phrases.alike import pooled
from companion.phrases.command import Command
from companion.phrases.phrasebook import Phrasebook

PIECES = ("Body", "Left ear", "The nut", "Tail")
STATES = (frozenset({"idle"}), frozenset({"asking"}), frozenset({"held"}), frozenset({"paused"}))
FREE = {"text", "yarn", "word"}  # slots of free words
_NUMBER = re.compile(r"\b(?:" + "|".join(sorted(map(numbers.in_words, numbers.RANGE), key=len, reverse=True)) + r")\b")


@dataclass(frozen=True, slots=True)
class Item:
    """One sentence, the commands it stands for, and the contexts of a state in which it may be said."""

    text: str
    commands: tuple[Command, ...]
    contexts: frozenset[str]

    @property
    def for_tuning(self) -> bool:
        """Whether calibration may learn from this sentence."""
        return hashlib.sha256(self.text.encode()).digest()[0] % 2 == 0


def same(heard: tuple[Command, ...], said: tuple[Command, ...]) -> bool:
    """Whether what was heard is what was said: commands, numbers and names alike.

    Free words ("note, a smaller hook") are kept as a transcript and never acted on, or only after a question, so that
    "14 mm" does for "fourteen millimetres" there. "I am at stitch nine" and "I have done nine" lead to the same place.
    """
    return [_bound(command) for command in pooled(heard)] == [_bound(command) for command in pooled(said)]


def _bound(command: Command) -> Command:
    return Command(command.name, {name: value for name, value in command.slots.items() if name not in FREE})


def phrasebook() -> Phrasebook:
    """The phrasebook of the bench's invented pattern."""
    return Phrasebook(PIECES)


def items(book: Phrasebook) -> list[Item]:
    """Every example, those with a number many times over with other numbers."""
    rng = np.random.default_rng(5)
    found: dict[str, Item] = {}
    for phrase in book.phrases:
        for example in phrase.examples:
            texts = [example]
            if _NUMBER.search(example):
                texts += [_NUMBER.sub(numbers.in_words(int(n)), example) for n in rng.integers(1, 201, 8)]
            for text in texts:
                item = _item(text, book)
                if item is not None:
                    found[text] = item
    for number in numbers.RANGE:
        text = f"i have done {numbers.in_words(number)}"
        item = _item(text, book)
        if item is not None:
            found[text] = item
    return list(found.values())


def _item(text: str, book: Phrasebook) -> Item | None:
    for state in STATES:
        commands = book.parse(text, state)
        if commands:
            return Item(text, commands, state)
    return None
