"""Each question about the sums of the trade, answered from the pattern, the place, and what the maker measured.

Nothing here moves the place or is kept. `questions` gives the place the commands it cannot answer by itself.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Literal, cast

from companion.craft import answers as craft
from companion.craft import tables, units
from companion.craft.choose import choose
from companion.craft.gauge import OddGaugeError, from_yarn
from companion.craft.left import Made, left
from companion.craft.rounds import rounds_of
from companion.errors import MakerError
from companion.pattern.model import Pattern, Piece
from companion.place.answers import Beyond
from companion.place.result import Result, Slots
from companion.place.small_parts import eye_notes
from companion.place.view import View
from companion.place.work import Asked
from companion.sums.answers import (
    CannotTell,
    EyeSizes,
    HookSize,
    Size,
    TooMany,
    WantedSize,
    Way,
    WhatIf,
    YarnFacts,
    YarnToCome,
)
from companion.sums.measures import Basis, Measures
from companion.sums.shaping import ruffle, spread, spread_here

Sum = Callable[[View, Basis, Slots], object]
_MM = {"mm": 1.0, "cm": 10.0, "inch": 25.4}


def questions(pattern: Pattern, measures: Measures) -> Mapping[str, Asked]:
    """The questions by name, for `Work.open`; `measures` are the maker's options.

    Raises MakerError where one of them cannot be: a hook that is none, a yarn that nobody knows.
    """
    choose(
        pattern,
        stitches_per_10cm=measures.stitches_per_10cm,
        rounds_per_10cm=measures.rounds_per_10cm,
        hook=measures.hook,
        yarn=measures.yarn,
    )

    def asked(answer: Sum) -> Asked:
        def ask(view: View, slots: Slots) -> Result:
            try:
                found = answer(view, Basis(view.pattern, measures, view.progress), slots)
            except OddGaugeError:
                found = CannotTell("odd_gauge")
            return Result(Beyond(found), accepted=not isinstance(found, CannotTell | TooMany))

        return ask

    return {name: asked(answer) for name, answer in SUMS.items()}


# --- size -----------------------------------------------------------------------------------------------------------


def how_big(view: View, basis: Basis, slots: Slots) -> object:
    """How big the piece at hand, or the one named, comes out."""
    piece = _piece(view, slots)
    if isinstance(piece, CannotTell):
        return piece
    if basis.gauge is None:
        return _no_gauge(basis)
    return _unknown(piece) or Size(craft.how_big(piece, basis.gauge), basis.measures.units)


def what_if_hook(view: View, basis: Basis, slots: Slots) -> object:
    """The size with another hook."""
    piece = _piece(view, slots)
    if isinstance(piece, CannotTell):
        return piece
    hook = _labelled(slots).mm if "us_hook" in slots else float(slots["hook"])
    size = _unknown(piece) or craft.how_big(piece, basis.with_hook(hook))
    return size if isinstance(size, CannotTell) else _what_if(piece, basis, size, hook_mm=hook)


def what_if_yarn(view: View, basis: Basis, slots: Slots) -> object:
    """The size with another weight of yarn."""
    piece, said = _piece(view, slots), str(slots["yarn"])
    if isinstance(piece, CannotTell):
        return piece
    weight = tables.yarns().find(said)
    gauge = basis.with_yarn(weight) if weight else None
    if gauge is None:
        return CannotTell("no_usual_gauge", said)
    size = _unknown(piece) or craft.how_big(piece, gauge)
    return size if isinstance(size, CannotTell) else _what_if(piece, basis, size, yarn=said)


def _what_if(piece: Piece, basis: Basis, size: craft.HowBig, *, hook_mm: float | None = None, yarn: str = "") -> WhatIf:
    now = craft.how_big(piece, basis.gauge) if basis.gauge else None
    factor = size.widest.usual / now.widest.usual if now else None
    return WhatIf(size, now, factor, basis.measures.units, hook_mm, yarn)


def gauge_for_size(view: View, basis: Basis, slots: Slots) -> object:
    """The gauge that makes the piece at hand so high or so wide."""
    piece = _piece(view, slots)
    if isinstance(piece, CannotTell):
        return piece
    if basis.gauge is None:
        return _no_gauge(basis)
    if unknown := _unknown(piece):
        return unknown
    said, unit, way = int(slots["size"]), str(slots["unit"]), cast("Way", slots["way"])
    wanted = said * _MM[unit]
    try:
        found = craft.gauge_for(
            piece,
            basis.gauge,
            height_mm=wanted if way == "high" else None,
            widest_mm=wanted if way == "wide" else None,
            hook_mm=basis.hook,
        )
    except MakerError:
        return CannotTell("flat", piece.name)
    if not found.gauge.can_be_worked:
        return CannotTell("out_of_reach", piece.name)
    return WantedSize(found, said, cast('Literal["mm", "cm", "inch"]', unit), way, _in_rows(piece))


def _no_gauge(basis: Basis) -> CannotTell:
    """Why there is none: the maker's yarn is one that no usual gauge is known of, or nobody named anything."""
    named = basis.yarn if basis.measures.yarn is not None else None
    return CannotTell("no_usual_gauge", named.name) if named and from_yarn(named) is None else CannotTell("no_gauge")


