"""A shape as a maker asks for it, by stitches and rounds or by its size, and what its pattern says of that size."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from companion.craft import shaping, units
from companion.craft.answers import how_big
from companion.craft.gauge import Gauge
from companion.craft.ruffle import flat_growth
from companion.craft.shaping import Shape
from companion.craft.size import height_of, radius
from companion.craft.units import System
from companion.errors import MakerError
from companion.pattern.reader import read

Name = Literal["disc", "ball", "tube", "cone"]
_TIP = 6
"""Stitches that a cone begins with: the round of common practice."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """A shape that is asked for: its widest round by `stitches` or by `across_mm`, its length by `rounds` or `high_mm`.

    `bottom` is false for a tube that is open at both ends.
    """

    name: Name
    stitches: int | None = None
    across_mm: float | None = None
    rounds: int | None = None
    high_mm: float | None = None
    bottom: bool = True


def shape_of(
    wanted: Wanted,
    gauge: Gauge | None,
    *,
    hook: float | None = None,
    yarn: str | None = None,
    system: System = "metric",
) -> Shape:
    """The shape that is wanted; with a gauge its pattern tells the size that it comes out at.

    `hook` in mm and `yarn`, the name of a weight, are what the gauge was guessed from, so that the pattern names them.

    Raises MakerError where something is missing, does not belong to the shape, or cannot be worked.
    """
    _checked(wanted, gauge)
    stitches = wanted.stitches
    if stitches is None:
        assert wanted.across_mm is not None, "checked above"
        assert gauge is not None, "checked above"
        stitches = shaping.stitches_for(wanted.across_mm, gauge)
    shape = _built(wanted, stitches, gauge)
    if gauge is None:
        return shape
    named = [f"Hook: {hook:g} mm"] if hook is not None else []
    named += [f"Yarn: {yarn} weight"] if yarn is not None else []
    return replace(shape, facts=(*named, *_facts(shape, gauge, system)))


def _checked(wanted: Wanted, gauge: Gauge | None) -> None:
    name, long = wanted.name, wanted.name in ("tube", "cone")
    if (wanted.stitches is None) == (wanted.across_mm is None):
        raise MakerError(f"How wide should the {name} be? Add either --stitches N or --across LENGTH.")
    if not long and (wanted.rounds is not None or wanted.high_mm is not None):
        raise MakerError(f"How wide a {name} is tells its rounds. Leave out --rounds and --high.")
    if long and (wanted.rounds is None) == (wanted.high_mm is None):
        raise MakerError(f"How long should the {name} be? Add either --rounds N or --high LENGTH.")
    if name != "tube" and not wanted.bottom:
        raise MakerError(f"Only a tube can be open at both ends. Leave out --open for a {name}.")
    if gauge is None and (wanted.across_mm is not None or wanted.high_mm is not None):
        raise MakerError("A size needs a gauge. Add --stitches-per-10cm N and --rounds-per-10cm N, or --hook MM.")


def _built(wanted: Wanted, stitches: int, gauge: Gauge | None) -> Shape:
    match wanted.name:
        case "disc":
            return shaping.disc(stitches, _flat(gauge))
        case "ball":
            return shaping.ball(stitches, gauge)
        case "tube":
            rounds = wanted.rounds if wanted.rounds is not None else _tube_rounds(wanted, stitches, gauge)
            return shaping.tube(stitches, rounds, closed=wanted.bottom)
        case "cone":
            rounds = wanted.rounds if wanted.rounds is not None else _cone_rounds(wanted, stitches, gauge)
            return shaping.cone(stitches, rounds, _TIP)


def _flat(gauge: Gauge | None) -> int:
    """Stitches that a flat round gains, whole: 2 pi h / w by the gauge, else the six of common practice."""
    return max(shaping.LEAST, round(flat_growth(gauge)))


def _tube_rounds(wanted: Wanted, stitches: int, gauge: Gauge | None) -> int:
    """Straight rounds for a height: a bottom that is not quite flat gives some of it already."""
    assert wanted.high_mm is not None, "checked before"
    assert gauge is not None, "checked before"
    bottom = shaping.disc(stitches).counts if wanted.bottom else ()
    return shaping.rounds_for(max(0.0, wanted.high_mm - height_of(bottom, gauge.stitch_mm, gauge.round_mm)), gauge)


def _cone_rounds(wanted: Wanted, stitches: int, gauge: Gauge | None) -> int:
    """Rounds for a height: as many as lie along the slope (Pythagoras), or a few more, whichever comes nearest.

    Whole stitches make a low cone lower than its slope is.
    """
    assert wanted.high_mm is not None, "checked before"
    assert gauge is not None, "checked before"
    high = wanted.high_mm
    tip = min(_TIP, stitches)
    out = radius(stitches, gauge.stitch_mm) - radius(tip, gauge.stitch_mm)
    fewest = max(1 + shaping.rounds_for(math.hypot(high, out), gauge) - 2, _fewest(tip, stitches))
    made = {rounds: shaping.cone(stitches, rounds, tip).counts for rounds in range(fewest, fewest + 5)}
    heights = {rounds: height_of(counts, gauge.stitch_mm, gauge.round_mm) for rounds, counts in made.items()}
    return min(heights, key=lambda rounds: abs(heights[rounds] - high))


def _fewest(tip: int, stitches: int) -> int:
    """The fewest rounds in which a tip can grow to so many stitches: no round more than doubles, or gains unevenly."""
    return 2 + max(0, stitches - tip - 1) // tip


def _facts(shape: Shape, gauge: Gauge, system: System) -> tuple[str, ...]:
    """What the pattern says of gauge and size. A guess is no gauge, so only the size names it."""
    size = how_big(read(shape.pattern).pieces[0], gauge)
    wide, high = (units.between("length", one.low, one.high, system)[0] for one in (size.widest, size.height))
    lies = "lying flat" if shape.name == "Disc" else f"{high} high"
    says = f"It comes out {wide} across, {lies}, {gauge.told('by')}."
    if gauge.basis != "measured":
        return (f"{says} A swatch of your own tells better.",)
    stitches, rounds = gauge.stitches_per_10cm, gauge.rounds_per_10cm
    return f"Gauge: {stitches:.4g} stitches and {rounds:.4g} rounds to 10 cm", says
