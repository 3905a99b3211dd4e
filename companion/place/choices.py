"""Where the pattern disagrees with itself: which of its two totals a round is counted by is the maker's choice."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from companion.place.answers import Chosen, Reason
from companion.place.progress import Change, Place, fold
from companion.place.result import Question, Result, Slots, number, refused
from companion.place.view import View, choice_key


def choice(view: View, place: Place) -> Question | None:
    """The question which total to count by, where the pattern disagrees with itself and the maker has not said."""
    stop = view.layout.stop(place.at)
    key = choice_key(view.layout.parts[place.at.part], stop)
    if not stop.disagrees or key in view.progress.chosen or place.stitch:
        return None
    return Question("choice", None, None, None)


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


CHOICES: dict[str, Callable[[View, Slots], Result]] = {
    "choose": choose,
    "use_printed": use_printed,
    "use_worked_out": use_worked_out,
}
