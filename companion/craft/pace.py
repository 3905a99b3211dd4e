"""How long it takes: minutes at the maker's own pace, or at a usual one that says it is a guess.

Time is counted in loops, as yarn is, so that a double crochet takes as long as two single ones. Stuffing, sewing and
rests are not in it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from companion.craft import tables
from companion.craft.rounds import rounds_of
from companion.craft.stitches import LOOPS_OF_SC
from companion.craft.yarn import Between
from companion.errors import MakerError
from companion.pattern.model import Piece

_OWN_SPREAD = 0.15
"""How far a measured pace wanders from one evening to the next (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Pace:
    """Single crochet a minute, with its range; `own` where it was measured on this maker."""

    stitches_per_minute: Between
    own: bool


def usual() -> Pace:
    """The pace of makers in general: a wide range."""
    figure = tables.practice().stitches_per_minute
    return Pace(Between(figure.usual, figure.low, figure.high), own=False)


def measured(stitches: float, minutes: float) -> Pace:
    """The maker's own pace: so many single crochet in so many minutes. Raises MakerError unless both are above 0."""
    if not (math.isfinite(stitches) and math.isfinite(minutes) and stitches > 0 and minutes > 0):
        raise MakerError("A pace needs the stitches made and the minutes they took, both above nothing.")
    rate = stitches / minutes
    return Pace(Between(rate, rate * (1 - _OWN_SPREAD), rate * (1 + _OWN_SPREAD)), own=True)


def minutes_for(loops: float, pace: Pace) -> Between:
    """Minutes for so many loops of yarn at a pace."""
    stitches, rate = loops / LOOPS_OF_SC, pace.stitches_per_minute
    return Between(stitches / rate.usual, stitches / rate.high, stitches / rate.low)


def minutes(pieces: Iterable[tuple[Piece, int]], pace: Pace | None = None) -> Between:
    """Minutes for so many copies of each piece."""
    loops = sum(one.total_loops * copies for piece, copies in pieces for one in rounds_of(piece))
    return minutes_for(loops, pace or usual())
