"""All commands that read the view: moves, questions, notes, each by its name."""

from __future__ import annotations

from collections.abc import Callable

from companion.place.beats import BEATS
from companion.place.choices import CHOICES
from companion.place.facts import FACTS
from companion.place.moves import MOVES
from companion.place.questions import QUESTIONS
from companion.place.recount import RECOUNT
from companion.place.remarks import REMARKS
from companion.place.result import Result, Slots
from companion.place.ripping import RIPS
from companion.place.stitch_moves import STITCH_MOVES
from companion.place.turning_moves import TURNING_MOVES
from companion.place.view import View

COMMANDS: dict[str, Callable[[View, Slots], Result]] = {
    **MOVES,
    **STITCH_MOVES,
    **RIPS,
    **TURNING_MOVES,
    **CHOICES,
    **QUESTIONS,
    **FACTS,
    **RECOUNT,
    **BEATS,
    **REMARKS,
}
