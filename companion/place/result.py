"""What a move or a question hands back, before anything is kept: the answer, and the change it wants."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from companion.place.answers import Answer, Reason, Refused
from companion.place.progress import Change
from companion.place.view import View

Slots = Mapping[str, int | str]


@dataclass(frozen=True, slots=True)
class Question:
    """A question that the companion leaves open: what yes does, and what no does.

    Both None: it is not answered by yes or no but by naming one of two things ("the printed one").

    `command` and `slots` are what is kept in the journal when the answer changes something.

    `lapses` is how many seconds it stays open; None as long as nothing else is said.
    """

    kind: Literal["rip", "choice", "carry", "marker"]
    yes: Result | None
    no: Result | None
    lapses: float | None
    command: str = ""
    slots: Slots = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Result:
    """An answer, whether the command was accepted, the change to keep (None: none), and a question left open."""

    answer: Answer
    accepted: bool = True
    change: Change | None = None
    question: Question | None = None


def refused(
    view: View,
    reason: Reason,
    command: str,
    *,
    said: int | None = None,
    first: int | None = None,
    last: int | None = None,
    limit: int | None = None,
    name: str = "",
    names: tuple[str, ...] = (),
) -> Result:
    """Nothing moves, for that reason."""
    return Result(Refused(reason, view.here, command, said, first, last, limit, name, names), accepted=False)


def number(slots: Slots, key: str, default: int) -> int:
    """A number out of the slots."""
    return int(slots.get(key, default))


def no_such_round(view: View, command: str, said: int) -> Result:
    """The piece at hand has no round of that number; the refusal says which it has."""
    numbers = [stop.number for stop in view.part.numbered if stop.number is not None]
    first, last = (min(numbers), max(numbers)) if numbers else (None, None)
    return refused(view, Reason.NO_SUCH_ROUND, command, said=said, first=first, last=last)
