"""Moves between rounds: next, back, to a round, to a piece, ripping back, and what a turning point lets through.

How back works: "back" mirrors "next". From anywhere in a round it lands on the first stitch of the round before, as "go
back one round" does; the maker who only wants the round again says its number. Rounds are counted by their printed
numbers where a piece has them, so "go back two rounds" from round 7 is round 5 even with a set-up step between. Before
the first round of a piece "back" leads into the piece before only where that one is finished.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from companion.place.answers import (
    AllDone,
    AskRip,
    Chosen,
    Held,
    NotDone,
    Notice,
    PiecesOpen,
    Reason,
    Released,
    RoundMove,
    RoundStarted,
    SmallParts,
    TurningPassed,
)
from companion.place.layout import Part, Spot, Stop
from companion.place.progress import Change, Place, ReleaseHow, fold
from companion.place.result import Question, Result, Slots, no_such_round, number, refused
from companion.place.stitch_moves import back_stretch, next_stretch
from companion.place.turning import Hold
from companion.place.view import View, choice_key
from companion.place.where import Where

LAPSE_SECONDS = 8.0
"""How long a question about losing work stays open; measured in the design of the ear."""


def next_(view: View, slots: Slots) -> Result:
    """On by the grain: the next round, repeat or run; the last one of a round leads into the next round."""
    return next_stretch(view) or next_round(view, slots)


def next_round(view: View, slots: Slots) -> Result:
    """The round is reported done, from any stitch of it, and the next one begins unless something holds it."""
    return _report_done(view, "next")


def done(view: View, slots: Slots) -> Result:
    """The round is done, whatever the grain."""
    return _report_done(view, "done")


def _report_done(view: View, by: RoundMove, said: int | None = None) -> Result:
    progress = view.progress
    if progress.all_done:
        return refused(view, Reason.ALL_DONE, by)
    full = view.full_place(progress.at, progress.stitch)
    holds = view.turning.open_after(full.at.part, full.at.nth, progress)
    if not holds:
        result = _advance(view, full, by)
        if said is not None and isinstance(result.answer, RoundStarted):
            return replace(result, answer=replace(result.answer, said=said))
        return result
    change, answer = _hold(view, full, holds)
    return Result(answer, change=None if answer.again else change)


def _hold(view: View, full: Place, holds: tuple[Hold, ...]) -> tuple[Change, Held]:
    first = holds[0]
    caution = first.turning.kind == "eyes" and "small parts" not in view.progress.told
    notices: tuple[Notice, ...] = (SmallParts(),) if caution else ()
    change = Change(place=full, held=first.key, told=["small parts"] if caution else [])
    again = view.progress.held == first.key
    return change, Held(view.where(full.at, full.stitch), first.turning, len(holds) - 1, again, notices)


def _advance(view: View, full: Place, by: RoundMove, released: Change | None = None) -> Result:
    """From the end of a round to what comes after it; `released` is a change that goes with it."""
    base = released or Change()
    part = view.layout.parts[full.at.part]
    finished = view.where(full.at, full.stitch)
    notices = view.notices_after(full.at)
    if full.at.nth + 1 < len(part.stops):
        place = Place(at=Spot(part.index, full.at.nth + 1), stitch=0)
        change = base.model_copy(update={"place": place})
        return _arrive(view, place, by, None, change, finished=finished, notices=notices)
    if not part.is_assembly:
        notices = (*notices, view.piece_ends(part))
    target = _next_part(view, part)
    if target is None:
        change = base.model_copy(update={"place": full, "finished": [part.index], "all_done": True})
        return Result(_all_done(view, finished, notices), change=change)
    place = view.place_in(target)
    change = base.model_copy(update={"place": place, "left_at": full, "finished": [part.index]})
    return _arrive(view, place, by, None, change, finished=finished, notices=notices)


def _arrive(
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


def _next_part(view: View, part: Part) -> Part | None:
    """The part to work after this one: the next unfinished, then any left behind, the assembly last."""
    parts = view.layout.parts
    waiting = [p for p in (*parts[part.index + 1 :], *parts[: part.index]) if p.index not in view.progress.finished]
    return next((p for p in waiting if not p.is_assembly), waiting[0] if waiting else None)


# --- back ---------------------------------------------------------------------------------------------------------


def back(view: View, slots: Slots) -> Result:
    """Back by the grain: to the start of the round, repeat or run before."""
    return back_stretch(view) or previous_round(view, slots)


def previous_round(view: View, slots: Slots) -> Result:
    """To the first stitch of the round before, from anywhere in this one."""
    progress = view.progress
    if progress.all_done:
        return _go(view, view.stop, "back", None)
    if progress.at.nth:
        return _go(view, view.part.stops[progress.at.nth - 1], "back", None)
    if view.part.index and (view.part.index - 1) in progress.finished:
        return _go(view, view.layout.parts[view.part.index - 1].stops[-1], "back", None)
    return refused(view, Reason.NO_ROUND_BEFORE, "back", said=1, limit=0)


def back_rounds(view: View, slots: Slots) -> Result:
    """So many rounds back within the piece, to the first stitch."""
    rounds = number(slots, "rounds", 1)
    target = _rounds_before(view, rounds)
    if target is None:
        return refused(view, Reason.NO_ROUND_BEFORE, "back_rounds", said=rounds, limit=len(_stops_before(view)))
    return _go(view, target, "back", rounds)


def _stops_before(view: View) -> tuple[Stop, ...]:
    """What counts as a round before this one: the numbered ones, or every step of a piece without numbers."""
    counted = view.part.numbered or view.part.stops
    return tuple(stop for stop in counted if stop.spot.nth < view.progress.at.nth)


def _rounds_before(view: View, rounds: int) -> Stop | None:
    before = _stops_before(view)
    if rounds < 1:
        return None
    return before[-rounds] if rounds <= len(before) else None


def rip_back(view: View, slots: Slots) -> Result:
    """Asks before it rips: lands on the first stitch of the round that many before, and every stitch since is lost."""
    rounds = number(slots, "rounds", 1)
    target = _rounds_before(view, rounds)
    if target is None:
        return refused(view, Reason.NO_ROUND_BEFORE, "rip_back", said=rounds, limit=len(_stops_before(view)))
    return _ask_rip(view, target, rounds, "rip_back", slots)


def rip_back_to(view: View, slots: Slots) -> Result:
    """Asks before it rips back to the first stitch of that round."""
    said = number(slots, "round", 0)
    target = _numbered(view, said)
    if target is None:
        return no_such_round(view, "rip_back_to", said)
    if target.spot.nth > view.progress.at.nth:
        return refused(view, Reason.NOT_THERE_YET, "rip_back_to", said=said, limit=view.stop.number)
    rounds = sum(stop.number is not None for stop in view.part.stops[target.spot.nth : view.progress.at.nth])
    return _ask_rip(view, target, rounds, "rip_back_to", slots)


def _ask_rip(view: View, target: Stop, rounds: int, command: str, slots: Slots) -> Result:
    """The question, with every stitch counted that would go; turning points behind the landing count as not done."""
    totals = [view.total(stop)[0] for stop in view.part.stops[target.spot.nth : view.progress.at.nth]]
    lost = None if None in totals else sum(total or 0 for total in totals) + view.progress.stitch
    open_again = [
        key
        for key in view.progress.released
        if (hold := view.turning.named(key, view.progress)) is not None
        and hold.part == view.part.index
        and hold.after >= target.spot.nth
    ]
    yes = _go(view, target, "ripped", rounds, lost=lost, unreleased=open_again)
    question = Question("rip", yes, Result(NotDone(view.here)), LAPSE_SECONDS, command, slots)
    return Result(AskRip(rounds, view.here, view.where(target.spot, 0), lost), question=question)


# --- to a round, a piece, a copy ----------------------------------------------------------------------------------


def go_to_round(view: View, slots: Slots) -> Result:
    """To the first stitch of the round of that number in this piece."""
    said = number(slots, "round", 0)
    target = _numbered(view, said)
    if target is None:
        return no_such_round(view, "go_to_round", said)
    here = view.progress.at.nth
    if target.spot.nth == here + 1 and not view.progress.all_done:
        return _report_done(view, "go_to", said)
    passed = view.turning.passed(view.part.index, here, target.spot.nth, view.progress)
    return _go(view, target, "go_to", said, notices=tuple(TurningPassed(h.turning) for h in passed))


def _numbered(view: View, said: int) -> Stop | None:
    return next((stop for stop in view.part.numbered if stop.number == said), None)


def restart_round(view: View, slots: Slots) -> Result:
    """To the first stitch of this round."""
    return _go(view, view.stop, "go_to", None)


def next_piece(view: View, slots: Slots) -> Result:
    """To the next piece: this one is reported done in its last round, and left as it is before that."""
    if view.next_in_part(view.stop) is None:
        return _report_done(view, "next")
    target = _next_part(view, view.part)
    if target is None:
        return refused(view, Reason.NO_SUCH_PIECE, "next_piece", names=view.layout.names)
    return _go_part(view, target, "piece", None)


def go_to_piece(view: View, slots: Slots) -> Result:
    """To a piece by its name: where it was left, in the first copy that is not finished."""
    name = str(slots.get("piece", ""))
    parts = [part for part in view.layout.parts if part.name.casefold() == name.casefold().strip()]
    if not parts:
        return refused(view, Reason.NO_SUCH_PIECE, "go_to_piece", name=name, names=view.layout.names)
    if view.part in parts:
        return _go_part(view, view.part, "piece", None)
    waiting = [part for part in parts if part.index not in view.progress.finished]
    return _go_part(view, (waiting or parts)[0], "piece", None)


def go_to_copy(view: View, slots: Slots) -> Result:
    """To "the second one" of the piece at hand, where it was left."""
    said = number(slots, "copy", 0)
    part = next((p for p in _copies(view) if p.copy == said), None)
    if part is None:
        return refused(view, Reason.NO_SUCH_COPY, "go_to_copy", said=said, limit=view.part.copies, name=view.part.name)
    return _go_part(view, part, "copy", said)


def _copies(view: View) -> list[Part]:
    return [part for part in view.layout.parts if part.piece_index == view.part.piece_index]


def _go_part(view: View, part: Part, by: RoundMove, said: int | None) -> Result:
    place = view.place_in(part)
    if part.index == view.part.index:
        return _arrive(view, place, by, said, None)
    waiting = [p for p in view.layout.parts if not p.is_assembly and p.index not in view.progress.finished]
    open_ = tuple((p.name, p.copy) for p in waiting) if part.is_assembly else ()
    change = Change(place=place)
    return _arrive(view, place, by, said, change, notices=(PiecesOpen(open_),) if open_ else ())


def _go(
    view: View,
    target: Stop,
    by: RoundMove,
    said: int | None,
    *,
    lost: int | None = None,
    unreleased: list[str] | None = None,
    notices: tuple[Notice, ...] = (),
) -> Result:
    place = Place(at=target.spot, stitch=0)
    part = target.spot.part
    reopened = [part] if part in view.progress.finished else []
    change = Change(place=place, reopened=reopened, unreleased=unreleased or [])
    return _arrive(view, place, by, said, change, lost=lost, notices=notices)


# --- turning points and choices -----------------------------------------------------------------------------------


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
        held, answer = _hold(after, full, holds)
        both = held.model_copy(update={"released": change.released, "put_off": change.put_off})
        return Result(Released(how, hold.turning, answer), change=both)
    then = _advance(after, full, "next", change)
    assert isinstance(then.answer, RoundStarted | AllDone)
    return replace(then, answer=Released(how, hold.turning, then.answer))


def choice(view: View, place: Place) -> Question | None:
    """The question which total to count by, where the pattern disagrees with itself and the maker has not said."""
    stop = view.layout.stop(place.at)
    key = choice_key(view.layout.parts[place.at.part], stop)
    if not stop.disagrees or key in view.progress.chosen or place.stitch:
        return None
    arrived = replace(view, progress=replace(view.progress, at=place.at, stitch=place.stitch))
    return Question("choice", _choose(arrived, printed=False), _choose(arrived, printed=True), None, "choose")


def use_printed(view: View, slots: Slots) -> Result:
    """Count this round by its printed total."""
    return _choose(view, printed=True)


def use_worked_out(view: View, slots: Slots) -> Result:
    """Count this round by the total worked out."""
    return _choose(view, printed=False)


def choose(view: View, slots: Slots) -> Result:
    """One of the two totals, by its number."""
    said = number(slots, "number", 0)
    stop = view.stop
    if not stop.disagrees or said not in (stop.stitches, stop.declared):
        return refused(view, Reason.NO_CHOICE_HERE, "choose", said=said)
    return _choose(view, printed=said == stop.declared)


def _choose(view: View, *, printed: bool) -> Result:
    stop = view.stop
    command = "use_printed" if printed else "use_worked_out"
    total = stop.declared if printed else stop.stitches
    if not stop.disagrees or total is None:
        return refused(view, Reason.NO_CHOICE_HERE, command)
    if view.progress.stitch > total:
        return refused(view, Reason.BEYOND_ROUND, command, said=view.progress.stitch, limit=total)
    change = Change(chosen={choice_key(view.part, stop): printed})
    after = replace(view, progress=fold(view.progress, change))
    return Result(Chosen(after.here, total, printed), change=change)


MOVES: dict[str, Callable[[View, Slots], Result]] = {
    "next": next_,
    "next_round": next_round,
    "done": done,
    "back": back,
    "previous_round": previous_round,
    "back_rounds": back_rounds,
    "rip_back": rip_back,
    "rip_back_to": rip_back_to,
    "restart_round": restart_round,
    "next_piece": next_piece,
    "go_to_round": go_to_round,
    "go_to_piece": go_to_piece,
    "go_to_copy": go_to_copy,
    "done_that": done_that,
    "skip_it": skip_it,
    "later": later,
    "choose": choose,
    "use_printed": use_printed,
    "use_worked_out": use_worked_out,
}
