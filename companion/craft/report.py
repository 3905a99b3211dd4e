"""The estimate and the tables as they are printed: one JSON object, or plain lines that a screen reader follows."""

from __future__ import annotations

import json

from companion.craft import tables, units
from companion.craft.clock import span as time_span
from companion.craft.estimate import Estimate, PieceEstimate
from companion.craft.gauge import from_yarn
from companion.craft.tables import Range
from companion.craft.units import Kind, System
from companion.craft.yarn import Between
from companion.pattern import stitches

TABLES = ("hooks", "yarns", "eyes")
_SO_FAR = ", for the rounds that could be worked out"


def as_json(estimate: Estimate) -> str:
    """One JSON object: `stitches` and `yarn_metres` for all copies, each piece for one copy of it.

    Sizes in millimetres, volume in cubic centimetres. null stands for what is not known: sizes and yarn without a
    gauge, stitches where a round could not be worked out. For a piece in rows `widest_diameter_mm` is its width across
    the widest row, `height_mm` its height over the rows, `volume_cm3` 0.
    """
    metres = estimate.yarn.metres if estimate.yarn and estimate.complete else None
    return json.dumps(
        {
            "stitches": estimate.stitches,
            "yarn_metres": _number(metres.usual if metres else None),
            "yarn_metres_low": _number(metres.low if metres else None),
            "yarn_metres_high": _number(metres.high if metres else None),
            "pieces": [
                {
                    "name": piece.name,
                    "make": piece.make,
                    "stitches": piece.stitches,
                    "widest_diameter_mm": _number(piece.size.widest if piece.size else None),
                    "height_mm": _number(piece.size.height if piece.size else None),
                    "volume_cm3": _number(piece.size.volume if piece.size else None),
                }
                for piece in estimate.pieces
            ],
        },
        ensure_ascii=False,
    )


def _number(value: float | None) -> float | None:
    return None if value is None else round(value, 3)


def as_lines(estimate: Estimate, system: System = "metric") -> list[str]:
    """The estimate in sentences, one a line, with its ranges and what would narrow them."""
    lines = [estimate.title or "Untitled pattern", _gauge_line(estimate, system)]
    for piece in estimate.pieces:
        lines += ["", *_piece_lines(piece, estimate, system)]
    lines += ["", *_stitch_lines(estimate), *_yarn_lines(estimate, system), _time_line(estimate)]
    if estimate.stuffing_grams:
        grams = _span("weight", estimate.stuffing_grams, system)
        lines.append(f"Stuffing: {grams}, {_which_stuffed(estimate)}.")
    return [*lines, *_narrowing(estimate)]


def _gauge_line(estimate: Estimate, system: System) -> str:
    gauge = estimate.gauge
    if gauge is None:
        return f"No gauge: {_why_none(estimate)} Sizes and yarn need one. Count your stitches and rounds over 10 cm."
    rounds = "rows" if all(piece.size and piece.size.flat for piece in estimate.pieces) else "rounds"
    # Four inches are what swatches are counted over in inches.
    over, times = ("4 inches", 1.016) if system == "imperial" else ("10 cm", 1)
    stitch = stitches.table().get(gauge.stitch)
    # Where little is worked in single crochet, a swatch of that would not do.
    of = f" of {stitch.names(estimate.terms).name}" if stitch and gauge.stitch != "sc" else ""
    return (
        f"Gauge: {gauge.stitches_per_10cm * times:.3g} stitches and {gauge.rounds_per_10cm * times:.3g} {rounds}{of} "
        f"to {over}, {gauge.told('from')}. Sizes may be off by {gauge.spread:.0%} either way."
    )


def _why_none(estimate: Estimate) -> str:
    if estimate.weight and from_yarn(estimate.weight) is None:
        crochet = stitches.table()["sc"].names(estimate.terms).name
        return f"the table has no usual gauge in {crochet} for {estimate.weight.name} yarn."
    return "the pattern gives none, and no hook or yarn weight to guess from."


def _piece_lines(piece: PieceEstimate, estimate: Estimate, system: System) -> list[str]:
    heading = f"{piece.name} (make {piece.make})"
    if piece.stitches is None:
        named = ", ".join(piece.unknown)
        lines = [f"{heading}: at least {piece.counted} stitches. Not worked out: {named}."]
    else:
        lines = [f"{heading}: {piece.stitches} stitches{' each' if piece.make > 1 else ''}."]
    if piece.pattern_says:
        lines.append(
            f"The total of {', '.join(piece.pattern_says)} is what the pattern says; it could not be worked out."
        )
    size = piece.size
    if size is None:
        return lines
    if size.widest is not None and size.height is not None:
        wide = _off(size.widest, estimate.size_spread, system)
        high = _off(size.height, estimate.size_spread, system)
        if size.flat:
            lines.append(f"Flat, worked in rows: {wide} wide, {high} high.")
        elif size.height < 1:
            lines.append(f"Lies flat: {wide} across.")
        else:
            lines.append(f"{wide[0].upper()}{wide[1:]} across at the widest, {high} high.")
            if volume := piece.volume(estimate.size_spread):
                end = "" if size.closed else " to its open end"
                lines.append(f"Volume when filled{end}: {_span('volume', volume, system)}.")
    return [*lines, *size.notes]


