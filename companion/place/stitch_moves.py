"""Moves within a round: so many stitches done, so many more, to the end of a motion, a run or a repeat.

A count in the middle of a motion is allowed: "I have done five" one stitch into an increase is five stitches given.
Fewer than before is a correction and is allowed too. More than the round has is refused with the numbers.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from companion.place.answers import Notice, Reason, StitchesMade, StitchMove, TurningAhead
from companion.place.progress import Change, Place
from companion.place.result import Result, Slots, number, refused
from companion.place.view import View


def have_done(view: View, slots: Slots) -> Result:
    """So many stitches of this round are made, counted from its start."""
    said = number(slots, "stitches", 0)
    return _told(view, "have_done", said, said)


def at_stitch(view: View, slots: Slots) -> Result:
    """The same as `have_done`: at stitch twelve, twelve are made."""
    said = number(slots, "stitch", 0)
    return _told(view, "at_stitch", said, said)


def more(view: View, slots: Slots) -> Result:
    """So many more than last told."""
    said = number(slots, "stitches", 0)
    return _told(view, "more", said, view.progress.stitch + said)


def back_stitches(view: View, slots: Slots) -> Result:
    """So many stitches fewer than last told: they were pulled out, or told by mistake."""
    said = number(slots, "stitches", 1)
    made = view.progress.stitch - said
    if made < 0:
        return refused(view, Reason.NOT_SO_MANY_MADE, "back_stitches", said=said, limit=view.progress.stitch)
    return to_stitch(view, "back", said, made)


def have_done_repeats(view: View, slots: Slots) -> Result:
    """So many repeats of this round are made: to the end of that repeat, in the group of repeats at hand."""
    said = number(slots, "repeats", 0)
    walked = view.walk(view.stop)
    made = view.progress.stitch
    groups = [(s, walked.steps[s.last - 1]) for s in walked.stretches("repeat")]
    repeats = [(s, step) for s, step in groups if step.repeat is not None]
    here = next((step.group for s, step in repeats if s.start <= made < s.end), None)
    group = here if here is not None else (repeats[-1][1].group if repeats else None)
    ends = {step.repeat: s.end for s, step in repeats if step.group == group}
    if said not in ends:
        return refused(view, Reason.NO_REPEAT_HERE, "have_done_repeats", said=said, limit=len(ends) or None)
    return to_stitch(view, "have_done_repeats", said, ends[said])


def _told(view: View, by: StitchMove, said: int, made: int) -> Result:
    total, _ = view.total(view.stop)
    if view.stop.kind == "assembly":
        return refused(view, Reason.NO_STITCHES_HERE, by, said=said)
    if made < 0 or (total is not None and made > total):
        return refused(view, Reason.BEYOND_ROUND, by, said=said, limit=total)
    return to_stitch(view, by, said, made)


def next_stitch(view: View) -> Result | None:
    """One motion of the hook on; None where the round is full, so that the next round begins."""
    total, _ = view.total(view.stop)
    made = view.progress.stitch
    if made == total or view.stop.kind == "assembly":
        return None
    walked = view.walk(view.stop)
    motion = walked.motion_at(made)
    if motion is None:
        # Beyond what is sure, single stitches can still be counted, one by one.
        return to_stitch(view, "next_stitch", 1, made + 1)
    end = walked.ends[motion]
    return to_stitch(view, "next_stitch", end - made, end)


def next_stretch(view: View) -> Result | None:
    """To the end of the run or repeat at hand, at the finer grains; None where that ends the round."""
    if view.grain == "round":
        return None
    stretch = view.walk(view.stop).stretch_at(view.progress.stitch, view.grain)
    total, _ = view.total(view.stop)
    if stretch is None or stretch.end == total:
        return None
    by: StitchMove = "next_run" if view.grain == "stitch" else "next_repeat"
    return to_stitch(view, by, stretch.end - view.progress.stitch, stretch.end)


def back_stretch(view: View) -> Result | None:
    """To the start of the run or repeat before, at the finer grains; None where that is in the round before."""
    if view.grain == "round" or view.progress.all_done:
        return None
    made = view.progress.stitch
    stretches = view.walk(view.stop).stretches(view.grain)
    before = [s for s in stretches if s.end <= made]
    if not before:
        return None
    start = before[-1].start
    return to_stitch(view, "back", made - start, start)


def finished_repeat(view: View, slots: Slots) -> Result:
    """To the end of the repeat at hand; the round is never left by it."""
    made = view.progress.stitch
    stretch = view.walk(view.stop).stretch_at(made, "repeat")
    if stretch is None or view.here.repeat is None:
        return refused(view, Reason.NO_REPEAT_HERE, "finished_repeat")
    return to_stitch(view, "finished_repeat", stretch.end - made, stretch.end)


def to_stitch(view: View, by: StitchMove, said: int, made: int) -> Result:
    """The move to that count, with what it means. Moving within a finished part opens it again."""
    at = view.progress.at
    place = Place(at=at, stitch=made)
    now = view.where(at, made)
    change = Change(
        place=place,
        held=view.progress.held if now.full else None,
        all_done=view.progress.all_done and now.full,
        reopened=[] if now.full or at.part not in view.progress.finished else [at.part],
    )
    fine: Literal["next_run", "next_repeat", "back"] | None = by if by in ("next_run", "next_repeat", "back") else None
    answer = StitchesMade(
        by=by,
        said=said,
        before=view.here,
        now=now,
        ahead=view.ahead(place),
        fewer=made < view.progress.stitch,
        reading=view.reading(place) if fine and view.grain != "round" else None,
        notices=_notices(view, place, now.full),
    )
    return Result(answer, change=change)


def _notices(view: View, place: Place, full: bool) -> tuple[Notice, ...]:
    """Colour changes in the stretch that comes, and the turning points that wait at the end of a full round."""
    if full:
        holds = view.turning.open_after(place.at.part, place.at.nth, view.progress)
        return tuple(TurningAhead(hold.turning) for hold in holds)
    if view.grain == "round":
        return ()
    stretch = view.walk(view.stop).stretch_at(place.stitch, view.grain)
    if stretch is None:
        return ()
    return tuple(
        change
        for change in view.colours_ahead(view.stop)
        if change.stitch is not None and stretch.start < change.stitch <= stretch.end
    )


STITCH_MOVES: dict[str, Callable[[View, Slots], Result]] = {
    "have_done": have_done,
    "at_stitch": at_stitch,
    "more": more,
    "back_stitches": back_stitches,
    "have_done_repeats": have_done_repeats,
    "finished_repeat": finished_repeat,
}
