"""How much yarn: metres, grams and balls, each with its range.

Yarn is counted in loops (a single crochet draws two, see `heights.yaml`) and measured by the maker's swatch where there
is one ("6 metres for 100 stitches"), else by the width of a stitch. The ends of every copy are added.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass

from companion.craft import tables
from companion.craft.gauge import Gauge
from companion.craft.rounds import rounds_of
from companion.craft.stitches import LOOPS_OF_SC
from companion.craft.tables import Figure, YarnWeight
from companion.errors import MakerError
from companion.pattern.model import Piece

_LONG_TAIL = re.compile(r"\blong\b.*\b(?:tail|end)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Between:
    """A figure with its range, all in one unit."""

    usual: float
    low: float
    high: float

    def plus(self, other: Between) -> Between:
        """The two together; ends are added to ends, which leaves the range wide rather than narrow."""
        return Between(self.usual + other.usual, self.low + other.low, self.high + other.high)

    def times(self, factor: float) -> Between:
        """So many times as much."""
        return Between(self.usual * factor, self.low * factor, self.high * factor)


NOTHING = Between(0, 0, 0)


@dataclass(frozen=True, slots=True)
class Swatch:
    """What a maker measured: `metres` of yarn used up in `stitches` single crochet."""

    metres: float
    stitches: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.metres) and math.isfinite(self.stitches) and self.metres > 0 and self.stitches > 0):
            raise MakerError("A swatch needs the metres used and the stitches made, both above nothing.")


@dataclass(frozen=True, slots=True)
class Ball:
    """What the label says of one ball."""

    metres: float
    grams: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.metres) and math.isfinite(self.grams) and self.metres > 0 and self.grams > 0):
            raise MakerError("A ball needs its metres and its grams as its label gives them, both above nothing.")


@dataclass(frozen=True, slots=True)
class YarnNeed:
    """Yarn for all copies of everything. `colours` splits it by the pattern's colours, None where it names none.

    `grams` is None where neither a label nor a yarn weight says how heavy the yarn is; `balls` (for each colour, the
    high end of the range rounded up) is None without a label. `from_swatch` tells whether the maker measured it.
    """

    metres: Between
    grams: Between | None
    colours: tuple[tuple[str | None, Between], ...]
    balls: tuple[tuple[str | None, int], ...] | None
    from_swatch: bool


def metres_a_loop(gauge: Gauge | None, swatch: Swatch | None) -> Between | None:
    """Metres of yarn in one loop, from the swatch, else from the width of a stitch; None with neither."""
    practice = tables.practice()
    if swatch is not None:
        return _ranged(practice.yarn_against_swatch).times(swatch.metres / swatch.stitches / LOOPS_OF_SC)
    if gauge is not None:
        widths = _ranged(practice.yarn_in_stitch_widths).times(gauge.stitch_mm / 1000 / LOOPS_OF_SC)
        # A guessed gauge is one more thing that may be off.
        return Between(widths.usual, widths.low * (1 - gauge.spread), widths.high * (1 + gauge.spread))
    return None


def ends(piece: Piece) -> Between:
    """Metres for the ends of one copy of a piece, with a long tail where its notes ask for one."""
    practice = tables.practice()
    notes = [note for entry in piece.rounds for note in entry.notes] + list(piece.notes)
    tails = sum(bool(_LONG_TAIL.search(note.text)) for note in notes)
    return _ranged(practice.ends_metres).plus(_ranged(practice.long_tail_metres).times(min(tails, 1)))


def need(
    pieces: Iterable[tuple[Piece, int]],
    gauge: Gauge | None,
    swatch: Swatch | None = None,
    weight: YarnWeight | None = None,
    ball: Ball | None = None,
) -> YarnNeed | None:
    """Yarn for so many copies of each piece; None where neither a gauge nor a swatch tells how long a stitch is."""
    loop = metres_a_loop(gauge, swatch)
    if loop is None:
        return None
    colours: dict[str | None, Between] = {}
    for piece, copies in pieces:
        last: str | None = piece.colour
        by_colour: dict[str | None, float] = {}
        for one in rounds_of(piece):
            for colour, loops in one.loops:
                by_colour[colour] = by_colour.get(colour, 0) + loops
                last = colour
        for colour, loops in by_colour.items():
            colours[colour] = colours.get(colour, NOTHING).plus(loop.times(loops * copies))
        colours[last] = colours.get(last, NOTHING).plus(ends(piece).times(copies))
    total = NOTHING
    for metres in colours.values():
        total = total.plus(metres)
    split = tuple((colour, metres) for colour, metres in colours.items() if metres.high)
    balls = tuple((colour, math.ceil(metres.high / ball.metres)) for colour, metres in split) if ball else None
    return YarnNeed(total, grams(total, weight, ball), split, balls, swatch is not None)


def grams(metres: Between, weight: YarnWeight | None, ball: Ball | None = None) -> Between | None:
    """What so many metres weigh, by the ball's label, else by the yarn weight; None with neither."""
    if ball is not None:
        return metres.times(ball.grams / ball.metres)
    if weight is None or (most := weight.metres_per_100g[1]) is None:
        return None
    least = weight.metres_per_100g[0]
    if least is None:
        return None
    return Between(metres.usual * 100 / ((least + most) / 2), metres.low * 100 / most, metres.high * 100 / least)


def _ranged(figure: Figure) -> Between:
    return Between(figure.usual, figure.low, figure.high)
