"""Leaving a round and arriving at another: what every move between rounds comes down to."""

from __future__ import annotations

from dataclasses import replace

from companion.place.answers import (
    AllDone,
    Held,
    Notice,
    PiecesOpen,
    Reason,
    RoundMove,
    RoundStarted,
    SmallParts,
)
from companion.place.choices import choice
from companion.place.layout import Part, Spot, Stop
from companion.place.progress import Change, Place
from companion.place.result import Result, refused
from companion.place.small_parts import TOLD
from companion.place.turning import Hold
from companion.place.view import View
from companion.place.where import Where


def report_done(view: View, by: RoundMove, said: int | None = None) -> Result:
    """The round is done, from any stitch of it: on to the next one, or held here where something must be done first."""
    progress = view.progress
    if progress.all_done:
        return refused(view, Reason.ALL_DONE, by)
    full = view.full_place(progress.at, progress.stitch)
    holds = view.turning.open_after(full.at.part, full.at.nth, progress)
    if not holds:
        result = advance(view, full, by)
        if said is not None and isinstance(result.answer, RoundStarted):
            return replace(result, answer=replace(result.answer, said=said))
        return result
    change, answer = hold_at(view, full, holds)
    if answer.again:
        return Result(answer)
    return Result(replace(answer, first=view.notices_before_hold(full.at)), change=change)


def hold_at(view: View, full: Place, holds: tuple[Hold, ...]) -> tuple[Change, Held]:
    """The round is recorded, and the first of these turning points waits."""
    first = holds[0]
    notices = caution(view, first)
    change = Change(place=full, held=first.key, told=[TOLD] if notices else [])
    again = view.progress.held == first.key
    return change, Held(view.where(full.at, full.stitch), first.turning, len(holds) - 1, again, notices)


def caution(view: View, *holds: Hold) -> tuple[SmallParts, ...]:
    """The caution about small parts where these are about eyes and it was not said yet."""
    due = any(hold.turning.kind == "eyes" for hold in holds) and TOLD not in view.progress.told
    return (SmallParts(),) if due else ()


def advance(view: View, full: Place, by: RoundMove, released: Change | None = None) -> Result:
    """From the end of a round to what comes after it; `released` is a change that goes with it where work was held."""
    base = released or Change()
    part = view.layout.parts[full.at.part]
    finished = view.where(full.at, full.stitch)
    told = 0 if released is None else len(view.notices_before_hold(full.at))
    notices = view.notices_after(full.at)[told:]
    if full.at.nth + 1 < len(part.stops):
        place = Place(at=Spot(part.index, full.at.nth + 1), stitch=0)
        reopened = [part.index] if part.index in view.progress.finished else []
        change = base.model_copy(update={"place": place, "reopened": reopened})
        return arrive(view, place, by, None, change, finished=finished, notices=notices)
    if not part.is_assembly:
        notices = (*notices, view.piece_ends(part))
    target = next_part(view, part)
    if target is None:
        change = base.model_copy(update={"place": full, "finished": [part.index], "all_done": True})
        return Result(_all_done(view, finished, notices), change=change)
    place = view.place_in(target)
    change = base.model_copy(update={"place": place, "left_at": full, "finished": [part.index]})
    return arrive(view, place, by, None, change, finished=finished, notices=notices)


def arrive(
    view: View,
    place: Place,
    by: RoundMove,
    said: int | None,
    change: Change | None,
    *,
    finished: Where | None = None,
    notices: tuple[Notice, ...] = (),
    lost: int | None = None,
) -> Result:
    """The answer to landing at `place`, and the question about its total where the pattern disagrees with itself."""
    answer = RoundStarted(
        by=by,
        said=said,
        before=view.here,
        now=view.where(place.at, place.stitch),
        reading=view.reading(place),
        done=finished,
        lost=lost,
        notices=(*notices, *(view.notices(place) if place.stitch == 0 else ())),
    )
    return Result(answer, change=change, question=choice(view, place))


def _all_done(view: View, finished: Where, notices: tuple[Notice, ...]) -> AllDone:
    pieces = [part for part in view.layout.parts if not part.is_assembly]
    sums = [view.piece_ends(part).stitches for part in pieces]
    return AllDone(finished, len(pieces), None if None in sums else sum(s or 0 for s in sums), notices)


def next_part(view: View, part: Part) -> Part | None:
    """The part to work after this one: the next unfinished, then any left behind, the assembly last."""
    parts = view.layout.parts
    waiting = [p for p in (*parts[part.index + 1 :], *parts[: part.index]) if p.index not in view.progress.finished]
    return next((p for p in waiting if not p.is_assembly), waiting[0] if waiting else None)


def go(
    view: View,
    target: Stop,
    by: RoundMove,
    said: int | None,
    *,
    lost: int | None = None,
    unreleased: list[str] | None = None,
    notices: tuple[Notice, ...] = (),
    told: list[str] | None = None,
) -> Result:
    """To the first stitch of that round. A finished part is open again; `unreleased` turning points count anew."""
    place = Place(at=target.spot, stitch=0)
    part = target.spot.part
    reopened = [part] if part in view.progress.finished else []
    change = Change(place=place, reopened=reopened, unreleased=unreleased or [], told=told or [])
    return arrive(view, place, by, said, change, lost=lost, notices=notices)


def go_to_part(view: View, part: Part, by: RoundMove, said: int | None) -> Result:
    """To where that part was left. Before the assembly the pieces that are not finished are named."""
    place = view.place_in(part)
    if part.index == view.part.index:
        return arrive(view, place, by, said, None)
    waiting = [p for p in view.layout.parts if not p.is_assembly and p.index not in view.progress.finished]
    open_ = tuple((p.name, p.copy) for p in waiting) if part.is_assembly else ()
    change = Change(place=place)
    return arrive(view, place, by, said, change, notices=(PiecesOpen(open_),) if open_ else ())
