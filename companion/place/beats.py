"""Count with me: one stitch a beat, and a stop at every corner of the round.

A corner is where the work changes: the end of a run of equal work, of a repeat, of the round. The session beats (a
word, a key, a tempo) by the command "beat"; each beat is one stitch made, kept and undone like any other move.
"""

from __future__ import annotations

from collections.abc import Callable

from companion.place.answers import Beat, Corner, CountBeat, Reason, StitchesMade
from companion.place.result import Result, Slots, refused
from companion.place.stitch_moves import to_stitch
from companion.place.view import View


def count_with_me(view: View, slots: Slots) -> Result:
    """What will be counted: from the next stitch to the next corner."""
    here = view.here
    if view.stop.kind == "assembly":
        return refused(view, Reason.NO_STITCHES_HERE, "count_with_me")
    if here.full:
        return refused(view, Reason.ROUND_FULL, "count_with_me", limit=here.stitches)
    last, corner = _corner(view, here.stitch)
    return Result(CountBeat(here, here.stitch + 1, last, corner, view.ahead(view.progress.place)))


def beat(view: View, slots: Slots) -> Result:
    """One stitch more, counted aloud."""
    here = view.here
    if view.stop.kind == "assembly":
        return refused(view, Reason.NO_STITCHES_HERE, "beat")
    if here.full:
        return refused(view, Reason.ROUND_FULL, "beat", limit=here.stitches)
    last, corner = _corner(view, here.stitch)
    made = here.stitch + 1
    result = to_stitch(view, "more", 1, made)
    assert isinstance(result.answer, StitchesMade)
    now = result.answer.now
    answer = Beat(made, now, corner if made == last else None, result.answer.ahead)
    return Result(answer, change=result.change)


def _corner(view: View, stitch: int) -> tuple[int, Corner]:
    total, _ = view.total(view.stop)
    walked = view.walk(view.stop)
    run = walked.run_at(stitch)
    if run is None:
        # Nothing is known of single stitches here: count to the end, or one by one where even that is unknown.
        return (stitch + 1, "run") if total is None else (total, "round")
    if run.last == total:
        return run.last, "round"
    ends = {s.end for s in walked.stretches("repeat")}
    return run.last, "repeat" if run.last in ends else "run"


BEATS: dict[str, Callable[[View, Slots], Result]] = {"count_with_me": count_with_me, "beat": beat}