def _piece(view: View, slots: Slots) -> Piece | CannotTell:
    """The piece that is named, else the one at hand."""
    name = str(slots.get("piece", ""))
    if not name:
        return view.part.piece or CannotTell("assembly")
    found = [piece for piece in view.pattern.pieces if piece.name.casefold() == name.casefold()]
    return found[0] if found else CannotTell("no_such_piece", name)


def _in_rows(piece: Piece) -> bool:
    return any(entry.kind == "row" for entry in piece.rounds)


def _unknown(piece: Piece) -> CannotTell | None:
    labels = dict.fromkeys(one.label for one in rounds_of(piece) if one.stitches is None and not one.part_way)
    return CannotTell("unknown_round", piece.name, "; ".join(labels)) if labels else None


# --- yarn -----------------------------------------------------------------------------------------------------------


def yarn_left(view: View, basis: Basis, slots: Slots) -> object:
    """How much yarn the rest of the project takes."""
    gauge, swatch = basis.gauge, basis.swatch
    found = left(view.pattern, _made(view), gauge=gauge, swatch=swatch, weight=basis.yarn, ball=basis.measures.ball)
    if swatch is not None:
        return YarnToCome(found, "swatch", basis.measures.units)
    return YarnToCome(found, gauge.basis, basis.measures.units) if gauge else CannotTell("no_gauge_or_swatch")


def _made(view: View) -> dict[int, list[Made]]:
    """How far every copy of every piece is."""
    made: dict[int, list[Made]] = {}
    for part in view.layout.parts:
        if part.is_assembly:
            continue
        if part.index in view.progress.finished:
            done = Made(len(part.stops))
        else:
            place = view.place_in(part)
            done = Made(place.at.nth, place.stitch)
        made.setdefault(part.piece_index, []).append(done)
    return made


# --- eyes and tables --------------------------------------------------------------------------------------------------


def eye_size(view: View, basis: Basis, slots: Slots) -> object:
    """Eyes for a head of a width that is said, else for the piece that the pattern's eyes go into."""
    named = next((line for line in view.pattern.materials if "eye" in line.lower()), "")
    if "head" in slots:
        width = int(slots["head"]) * _MM[str(slots["unit"])]
        return _eyes((width, width), basis.measures.units, named)
    piece, rounds = _with_eyes(view)
    if piece is None:
        return CannotTell("assembly")
    gauge = basis.gauge
    if gauge is None:
        return _no_gauge(basis)
    counts = [one.stitches for one in rounds_of(piece) if rounds is None or one.number in rounds]
    known = [count for count in counts if count is not None]
    if not known:
        return CannotTell("unknown_round", piece.name)
    width = max(known) * gauge.stitch_mm / math.pi
    return _eyes((width * (1 - gauge.spread), width * (1 + gauge.spread)), basis.measures.units, named)


def _with_eyes(view: View) -> tuple[Piece | None, tuple[int, int] | None]:
    """The piece with eyes and the rounds they sit between; without a note of eyes the piece at hand."""
    for name, note in eye_notes(view.pattern):
        for piece in view.pattern.pieces:
            if piece.name == name:
                return piece, note.between_rounds
    return view.part.piece, None


def _eyes(head: tuple[float, float], system: units.System, named: str) -> EyeSizes | CannotTell:
    try:
        small, large = craft.eyes_for(head[0]), craft.eyes_for(head[1])
    except MakerError:
        return CannotTell("no_eyes")
    usual = (small.usual_mm, large.usual_mm)
    return EyeSizes(head, usual, small.sizes_mm[0], large.sizes_mm[-1], system, named)


def hook_size(view: View, basis: Basis, slots: Slots) -> object:
    """A row of the table of hooks."""
    table = tables.hooks()
    if "us_hook" in slots:
        return HookSize(_labelled(slots), asked_us=True)
    return HookSize(table.nearest(float(slots["hook"])))


def _labelled(slots: Slots) -> tables.Hook:
    found = tables.hooks().labelled(str(slots["us_hook"]))
    assert found is not None, "every label that can be said is in the table"
    return found


def yarn_weight(view: View, basis: Basis, slots: Slots) -> object:
    """A row of the table of yarns."""
    said = str(slots["yarn"])
    weight = tables.yarns().find(said)
    assert weight is not None, "every yarn that can be said is in the table"
    return YarnFacts(weight, said)


SUMS: dict[str, Sum] = {
    "how_big": how_big,
    "what_if_hook": what_if_hook,
    "what_if_yarn": what_if_yarn,
    "gauge_for_size": gauge_for_size,
    "yarn_left": yarn_left,
    "spread": spread,
    "spread_here": spread_here,
    "ruffle": ruffle,
    "eye_size": eye_size,
    "hook_size": hook_size,
    "yarn_weight": yarn_weight,
}
