"""Questions about the work. Every answer is worked out from the place and the pattern alone, and nothing moves."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Literal

from companion.place.answers import (
    NextStitch,
    NoRound,
    Reason,
    Repeats,
    RoundRead,
    RoundsLeft,
    RoundsTotal,
    Scope,
    StitchesDone,
    StitchesLeft,
    Total,
    WhatNext,
    WorkedInto,
)
from companion.place.layout import Part, Stop
from companion.place.progress import Place
from companion.place.result import Result, Slots, no_such_round, number, refused
from companion.place.rounds import numbered
from companion.place.sums import made_in, rounds_after, totals
from companion.place.view import View


def stitches_left(view: View, slots: Slots) -> Result:
    """Stitches left in this round."""
    here = view.here
    after = rounds_after(view, view.part)
    return Result(StitchesLeft("round", here, here.stitch, here.left, here.stitches, here.basis, len(after)))


def stitches_left_repeat(view: View, slots: Slots) -> Result:
    """Stitches left in the repeat at hand."""
    here = view.here
    stretch = view.walk(view.stop).stretch_at(here.stitch, "repeat")
    if stretch is None or here.repeat is None:
        return refused(view, Reason.NO_REPEAT_HERE, "stitches_left_repeat")
    total, made = stretch.end - stretch.start, here.stitch - stretch.start
    return Result(StitchesLeft("repeat", here, made, total - made, total, here.basis))


def stitches_left_piece(view: View, slots: Slots) -> Result:
    """Stitches left in this copy of this piece."""
    return _left(view, "piece", [view.part])


def stitches_left_project(view: View, slots: Slots) -> Result:
    """Stitches left in all pieces and copies."""
    return _left(view, "project", view.layout.parts)


def _left(view: View, scope: Scope, parts: Iterable[Part]) -> Result:
    parts = list(parts)
    total, unknown, basis = totals(view, parts)
    made = sum(made_in(view, part) for part in parts)
    after = sum(len(rounds_after(view, part)) for part in parts)
    return Result(StitchesLeft(scope, view.here, made, max(0, total - made), total, basis, after, unknown))


def stitches_done(view: View, slots: Slots) -> Result:
    """Stitches made in this round."""
    return Result(StitchesDone(view.here))


def rounds_left(view: View, slots: Slots) -> Result:
    """Rounds of this piece after the present one."""
    after = rounds_after(view, view.part)
    numbered = [stop for stop in after if stop.number is not None]
    return Result(RoundsLeft(view.here, len(numbered), len(after) - len(numbered)))


def rounds_total(view: View, slots: Slots) -> Result:
    """How many rounds this piece has."""
    part = view.part
    return Result(RoundsTotal(view.here, len(part.numbered), len(part.stops) - len(part.numbered)))


def which_repeat(view: View, slots: Slots) -> Result:
    """Which repeat the next stitch belongs to."""
    return _repeats(view, "which_repeat")


def repeats_left(view: View, slots: Slots) -> Result:
    """Repeats left, the one being worked on included; none when the round is full."""
    return _repeats(view, "repeats_left")


def _repeats(view: View, asked: Literal["which_repeat", "repeats_left"]) -> Result:
    here = view.here
    left = None
    if here.repeat is not None and here.repeats is not None:
        left = 0 if here.full else here.repeats - here.repeat + 1
    return Result(Repeats(asked, here, here.repeat, here.repeats, left))


def total_round(view: View, slots: Slots) -> Result:
    """The total of this round, or of the one with that number in this piece."""
    if "round" not in slots:
        return _total(view, "this", view.stop)
    said = number(slots, "round", 0)
    stop = numbered(view, said)
    if stop is None:
        return no_such_round(view, "total_round", said)
    return _total(view, "numbered", stop)


def total_last(view: View, slots: Slots) -> Result:
    """The total of the round before this one in the piece."""
    nth = view.progress.at.nth
    return _total(view, "last", view.part.stops[nth - 1]) if nth else Result(NoRound("last", view.here))


def total_next(view: View, slots: Slots) -> Result:
    """The total of the round after this one in the piece."""
    stop = view.next_in_part(view.stop)
    return _total(view, "next", stop) if stop else Result(NoRound("next", view.here))


def _total(view: View, which: Literal["this", "last", "next", "numbered"], stop: Stop) -> Result:
    stitches, basis = view.total(stop)
    spaces = stop.entry.chain_spaces if stop.entry else 0
    return Result(Total(which, view.here, view.where(stop.spot, 0), stitches, basis, stop.declared, spaces))


def worked_into(view: View, slots: Slots) -> Result:
    """What this round is worked into."""
    entry = view.stop.entry
    into = entry.worked_into if entry else None
    return Result(WorkedInto(view.here, into, entry.into if entry else None))


def what_next(view: View, slots: Slots) -> Result:
    """The run at hand and the one after it; the next round where this one is full or cannot be told apart."""
    place = view.progress.place
    run = view.ahead(place)
    then = view.ahead(place.model_copy(update={"stitch": run.last})) if run else None
    after = view.next_in_part(view.stop) if run is None else None
    reading = None
    if after is not None:
        reading = view.reading(place.model_copy(update={"at": after.spot, "stitch": 0}))
    elif run is None and not view.here.full:
        reading = view.reading(place, "round")
    return Result(WhatNext(view.here, run, then, reading))


def what_stitch(view: View, slots: Slots) -> Result:
    """The one motion that comes next."""
    return Result(NextStitch("what_stitch", view.here, view.ahead(view.progress.place, one=True)))


def after_that(view: View, slots: Slots) -> Result:
    """The run after the one at hand."""
    place = view.progress.place
    run = view.ahead(place)
    then = view.ahead(place.model_copy(update={"stitch": run.last})) if run else None
    return Result(NextStitch("after_that", view.here, then))


def read_round(view: View, slots: Slots) -> Result:
    """The present round from its start, or the one of that number; with what is said before its first stitch."""
    if "round" not in slots:
        return _read(view, view.stop)
    said = number(slots, "round", 0)
    stop = numbered(view, said)
    return no_such_round(view, "read_round", said) if stop is None else _read(view, stop)


def read_next_round(view: View, slots: Slots) -> Result:
    """The round after this one in the piece, without going there."""
    stop = view.next_in_part(view.stop)
    return _read(view, stop) if stop else Result(NoRound("next", view.here))


def read_last_round(view: View, slots: Slots) -> Result:
    """The round before this one in the piece."""
    nth = view.progress.at.nth
    return _read(view, view.part.stops[nth - 1]) if nth else Result(NoRound("last", view.here))


def _read(view: View, stop: Stop) -> Result:
    start = Place(at=stop.spot, stitch=0)
    return Result(RoundRead(view.reading(start, "round"), view.doubts_and_notes(start)))


QUESTIONS: dict[str, Callable[[View, Slots], Result]] = {
    "stitches_left": stitches_left,
    "stitches_left_repeat": stitches_left_repeat,
    "stitches_left_piece": stitches_left_piece,
    "stitches_left_project": stitches_left_project,
    "stitches_done": stitches_done,
    "rounds_left": rounds_left,
    "which_repeat": which_repeat,
    "repeats_left": repeats_left,
    "total_round": total_round,
    "total_last": total_last,
    "total_next": total_next,
    "worked_into": worked_into,
    "what_next": what_next,
    "what_stitch": what_stitch,
    "after_that": after_that,
    "read_round": read_round,
    "read_next_round": read_next_round,
    "read_last_round": read_last_round,
    "rounds_total": rounds_total,
}
