"""What one motion takes and gives, and a round laid out motion by motion."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import takewhile
from typing import Final

from companion.pattern.model import Act, Chain, InOne, Instruction, Repeat, Skip, Step, Unread, Work
from companion.pattern.stitches import table
from companion.pattern.syntax import InOneNode, Node, RepeatNode, WorkNode

MAX_STEPS: Final = 20_000
"""Motions of one round beyond which it is not laid out: no real round comes near it."""

NOT_THE_EDGE: Final = frozenset({"ring", "chain space", "row end", "chains", "skipped stitch"})
"""Targets that are no stitches of an edge, so that working into them takes none."""


_INTO_SPACE: Final = re.compile(r"\b(?:in|into|to)\b.*\b(?:corner|cnr|sps?|spaces?)\b", re.IGNORECASE)


class TooLarge(Exception):  # noqa: N818  (it ends a working-out; it is no error of the program)
    """A round would be laid out into more motions than MAX_STEPS."""


def takes_of(item: Work | InOne | Skip | Chain | Act | Unread) -> int:
    """Stitches of the round below that one motion uses."""
    if isinstance(item, Work):
        if item.same or item.into in NOT_THE_EDGE:
            return 0
        entry = table().get(item.stitch)
        return item.together if entry is None or entry.takes else 0
    if isinstance(item, InOne):
        return 0 if item.same or item.into in NOT_THE_EDGE else 1
    if isinstance(item, Skip):
        return 1
    if isinstance(item, Chain):
        return 1 if item.counts and item.role == "start" else 0
    return 0


def gives_of(item: Work | Skip | Chain | Act | Unread) -> int:
    """Stitches of this round that one motion makes."""
    if isinstance(item, Work):
        entry = table().get(item.stitch)
        return item.in_one if entry is None or entry.gives else 0
    if isinstance(item, Chain):
        if item.role == "space":
            return item.count if item.counts else 0
        return 1 if item.counts and item.role == "start" else 0
    return 0


def lay_out(instructions: Sequence[Instruction], *, chain_takes: bool = True) -> tuple[Step, ...]:
    """The round step by step. `chain_takes`: whether a starting chain that counts stands on a stitch (not in a ring).

    Raises TooLarge.
    """
    layout = _Layout(chain_takes and not begins_in_space(instructions))
    for item in instructions:
        layout.item(item, None, None, None)
    return tuple(layout.steps)


def begins_in_space(instructions: Sequence[Instruction]) -> bool:
    """Whether the words before the first stitch lead into a chain space, where a starting chain stands on no stitch."""
    said = takewhile(lambda item: isinstance(item, Act), instructions)
    return any(isinstance(item, Act) and leads_into_space(item.text) for item in said) and works_spaces(instructions)


def leads_into_space(words: str) -> bool:
    """Whether words lead into a chain space: "sl st to corner", "join B in any ch-2 sp"."""
    return _INTO_SPACE.search(words) is not None


def works_spaces(items: Sequence[Instruction] | Sequence[Node]) -> bool:
    """Whether anything is worked into chain spaces, in a round as it is written or worked out."""
    return any(
        works_spaces(item.body)
        if isinstance(item, Repeat | RepeatNode)
        else isinstance(item, Work | InOne | WorkNode | InOneNode) and item.into == "chain space"
        for item in items
    )


class _Layout:
    def __init__(self, chain_takes: bool) -> None:
        self.chain_takes = chain_takes
        self.steps: list[Step] = []
        self.run = 0
        self.group = -1
        self.colour: str | None = None

    def item(self, item: Instruction, repeat: int | None, repeats: int | None, group: int | None) -> None:
        """Lay one instruction that stands in the `repeat`-th of `repeats` outermost repeats."""
        if isinstance(item, Repeat):
            self._repeat(item, repeat, repeats, group)
        elif isinstance(item, InOne):
            self._in_one(item, repeat, repeats, group)
        else:
            if isinstance(item, Act) and item.kind == "colour":
                self.colour = item.text
            count = item.count if isinstance(item, Work | Skip) else 1
            if len(self.steps) + count > MAX_STEPS:
                raise TooLarge
            takes = takes_of(item) if self.chain_takes or not isinstance(item, Chain) else 0
            step = Step(item, takes, gives_of(item), self.run, repeat, repeats, group, self.colour)
            if count == 1:
                self.steps.append(step)
            else:
                self.steps.extend([step] * count)
            self.run += 1

    def _repeat(self, item: Repeat, repeat: int | None, repeats: int | None, group: int | None) -> None:
        outermost = repeat is None
        if outermost:
            self.group += 1
            repeats, group = item.times, self.group
        for n in range(1, item.times + 1):
            colour, begin, run = self.colour, len(self.steps), self.run
            for child in item.body:
                self.item(child, n if outermost else repeat, repeats, group)
            self._check(0)
            if self.colour == colour:  # from here on every time is the same
                once, runs = self.steps[begin:], self.run - run
                self._check(len(once) * (item.times - n))
                for more in range(1, item.times - n + 1):
                    self._again(once, runs * more, n + more if outermost else repeat)
                self.run += runs * (item.times - n)
                return

    def _again(self, once: Sequence[Step], runs: int, repeat: int | None) -> None:
        """Lay the steps of a repeat once more, so many runs further on."""
        before: Step | None = None
        for step in once:
            if step is not before:
                before = step
                again = Step(
                    step.instruction,
                    step.takes,
                    step.gives,
                    step.run + runs,
                    repeat,
                    step.repeats,
                    step.group,
                    step.colour,
                )
            self.steps.append(again)

    def _check(self, more: int) -> None:
        if len(self.steps) + more > MAX_STEPS:
            raise TooLarge

    def _in_one(self, item: InOne, repeat: int | None, repeats: int | None, group: int | None) -> None:
        """Several stitches in one place: the first of them takes that place, the others nothing. They are one run."""
        for _ in range(item.count):
            first = takes_of(item)
            run = self.run
            for leaf in leaves(item.body):
                count = leaf.count if isinstance(leaf, Work) else 1
                if len(self.steps) + count > MAX_STEPS:
                    raise TooLarge
                gives = gives_of(leaf)
                if first and gives:
                    self.steps.append(Step(leaf, first, gives, run, repeat, repeats, group, self.colour))
                    first, count = 0, count - 1
                if count > 0:
                    self.steps.extend([Step(leaf, 0, gives, run, repeat, repeats, group, self.colour)] * count)
            self.run = run + 1


def leaves(items: Sequence[Instruction]) -> list[Work | Chain | Skip | Act | Unread]:
    """The instructions with every repeat written out and every group opened. Raises TooLarge."""
    found: list[Work | Chain | Skip | Act | Unread] = []
    for item in items:
        if isinstance(item, Repeat):
            once = leaves(item.body)
            if len(once) * item.times > MAX_STEPS:
                raise TooLarge
            found.extend(once * item.times)
        elif isinstance(item, InOne):
            once = leaves(item.body)
            if len(once) * item.count > MAX_STEPS:
                raise TooLarge
            found.extend(once * item.count)
        else:
            found.append(item)
    return found
