"""All commands that read the view: moves, questions, notes, each by its name."""

from __future__ import annotations

from collections.abc import Callable

from companion.place.beats import BEATS
from companion.place.facts import FACTS
from companion.place.moves import MOVES, next_round
from companion.place.questions import QUESTIONS
from companion.place.recount import RECOUNT
from companion.place.remarks import REMARKS
from companion.place.result import Result, Slots
from companion.place.stitch_moves import STITCH_MOVES, next_stitch
from companion.place.view import View


def _next_stitch(view: View, slots: Slots) -> Result:
    return next_stitch(view) or next_round(view, slots)


COMMANDS: dict[str, Callable[[View, Slots], Result]] = {
    **MOVES,
    **STITCH_MOVES,
    "next_stitch": _next_stitch,
    **QUESTIONS,
    **FACTS,
    **RECOUNT,
    **BEATS,
    **REMARKS,
}