def _stitch_lines(estimate: Estimate) -> list[str]:
    if estimate.stitches is not None:
        return [f"Stitches in all: {estimate.stitches}."]
    return [
        f"Stitches in all: at least {estimate.counted}. This estimate is incomplete: some rounds could not be worked "
        "out. Run companion check to see why."
    ]


def _yarn_lines(estimate: Estimate, system: System) -> list[str]:
    need = estimate.yarn
    if need is None:
        return ["Yarn: not known without a gauge or a swatch."]
    so_far = "" if estimate.complete else _SO_FAR
    lines = [f"Yarn: {_span('yarn', need.metres, system)}{so_far}, ends included."]
    if need.grams:
        lines[-1] = lines[-1][:-1] + f"; {_span('weight', need.grams, system)}."
    if len(need.colours) > 1:
        lines += [f"{colour or 'No colour named'}: {_span('yarn', metres, system)}." for colour, metres in need.colours]
    if need.balls:
        balls = ", ".join(f"{count} of {colour}" if colour else str(count) for colour, count in need.balls)
        lines.append(f"Balls to buy, to be safe: {balls}.")
    return lines


def _time_line(estimate: Estimate) -> str:
    whose = "at your own pace" if estimate.own_pace else "at a usual pace"
    so_far = "" if estimate.complete else _SO_FAR
    return f"Time: {time_span(estimate.minutes)} {whose}{so_far}, without stuffing and sewing. Rest your hands often."


def _which_stuffed(estimate: Estimate) -> str:
    if any(piece.stuffed for piece in estimate.pieces):
        return "for the pieces that the pattern stuffs"
    return "for the pieces that close; the pattern names stuffing, but not where it goes"


def _narrowing(estimate: Estimate) -> list[str]:
    """What the maker could measure to make the ranges narrower."""
    lines = []
    if estimate.gauge is None or estimate.gauge.basis != "measured":
        lines.append("For closer sizes: count your own stitches and rounds over 10 cm of a swatch.")
    if estimate.yarn is None or not estimate.yarn.from_swatch:
        lines.append("For closer yarn: pull out 100 stitches and measure the yarn.")
    if not estimate.own_pace:
        lines.append("For a closer time: count the stitches you make in ten minutes.")
    return ["", *lines] if lines else []


def _off(mm: float, spread: float, system: System) -> str:
    return units.between("length", mm * (1 - spread), mm * (1 + spread), system)[0]


def _span(kind: Kind, between: Between, system: System) -> str:
    return units.between(kind, between.low, between.high, system)[0]


def table_lines(name: str) -> list[str]:
    """One of the tables, `hooks`, `yarns` or `eyes`: a sentence a row, then notes, cautions and sources.

    KeyError for any other name; the command line offers these three only.
    """
    rows, table = {"hooks": _hooks, "yarns": _yarns, "eyes": _eyes}[name]()
    cautions = [f"Caution: {text}" for text in getattr(table, "cautions", ())]
    return [*rows, "", *table.notes, *cautions, "", *(f"Source: {text}." for text in table.sources.values())]


def _hooks() -> tuple[list[str], tables.Sourced]:
    table = tables.hooks()
    rows = []
    for hook in table.hooks:
        labels = [f"US {hook.us}" if hook.us else "no US label", *([f"UK {hook.uk}"] if hook.uk else [])]
        rows.append(f"{hook.mm:g} mm: {', '.join(labels)}")
    rows += ["", "Steel hooks for thread"]
    return rows + [f"{mm:g} mm: US steel {label}" for mm, label in table.steel.sizes], table


def _yarns() -> tuple[list[str], tables.Sourced]:
    table = tables.yarns()
    rows = []
    for weight in table.weights:
        stitch = "single crochet (UK double)" if weight.gauge_stitch == "sc" else "double crochet (UK treble)"
        also = f" ({', '.join(weight.also)})" if weight.also else ""
        rows.append(
            f"{weight.number}, {weight.name}{also}: {_range(weight.gauge)} {stitch} to 4 inches, "
            f"hook {_range(weight.hook_mm)} mm, {_range(weight.metres_per_100g)} metres in 100 g"
        )
    return rows, table


def _range(ends: Range) -> str:
    low, high = ends
    if low is None:
        return f"up to {high:g}"
    return f"{low:g} and more" if high is None else f"{low:g} to {high:g}"


def _eyes() -> tuple[list[str], tables.Sourced]:
    table = tables.eyes()
    rows = []
    for eye in table.sizes_mm:
        large, usual, small = table.heads(eye)
        rows.append(f"{eye:g} mm eyes: usual on a head {usual:g} mm wide, large on {large:g} mm, small on {small:g} mm")
    return rows, table
