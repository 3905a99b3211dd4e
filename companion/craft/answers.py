"""Answers to the questions of the craft as numbers; the wording room makes sentences of them.

"How big will it be", "what if I use a 5 mm", "which gauge makes it 12 cm", "which eyes suit it". The others have their
answer where the sum is: `left.left` (how much yarn is left to use, how long it takes), `spread.even` (spread six
increases over thirty), `ruffle.lie` (is it going to ruffle or cup), `shaping` (give me a ball of 36).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from companion.craft import tables
from companion.craft.gauge import Gauge
from companion.craft.rounds import rounds_of
from companion.craft.size import measure, ruffle_notes
from companion.craft.yarn import Between
from companion.errors import MakerError
from companion.pattern.model import Piece

_FAR = 2
"""Nobody makes a piece so many times larger or smaller by its hook alone (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class HowBig:
    """Size of one copy of a piece in mm, with its range. `flat`: worked in rows, `widest` is its width.

    `gauge.basis` is where it comes from: "measured" is the maker's own, all else is somebody's hand or a guess.
    `ruffles` tells of rounds that ruffle by more than handling smooths out. `limits` say what the size leaves out or
    cannot tell, and go with it wherever it is given.
    """

    piece: str
    flat: bool
    widest: Between
    height: Between
    gauge: Gauge
    ruffles: tuple[str, ...] = ()
    limits: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class GaugeFor:
    """The gauge that makes a piece the wanted size, and a hook to try it with.

    `hook_mm` is the nearest hook sold, None where the present hook is not known. `factor` is how much larger all gets.
    """

    piece: str
    wanted_mm: float
    factor: float
    gauge: Gauge
    hook_mm: float | None

    @property
    def far(self) -> bool:
        """Whether no hook alone makes it so much larger or smaller."""
        return not 1 / _FAR < self.factor < _FAR


@dataclass(frozen=True, slots=True)
class Eyes:
    """Eye sizes in mm that suit a head of a width, smallest first, and the usual one. Safety eyes are small parts."""

    head_mm: float
    sizes_mm: tuple[float, ...]
    usual_mm: float


def how_big(piece: Piece, gauge: Gauge | None) -> HowBig:
    """The size of one copy of a piece. MakerError where it cannot be known."""
    if gauge is None:
        raise MakerError("I cannot tell the size without a gauge. Count your stitches and rounds over 10 cm.")
    size = measure(piece, gauge)
    if size.widest is None or size.height is None:
        unknown = dict.fromkeys(one.label for one in rounds_of(piece) if one.stitches is None)
        missing = ", ".join(unknown) or "its rounds"
        raise MakerError(f"I cannot tell the size of {piece.name}: {missing} could not be worked out.")
    # What handling smooths out is not worth a sentence aloud.
    ruffles = tuple(ruffle_notes(size.rounds, little=False))
    limits = tuple(note for note in size.notes if note not in ruffle_notes(size.rounds))
    wide, high = (_off(mm, gauge) for mm in (size.widest, size.height))
    return HowBig(piece.name, size.flat, wide, high, gauge, ruffles, limits)


def gauge_for(
    piece: Piece,
    gauge: Gauge | None,
    *,
    height_mm: float | None = None,
    widest_mm: float | None = None,
    hook_mm: float | None = None,
) -> GaugeFor:
    """The gauge that makes a piece so high, or so wide: give one of the two.

    `hook_mm` is the hook that the present gauge was worked with, so that another can be named.
    Raises MakerError where the size is not known, or the wanted one is not above nothing.
    """
    if (height_mm is None) == (widest_mm is None):
        raise MakerError("Say either how high or how wide it should be.")
    was = how_big(piece, gauge)
    wanted = height_mm if height_mm is not None else widest_mm
    now = was.height.usual if height_mm is not None else was.widest.usual
    if wanted is None or not (math.isfinite(wanted) and wanted > 0):
        raise MakerError("The wanted size must be above nothing. Say it in centimetres or inches.")
    if now < 1:
        raise MakerError(f"{was.piece} lies flat, so its height cannot be chosen. Say how wide it should be.")
    factor = wanted / now
    hook = tables.hooks().nearest(hook_mm * factor).mm if hook_mm is not None else None
    return GaugeFor(was.piece, wanted, factor, was.gauge.scaled(factor), hook)


def eyes_for(head_mm: float) -> Eyes:
    """Eye sizes for a head so wide (its diameter in the eye rounds). MakerError where none of that size is sold."""
    table = tables.eyes()
    sizes = table.for_head(head_mm)
    if not sizes:
        raise MakerError(f"No eyes are sold for a head of {head_mm:.0f} mm. Embroider them instead.")
    usual = min(sizes, key=lambda size: abs(size - head_mm / table.head_widths_an_eye.usual))
    return Eyes(head_mm, sizes, usual)


def _off(mm: float, gauge: Gauge) -> Between:
    return Between(mm, mm * (1 - gauge.spread), mm * (1 + gauge.spread))
