"""Shapes as rounds that a maker can work and the reader accepts: a flat disc, a ball, a tube, a cone.

All start at the middle or the tip, except an open tube. Counts come from plain geometry and are whole stitches; changes
are spread evenly and turned against those of the round below (`spread.py`).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from companion.craft.gauge import SIX_A_ROUND, Gauge
from companion.craft.size import height_of, radius
from companion.craft.spread import even
from companion.errors import MakerError

LEAST, MOST = 3, 1000
"""Stitches a round can have here: fewer do not close into a ring, more are no help to anyone."""


@dataclass(frozen=True, slots=True)
class ShapeRound:
    """One line of a shape: rounds `first` to `last`, all worked alike, `stitches` in each."""

    first: int
    last: int
    text: str
    stitches: int

    @property
    def line(self) -> str:
        """As a pattern prints it: "Rnds 4-9: sc in each st around [24]"."""
        label = f"Rnd {self.first}" if self.first == self.last else f"Rnds {self.first}-{self.last}"
        return f"{label}: {self.text} [{self.stitches}]"


@dataclass(frozen=True, slots=True)
class Shape:
    """A shape to make: its rounds, how it ends, and the lines that its pattern says of gauge and size."""

    name: str
    rounds: tuple[ShapeRound, ...]
    ending: tuple[str, ...]
    facts: tuple[str, ...] = ()

    @property
    def counts(self) -> tuple[int, ...]:
        """Stitches of every round, ranges spread out."""
        return tuple(line.stitches for line in self.rounds for _ in range(line.first, line.last + 1))

    @property
    def pattern(self) -> str:
        """The shape as a whole pattern in US terms, ready to be read, worked or pasted into another."""
        head = [f"{self.name}", "", "Terms: US", *self.facts, "", "Worked in a spiral. Do not join the rounds.", ""]
        return "\n".join(
            [*head, f"{self.name.upper()} (make 1)", *(line.line for line in self.rounds), *self.ending, ""]
        )


def disc(stitches: int, growth: int = 6) -> Shape:
    """A flat disc with `stitches` round its edge, gaining `growth` a round (2 pi h / w; six by common practice)."""
    _checked(stitches)
    if not LEAST <= growth <= 24:
        raise MakerError(
            f"A flat round in single crochet gains about six stitches, not {growth}. Say between 3 and 24."
        )
    counts = [*range(growth, stitches, growth), stitches]
    return Shape("Disc", _rounds(counts), ("Fasten off.",))


def ball(stitches: int, gauge: Gauge | None = None) -> Shape:
    """A ball with `stitches` at the middle.

    A sphere's rounds follow the sine of their angle from the pole. There are as many as bring the ball, in whole
    stitches, nearest to as high as wide. Without a gauge, a round is as tall as six stitches a flat round make it.
    """
    _checked(stitches)
    ratio = gauge.round_mm / gauge.stitch_mm if gauge else SIX_A_ROUND
    # Half the circumference is stitches / 2 widths: about so many heights of a round from pole to pole. Whole stitches
    # make a ball lower or higher than that, a small one by two rounds, and an odd number may stay short of the middle.
    about = max(4, round(stitches / (2 * ratio)))
    made = [_workable(_sphere(stitches, heights)) for heights in range(max(4, about - 1), about + 4)]
    wide = [counts for counts in made if max(counts) == stitches]
    counts = min(wide, key=lambda counts: abs(height_of(counts, 1, ratio) - 2 * radius(stitches, 1)))
    ending = ("Stuff firmly.", "Fasten off. Gather the front loops of the last round to close.")
    return Shape("Ball", _rounds(counts), ending)


def _sphere(stitches: int, heights: int) -> list[int]:
    """Rounds of a sphere that is `heights` rounds from pole to pole; the poles themselves are no rounds."""
    # Both halves from the same figures, so that rounding cannot make them differ.
    from_pole = [min(index, heights - index) for index in range(1, heights)]
    return [max(LEAST, round(stitches * math.sin(math.pi * index / heights))) for index in from_pole]


def tube(stitches: int, rounds: int, *, closed: bool = True) -> Shape:
    """A tube of so many stitches and straight rounds, begun with a disc, or open from foundation stitches."""
    _checked(stitches)
    if not 1 <= rounds <= MOST:
        raise MakerError(f"A tube needs between 1 and {MOST} rounds, not {rounds}.")
    if closed:
        start = [*range(6, stitches, 6), stitches]
        return Shape("Tube", _rounds([*start, *[stitches] * rounds]), ("Fasten off.",))
    first = ShapeRound(1, 1, f"{stitches} fsc, join with sl st to form a ring", stitches)
    more = (ShapeRound(2, rounds, "sc in each st around", stitches),) if rounds > 1 else ()
    return Shape("Tube", (first, *more), ("Fasten off.",))


def cone(stitches: int, rounds: int, tip: int = 6) -> Shape:
    """A cone from a tip of `tip` stitches to `stitches` at its edge, in so many rounds, growing evenly."""
    _checked(stitches)
    tip = min(tip, stitches)
    if not tip >= LEAST:
        raise MakerError(f"The tip of a cone needs {LEAST} stitches or more, not {tip}.")
    if not 1 <= rounds <= MOST or (rounds == 1 and tip != stitches):
        raise MakerError(f"A cone from {tip} to {stitches} stitches needs between 2 and {MOST} rounds, not {rounds}.")
    counts = [tip + (stitches - tip) * index // max(1, rounds - 1) for index in range(rounds)]
    if any(after > 2 * before for before, after in itertools.pairwise(counts)):
        raise MakerError(f"{rounds} rounds are too few to grow from {tip} to {stitches} stitches. Ask for more rounds.")
    return Shape("Cone", _rounds(counts), ("Fasten off.",))


def stitches_for(diameter_mm: float, gauge: Gauge) -> int:
    """Stitches round something of a diameter in mm, to the nearest whole one. MakerError where that is too few."""
    stitches = round(math.pi * diameter_mm / gauge.stitch_mm)
    _checked(stitches)
    return stitches


def rounds_for(length_mm: float, gauge: Gauge) -> int:
    """Straight rounds that are nearest to a length in mm, at least one."""
    return max(1, round(length_mm / gauge.round_mm))


def _checked(stitches: int) -> None:
    if not LEAST <= stitches <= MOST:
        raise MakerError(f"A round needs between {LEAST} and {MOST} stitches, not {stitches}. Choose another size.")


def _workable(counts: Sequence[int]) -> list[int]:
    """The counts, none more than twice or less than half its neighbours: what increases and decreases can do."""
    fixed = list(counts)
    for index in range(1, len(fixed)):
        fixed[index] = min(fixed[index], 2 * fixed[index - 1])
    for index in range(len(fixed) - 2, -1, -1):
        fixed[index] = min(fixed[index], 2 * fixed[index + 1])
    return fixed


def _rounds(counts: Sequence[int]) -> tuple[ShapeRound, ...]:
    """The counts as lines: a ring first, changes spread and turned, equal rounds put together."""
    lines = [ShapeRound(1, 1, f"{counts[0]} sc in a magic ring", counts[0])]
    below: tuple[float, ...] = ()
    for number, (before, after) in enumerate(itertools.pairwise(counts), start=2):
        if after == before:
            last = lines[-1]
            if last.text == _STRAIGHT:
                lines[-1] = ShapeRound(last.first, number, _STRAIGHT, after)
            else:
                lines.append(ShapeRound(number, number, _STRAIGHT, after))
            continue
        spread = even("inc" if after > before else "dec", abs(after - before), before, below)
        below = spread.places
        lines.append(ShapeRound(number, number, spread.text, after))
    return tuple(lines)


_STRAIGHT = "sc in each st around"
