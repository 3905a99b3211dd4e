"""Rounds counted and found by number within the piece at hand."""

from __future__ import annotations

from companion.place.layout import Stop
from companion.place.view import View


def stops_before(view: View) -> tuple[Stop, ...]:
    """What counts as a round before this one: the numbered ones, or every step of a piece without numbers."""
    counted = view.part.numbered or view.part.stops
    return tuple(stop for stop in counted if stop.spot.nth < view.progress.at.nth)


def rounds_before(view: View, rounds: int) -> Stop | None:
    """The round that many before the present one; None where there are not so many."""
    before = stops_before(view)
    if rounds < 1:
        return None
    return before[-rounds] if rounds <= len(before) else None


def numbered(view: View, said: int) -> Stop | None:
    """The round with that printed number; the first of them where a number is used twice."""
    return next((stop for stop in view.part.numbered if stop.number == said), None)
