"""Moves between rounds: next, back, to a round, to a piece or copy.

How back works: "back" mirrors "next". From anywhere in a round it lands on the first stitch of the round before, as "go
back one round" does; the maker who only wants the round again says its number. Rounds are counted by their printed
numbers where a piece has them, so "go back two rounds" from round 7 is round 5 even with a set-up step between. Before
the first round of a piece "back" leads into the piece before only where that one is finished.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from companion.place.answers import Notice, Reason, RoundStarted, TurningPassed, WhereAmI
from companion.place.arriving import caution, go, go_to_part, next_part, report_done
from companion.place.layout import Part
from companion.place.result import Result, Slots, no_such_round, number, refused
from companion.place.rounds import numbered, rounds_before, stops_before
from companion.place.small_parts import TOLD
from companion.place.stitch_moves import back_stretch, next_stitch, next_stretch
from companion.place.view import View


def next_(view: View, slots: Slots) -> Result:
    """On by the grain: the next round, repeat or run; the last one of a round leads into the next round."""
    return next_stretch(view) or next_round(view, slots)


def next_round(view: View, slots: Slots) -> Result:
    """The round is reported done, from any stitch of it, and the next one begins unless something holds it."""
    return report_done(view, "next")


def done(view: View, slots: Slots) -> Result:
    """The round is done, whatever the grain."""
    return report_done(view, "done")


def finished_round(view: View, slots: Slots) -> Result:
    """The round of that number is done. Where the place is just past it nothing moves; else the one after it begins."""
    said = number(slots, "round", 0)
    target = numbered(view, said)
    if target is None:
        return no_such_round(view, "finished_round", said)
    at = view.progress.at
    if target.spot == at:
        return report_done(view, "done", said)
    if target.spot.nth == at.nth - 1:
        hold = view.held
        return Result(WhereAmI(view.here, "held" if hold else "listening", hold.turning if hold else None))
    passed = view.turning.passed(at.part, at.nth, target.spot.nth, view.progress)
    small = caution(view, *passed)
    there = replace(view.progress, at=target.spot, stitch=0, held=None, all_done=False)
    result = report_done(replace(view, progress=there), "done", said)
    if isinstance(result.answer, RoundStarted):
        notices: tuple[Notice, ...] = (*(TurningPassed(hold.turning) for hold in passed), *small)
        answer = replace(result.answer, before=view.here, notices=(*notices, *result.answer.notices))
        return replace(result, answer=answer)
    return result


def to_next_stitch(view: View, slots: Slots) -> Result:
    """One motion of the hook on; from a full round to the start of the next."""
    return next_stitch(view) or next_round(view, slots)


def back(view: View, slots: Slots) -> Result:
    """Back by the grain: to the start of the round, repeat or run before."""
    return back_stretch(view) or previous_round(view, slots)


def previous_round(view: View, slots: Slots) -> Result:
    """To the first stitch of the round before, from anywhere in this one."""
    progress = view.progress
    if progress.all_done:
        return go(view, view.stop, "back", None)
    if progress.at.nth:
        return go(view, view.part.stops[progress.at.nth - 1], "back", None)
    if view.part.index and (view.part.index - 1) in progress.finished:
        return go(view, view.layout.parts[view.part.index - 1].stops[-1], "back", None)
    return refused(view, Reason.NO_ROUND_BEFORE, "back", said=1, limit=0)


def back_rounds(view: View, slots: Slots) -> Result:
    """So many rounds back within the piece, to the first stitch."""
    rounds = number(slots, "rounds", 1)
    target = rounds_before(view, rounds)
    if target is None:
        return refused(view, Reason.NO_ROUND_BEFORE, "back_rounds", said=rounds, limit=len(stops_before(view)))
    return go(view, target, "back", rounds)


def go_to_round(view: View, slots: Slots) -> Result:
    """To the first stitch of the round of that number in this piece."""
    said = number(slots, "round", 0)
    target = numbered(view, said)
    if target is None:
        return no_such_round(view, "go_to_round", said)
    here = view.progress.at.nth
    if target.spot.nth == here + 1 and not view.progress.all_done:
        return report_done(view, "go_to", said)
    passed = view.turning.passed(view.part.index, here, target.spot.nth, view.progress)
    small = caution(view, *passed)
    notices: tuple[Notice, ...] = (*(TurningPassed(hold.turning) for hold in passed), *small)
    return go(view, target, "go_to", said, notices=notices, told=[TOLD] if small else [])


def restart_round(view: View, slots: Slots) -> Result:
    """To the first stitch of this round."""
    return go(view, view.stop, "go_to", None)


def next_piece(view: View, slots: Slots) -> Result:
    """To the next piece: this one is reported done in its last round, and left as it is before that."""
    if view.next_in_part(view.stop) is None:
        return report_done(view, "next")
    target = next_part(view, view.part)
    if target is None:
        return refused(view, Reason.NO_SUCH_PIECE, "next_piece", names=view.layout.names)
    return go_to_part(view, target, "piece", None)


def go_to_piece(view: View, slots: Slots) -> Result:
    """To a piece by its name: where it was left, in the first copy that is not finished."""
    name = str(slots.get("piece", ""))
    parts = [part for part in view.layout.parts if part.name.casefold() == name.casefold().strip()]
    if not parts:
        return refused(view, Reason.NO_SUCH_PIECE, "go_to_piece", name=name, names=view.layout.names)
    if view.part in parts:
        return go_to_part(view, view.part, "piece", None)
    waiting = [part for part in parts if part.index not in view.progress.finished]
    return go_to_part(view, (waiting or parts)[0], "piece", None)


def go_to_copy(view: View, slots: Slots) -> Result:
    """To "the second one" of the piece at hand, where it was left."""
    said = number(slots, "copy", 0)
    part = next((p for p in _copies(view) if p.copy == said), None)
    if part is None:
        return refused(view, Reason.NO_SUCH_COPY, "go_to_copy", said=said, limit=view.part.copies, name=view.part.name)
    return go_to_part(view, part, "copy", said)


def _copies(view: View) -> list[Part]:
    return [part for part in view.layout.parts if part.piece_index == view.part.piece_index]


MOVES: dict[str, Callable[[View, Slots], Result]] = {
    "next": next_,
    "next_round": next_round,
    "next_stitch": to_next_stitch,
    "done": done,
    "finished_round": finished_round,
    "back": back,
    "previous_round": previous_round,
    "back_rounds": back_rounds,
    "go_to_round": go_to_round,
    "restart_round": restart_round,
    "next_piece": next_piece,
    "go_to_piece": go_to_piece,
    "go_to_copy": go_to_copy,
}
