"""Ripping back, which loses work: it names the landing and the stitches lost, and asks before anything moves.

Turning points behind the landing count as not done again: the eyes come out with the rounds they sat in.
"""

from __future__ import annotations

from collections.abc import Callable

from companion.place.answers import AskRip, AskRipRepeat, NotDone, Reason
from companion.place.arriving import go
from companion.place.layout import Stop
from companion.place.result import Question, Result, Slots, no_such_round, number, refused
from companion.place.rounds import numbered, rounds_before, stops_before
from companion.place.stitch_moves import to_stitch
from companion.place.view import View

LAPSE_SECONDS = 8.0
"""How long a question about losing work stays open before it is taken as no."""


def rip_back(view: View, slots: Slots) -> Result:
    """Asks before it rips: lands on the first stitch of the round that many before, and every stitch since is lost."""
    rounds = number(slots, "rounds", 1)
    target = rounds_before(view, rounds)
    if target is None:
        return refused(view, Reason.NO_ROUND_BEFORE, "rip_back", said=rounds, limit=len(stops_before(view)))
    return _ask_rip(view, target, rounds, "rip_back", slots)


def rip_back_to(view: View, slots: Slots) -> Result:
    """Asks before it rips back to the first stitch of that round."""
    said = number(slots, "round", 0)
    target = numbered(view, said)
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
    yes = go(view, target, "ripped", rounds, lost=lost, unreleased=open_again)
    question = Question("rip", yes, Result(NotDone(view.here)), LAPSE_SECONDS, command, slots)
    return Result(AskRip(rounds, view.here, view.where(target.spot, 0), lost), question=question)


def rip_to_repeat(view: View, slots: Slots) -> Result:
    """Asks before it rips this round to the start of that repeat."""
    said = number(slots, "repeat", 0)
    walked = view.walk(view.stop)
    starts = [s.start for s in walked.stretches("repeat") if walked.steps[s.last - 1].repeat == said]
    if not starts:
        return refused(view, Reason.NO_REPEAT_HERE, "rip_to_repeat", said=said, limit=view.here.repeats)
    if starts[0] > view.progress.stitch:
        return refused(view, Reason.NOT_THERE_YET, "rip_to_repeat", said=said, limit=view.here.repeat)
    lost = view.progress.stitch - starts[0]
    yes = to_stitch(view, "ripped", lost, starts[0])
    landing = view.where(view.progress.at, starts[0])
    question = Question("rip", yes, Result(NotDone(view.here)), LAPSE_SECONDS, "rip_to_repeat", slots)
    return Result(AskRipRepeat(said, view.here, landing, lost), question=question)


RIPS: dict[str, Callable[[View, Slots], Result]] = {
    "rip_back": rip_back,
    "rip_back_to": rip_back_to,
    "rip_to_repeat": rip_to_repeat,
}
