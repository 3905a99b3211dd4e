"""Sums over parts: stitches made and in all, rounds to come. Unknown totals are left out and counted apart."""

from __future__ import annotations

from collections.abc import Iterable

from companion.pattern.model import Basis
from companion.place.layout import Part, Stop
from companion.place.view import View


def totals(view: View, parts: Iterable[Part]) -> tuple[int, int, Basis]:
    """Stitches of these parts, how many of their rounds have no known total, and the weakest basis of the sum."""
    known, unknown, sure = 0, 0, True
    for part in parts:
        known += known_before(view, part, len(part.stops))
        unknown += part.unknown
        sure = sure and part.sure and not any(view.counts_printed(stop) for stop in part.disagreeing)
    return known, unknown, "worked_out" if sure else "pattern_says"


def made_in(view: View, part: Part) -> int:
    """Stitches made in that part: the rounds before its place, and what is made of the one at hand."""
    if part.index in view.progress.finished:
        return known_before(view, part, len(part.stops))
    place = view.place_in(part)
    total, _ = view.total(part.stops[place.at.nth])
    return known_before(view, part, place.at.nth) + (0 if total is None else place.stitch)


def known_before(view: View, part: Part, nth: int) -> int:
    """Stitches of the first `nth` stops of the part, as they are counted; unknown totals count nothing."""
    chosen = (stop for stop in part.disagreeing if stop.spot.nth < nth and view.counts_printed(stop))
    return part.known[nth] + sum((stop.declared or 0) - (stop.stitches or 0) for stop in chosen)


def rounds_after(view: View, part: Part) -> tuple[Stop, ...]:
    """The stops of that part after the one at hand; all of them where it was not begun."""
    if part.is_assembly and part.index != view.progress.at.part:
        return ()
    if part.index in view.progress.finished and part.index != view.progress.at.part:
        return ()
    return part.stops[view.place_in(part).at.nth + 1 :]
