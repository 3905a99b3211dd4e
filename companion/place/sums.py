"""Sums over parts: stitches made and in all, rounds to come. Unknown totals are left out and counted apart."""

from __future__ import annotations

from collections.abc import Iterable

from companion.pattern.model import Basis
from companion.place.layout import Part, Stop
from companion.place.view import View


def totals(view: View, parts: Iterable[Part]) -> tuple[int, int, Basis]:
    """Stitches of these parts, how many of their rounds have no known total, and the weakest basis of the sum."""
    known, unknown, basis = 0, 0, "worked_out"
    for part in parts:
        if part.is_assembly:
            continue
        for stop in part.stops:
            total, from_ = view.total(stop)
            if total is None:
                unknown += stop.kind != "step"
            else:
                known += total
                basis = from_ if from_ != "worked_out" else basis
    return known, unknown, "pattern_says" if basis != "worked_out" else "worked_out"


def made_in(view: View, part: Part) -> int:
    """Stitches made in that part: the rounds before its place, and what is made of the one at hand."""
    if part.is_assembly:
        return 0
    if part.index in view.progress.finished:
        return sum(view.total(stop)[0] or 0 for stop in part.stops)
    place = view.place_in(part)
    before = sum(view.total(stop)[0] or 0 for stop in part.stops[: place.at.nth])
    return before + (place.stitch if view.total(part.stops[place.at.nth])[0] is not None else 0)


def rounds_after(view: View, part: Part) -> tuple[Stop, ...]:
    """The stops of that part after the one at hand; all of them where it was not begun."""
    if part.is_assembly and part.index != view.progress.at.part:
        return ()
    if part.index in view.progress.finished and part.index != view.progress.at.part:
        return ()
    return part.stops[view.place_in(part).at.nth + 1 :]
