"""Answers to the questions of the craft as numbers; the wording room makes sentences of them.

"How big will it be", "what if I use a 5 mm", "which gauge makes it 12 cm", "which eyes suit it". The others have their
answer where the sum is: `left.left` (how much yarn is left to use, how long it takes), `spread.even` (spread six
increases over thirty), `ruffle.lie` (is it going to ruffle or cup), `shaping` (give me a ball of 36).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from companion.craft import tables
from companion.craft.estimate import Estimate, PieceEstimate
from companion.craft.gauge import Gauge
from companion.craft.yarn import Between
from companion.errors import MakerError


@dataclass(frozen=True, slots=True)
class HowBig:
    """Size of one copy of a piece in mm, with its range. `flat`: worked in rows, `widest` is its width.

    `gauge.basis` is where it comes from: "measured" is the maker's own, all else is somebody's hand or a guess.
    """

    piece: str
    flat: bool
    widest: Between
    height: Between
    gauge: Gauge


@dataclass(frozen=True, slots=True)
class Changed:
    """A size before and after a change of hook, yarn or gauge. `factor` is after against before."""

    before: HowBig
    after: HowBig
    factor: float


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


@dataclass(frozen=True, slots=True)
class Eyes:
    """Eye sizes in mm that suit a head of a width, smallest first, and the usual one. Safety eyes are small parts."""

    head_mm: float
    sizes_mm: tuple[float, ...]
    usual_mm: float


def how_big(estimate: Estimate, piece: int = 0) -> HowBig:
    """The size of the piece of that index. MakerError where it cannot be known."""
    if not 0 <= piece < len(estimate.pieces):
        raise MakerError("There is no such piece in this pattern. Ask “what do I need” to hear its pieces.")
    found, gauge = estimate.pieces[piece], estimate.gauge
    if gauge is None:
        raise MakerError("I cannot tell the size without a gauge. Count your stitches and rounds over 10 cm.")
    widest, height = _known(found)
    return HowBig(
        found.name, found.size is not None and found.size.flat, _off(widest, gauge), _off(height, gauge), gauge
    )


def changed(before: Estimate, after: Estimate, piece: int = 0) -> Changed:
    """What a change of hook, yarn or gauge does to a piece: estimate the pattern twice and compare."""
    was, now = how_big(before, piece), how_big(after, piece)
    return Changed(was, now, now.widest.usual / was.widest.usual)


def gauge_for(
    estimate: Estimate,
    *,
    height_mm: float | None = None,
    widest_mm: float | None = None,
    piece: int = 0,
    hook_mm: float | None = None,
) -> GaugeFor:
    """The gauge that makes a piece so high, or so wide: give one of the two.

    `hook_mm` is the hook that the present gauge was worked with, so that another can be named.
    Raises MakerError where the size is not known, or the wanted one is not above nothing.
    """
    if (height_mm is None) == (widest_mm is None):
        raise MakerError("Say either how high or how wide it should be.")
    was = how_big(estimate, piece)
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


def _known(piece: PieceEstimate) -> tuple[float, float]:
    size = piece.size
    if size is None or size.widest is None or size.height is None:
        missing = ", ".join(piece.unknown) or "its rounds"
        raise MakerError(f"I cannot tell the size of {piece.name}: {missing} could not be worked out.")
    return size.widest, size.height


def _off(mm: float, gauge: Gauge) -> Between:
    return Between(mm, mm * (1 - gauge.spread), mm * (1 + gauge.spread))
