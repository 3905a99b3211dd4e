"""The maker's own pace, from what was told when: how long the rest will take, said with its uncertainty.

Each stretch between two reports in the same piece, less than ten minutes apart, is one measurement: so many stitches in
so many seconds. The time left is a range: the middle half of the measurements, each weighted by its stitches. Below
`LEAST_STITCHES` stitches or `LEAST_STRETCHES` stretches nothing is said.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from companion.place.answers import TimeLeft
from companion.place.progress import Place
from companion.place.story import Track
from companion.place.sums import known_before, made_in, totals
from companion.place.view import View

LONGEST_GAP = 600.0
LEAST_STRETCHES = 4
LEAST_STITCHES = 40
LATEST = 400
"""Only so many of the latest reports are looked at: a pace changes, and the answer must be quick."""

_REPORTS = frozenset(
    {"next", "next_round", "done", "have_done", "at_stitch", "more", "next_stitch", "finished_repeat", "beat"}
)


def time_left(view: View, tracks: Sequence[Track]) -> TimeLeft:
    """Minutes for all stitches left in the project, as a range."""
    parts = view.layout.parts
    total, unknown, _ = totals(view, parts)
    stitches = max(0, total - sum(made_in(view, part) for part in parts))
    measured = _measure(view, tracks[-LATEST:])
    known = sum(weight for _, weight in measured)
    if len(measured) < LEAST_STRETCHES or known < LEAST_STITCHES:
        return TimeLeft(stitches, None, None, len(measured), unknown)
    quick, slow = _quantile(measured, 0.25), _quantile(measured, 0.75)
    return TimeLeft(stitches, stitches * quick / 60, stitches * slow / 60, len(measured), unknown)


def _measure(view: View, tracks: Sequence[Track]) -> list[tuple[float, int]]:
    """Seconds a stitch, and how many stitches they were measured on."""
    measured: list[tuple[float, int]] = []
    for before, after in pairwise(tracks):
        seconds = after.at - before.at
        if after.command not in _REPORTS or before.place.at.part != after.place.at.part:
            continue
        if before.command in ("pause", "ended") or not 0 < seconds <= LONGEST_GAP:
            continue
        stitches = _made(view, after.place) - _made(view, before.place)
        if stitches > 0:
            measured.append((seconds / stitches, stitches))
    return sorted(measured)


def _made(view: View, place: Place) -> int:
    return known_before(view, view.layout.parts[place.at.part], place.at.nth) + place.stitch


def _quantile(measured: Sequence[tuple[float, int]], share: float) -> float:
    """The pace below which that share of all stitches was worked."""
    wanted = share * sum(weight for _, weight in measured)
    passed = 0
    for pace, weight in measured:
        passed += weight
        if passed >= wanted:
            return pace
    return measured[-1][0]
