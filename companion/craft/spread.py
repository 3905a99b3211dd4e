"""Increases and decreases spread evenly round, and turned so that they do not stand over those of the last round.

The gaps are those of `pattern/evenly.py`. The turn is the one that keeps every change farthest from the changes below,
so that no corners build up.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Literal

from companion.errors import MakerError
from companion.pattern.evenly import even_gaps, laid_evenly
from companion.pattern.model import Instruction, Round, Work
from companion.pattern.reader import read

_LABELLED = re.compile(r"r(?:ou)?nds?\s*\d", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Spread:
    """`changes` increases or decreases over a round of `stitches`, which makes `makes`.

    `gaps` are the plain stitches before each change in the order they are worked; `tail` those after the last one.
    Going round, the tail and the first gap are one. `stitch` names the plain stitches.
    """

    kind: Literal["inc", "dec"]
    stitches: int
    changes: int
    gaps: tuple[int, ...]
    tail: int
    stitch: str = "sc"

    @property
    def makes(self) -> int:
        """Stitches of the finished round."""
        return self.stitches + (self.changes if self.kind == "inc" else -self.changes)

    @property
    def round_gaps(self) -> tuple[int, ...]:
        """The gaps going round, the tail joined to the first: one for each change."""
        return (self.gaps[0] + self.tail, *self.gaps[1:]) if self.gaps else ()

    @property
    def places(self) -> tuple[float, ...]:
        """Where the changes lie in the finished round, as shares of the way round: what the next round avoids."""
        at, places = 0, []
        width = 2 if self.kind == "inc" else 1
        for gap in self.gaps:
            at += gap
            places.append((at + width / 2) / self.makes)
            at += width
        return tuple(places)

    @property
    def instructions(self) -> tuple[Instruction, ...]:
        """The round as the pattern room has it, equal stretches as repeats."""
        each = Work(self.stitch, 1, in_one=2) if self.kind == "inc" else Work(self.stitch, 1, together=2)
        return laid_evenly(Work(self.stitch, 1), each, self.gaps, self.tail)

    @property
    def text(self) -> str:
        """The round in words a pattern uses: "2 sc, inc, (4 sc, inc) x 5, 2 sc"."""
        if not self.gaps:
            return f"{self.stitch} in each st around"
        if not any(self.gaps) and not self.tail:
            return self.kind if self.changes == 1 else f"{self.kind} x {self.changes}"
        parts: list[str] = []
        for gap, same in groupby(self.gaps):
            times = len(list(same))
            unit = [*_plain(gap, self.stitch), self.kind]
            if gap and times > 1:
                parts.append(f"({', '.join(unit)}) x {times}")
            elif gap:
                parts += unit
            else:
                # "sc, inc, inc x 2" could be heard as all of it twice: side by side they are counted, "sc, 3 inc".
                before = parts.pop() if parts and parts[-1] == self.kind else ""
                together = times + bool(before)
                parts.append(self.kind if together == 1 else f"{together} {self.kind}")
        return ", ".join([*parts, *_plain(self.tail, self.stitch)])


def changes_of(entry: Round) -> tuple[float, ...]:
    """Where the increases or decreases of a written round lie, as shares of the way round; none for a plain one."""
    places, at = [], 0
    for step in entry.steps:
        if step.gives and step.takes and step.gives != step.takes:
            places.append(at + step.gives / 2)
        at += step.gives
    return tuple(place / at for place in places)


def changes_of_text(text: str, makes: int) -> tuple[float, ...]:
    """Where the changes lie of a round as a pattern writes it, "(3 sc, inc) x 6", which makes so many stitches.

    Raises MakerError where the words cannot be worked out, or make another number.
    """
    words = " ".join(text.split())
    line = words if _LABELLED.match(words) else f"Rnd 2: {words}"
    # A round that nothing goes before is read for what it says alone.
    entry = read(f"X\nTerms: US\n\nX\n{line}\n").pieces[0].rounds[-1]
    if entry.basis != "worked_out" or not entry.steps:
        raise MakerError(f"I cannot work out “{text}”. Write the round as a pattern does, such as (3 sc, inc) x 6.")
    if entry.stitches != makes:
        raise MakerError(f"“{text}” makes {entry.stitches} stitches, but this round goes into {makes}. Check the two.")
    return changes_of(entry)


def _plain(count: int, stitch: str) -> list[str]:
    return [] if not count else [stitch] if count == 1 else [f"{count} {stitch}"]


def even(
    kind: Literal["inc", "dec"],
    changes: int,
    stitches: int,
    below: Sequence[float] = (),
    stitch: str = "sc",
) -> Spread:
    """`changes` increases or decreases spread evenly over a round worked into `stitches` stitches.

    `below` is `places` of the last round that had changes; with none the round begins with a plain run and ends with a
    change. Raises MakerError where there are more changes than the stitches allow.
    """
    each = 1 if kind == "inc" else 2
    word = "increases" if kind == "inc" else "decreases"
    if changes < 0 or stitches < 1:
        raise MakerError(f"I can spread {word} over one stitch or more. Say how many over how many.")
    if changes * each > stitches:
        raise MakerError(f"{changes} {word} do not fit over {stitches} stitches; at most {stitches // each} do.")
    if not changes:
        return Spread(kind, stitches, 0, (), stitches, stitch)
    plain = stitches - changes * each
    gaps = even_gaps(plain, changes)
    turned = (_turn(gaps, first, cut) for first in range(changes) for cut in range(gaps[first] + 1))
    candidates = [Spread(kind, stitches, changes, tuple(gaps), tail, stitch) for gaps, tail in turned]
    if not below:
        return candidates[0]
    wanted = sorted(below)
    # Of turns that keep as far away, the one whose words are shortest is the easiest to work by ear.
    return max(candidates, key=lambda one: (round(_nearest(one.places, wanted), 9), -len(one.text)))


def _turn(gaps: Sequence[int], first: int, tail: int) -> tuple[list[int], int]:
    """The gaps begun at number `first`, `tail` stitches of that one moved to the end of the round."""
    turned = [*gaps[first:], *gaps[:first]]
    turned[0] -= tail
    return turned, tail


def _nearest(places: Sequence[float], below: Sequence[float]) -> float:
    """The least distance, in shares of the way round, between any of `places` and any of `below` (sorted)."""
    least = 1.0
    for place in places:
        at = bisect_left(below, place)
        for other in (below[at % len(below)], below[at - 1]):
            apart = abs(place - other) % 1
            least = min(least, apart, 1 - apart)
    return least
