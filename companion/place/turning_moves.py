"""What lets the work go on at a turning point: done, skipped, or put off until after the next round."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from companion.place.answers import AllDone, Reason, Released, RoundStarted
from companion.place.arriving import advance, hold_at
from companion.place.progress import Change, ReleaseHow, fold
from companion.place.result import Result, Slots, refused
from companion.place.view import View


def done_that(view: View, slots: Slots) -> Result:
    """What the turning point asked for is done; the next round begins."""
    return _release(view, "done_that")


def skip_it(view: View, slots: Slots) -> Result:
    """It will not be done; the next round begins."""
    return _release(view, "skip_it")


def later(view: View, slots: Slots) -> Result:
    """Not now: the next round begins, and the turning point comes back after it."""
    return _release(view, "later")


def _release(view: View, how: ReleaseHow) -> Result:
    hold = view.held
    if hold is None:
        return refused(view, Reason.NOTHING_HELD, how)
    at = view.progress.at
    change = Change(released={hold.key: how}, put_off={hold.key: at.nth + 1} if how == "later" else {})
    after = replace(view, progress=fold(view.progress, change))
    full = view.progress.place
    if holds := after.turning.open_after(at.part, at.nth, after.progress):
        held, answer = hold_at(after, full, holds)
        both = held.model_copy(update={"released": change.released, "put_off": change.put_off})
        return Result(Released(how, hold.turning, answer), change=both)
    then = advance(after, full, "next", change)
    assert isinstance(then.answer, RoundStarted | AllDone)
    return replace(then, answer=Released(how, hold.turning, then.answer))


TURNING_MOVES: dict[str, Callable[[View, Slots], Result]] = {
    "done_that": done_that,
    "skip_it": skip_it,
    "later": later,
}
