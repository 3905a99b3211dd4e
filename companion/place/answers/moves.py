"""Answers to moves: where they lead, why they are refused, what is asked first, what holds the work."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from companion.place.answers.parts import Notice, Reading, Run, Turning
from companion.place.where import Where

RoundMove = Literal["next", "done", "back", "go_to", "piece", "copy", "ripped"]


@dataclass(frozen=True, slots=True)
class RoundStarted:
    """The place is now at the start of another round, or where a piece was left.

    `by` tells the move. `said` is the number in it (rounds back, the round gone to, the copy), None if there was none.
    `done` is the round just reported done (with its full count), None otherwise. `lost` is how many stitches were
    ripped out. `reading` is what comes now.
    """

    by: RoundMove
    said: int | None
    before: Where
    now: Where
    reading: Reading
    done: Where | None = None
    lost: int | None = None
    notices: tuple[Notice, ...] = ()


StitchMove = Literal[
    "ripped",
    "have_done_repeats",
    "have_done",
    "at_stitch",
    "more",
    "next_stitch",
    "next_run",
    "next_repeat",
    "back",
    "finished_repeat",
]


@dataclass(frozen=True, slots=True)
class StitchesMade:
    """The place moved within its round. `now` says made, left and total.

    `said` is the number heard; for moves without a number the stitches this one added (or took away). `fewer` is True
    where the new count is below the old one. `ahead` is what comes now, None when the round is full.
    """

    by: StitchMove
    said: int
    before: Where
    now: Where
    ahead: Run | None
    fewer: bool = False
    reading: Reading | None = None
    notices: tuple[Notice, ...] = ()


@dataclass(frozen=True, slots=True)
class AllDone:
    """The last round or step of the whole project is reported done. `notices`: what the pattern says after it."""

    done: Where
    pieces: int
    stitches: int | None
    notices: tuple[Notice, ...] = ()


@dataclass(frozen=True, slots=True)
class Undone:
    """A move or other entry was taken back. `command` is its name; `deeper` how many more can be undone."""

    command: str
    said: int | None
    before: Where
    now: Where
    deeper: int


@dataclass(frozen=True, slots=True)
class Redone:
    """What was undone counts again. `deeper` is how many more can be redone."""

    command: str
    said: int | None
    before: Where
    now: Where
    deeper: int


@dataclass(frozen=True, slots=True)
class NothingToUndo:
    """Undo was asked for, and there is nothing to take back."""

    now: Where


@dataclass(frozen=True, slots=True)
class NothingToRedo:
    """Redo was asked for, and nothing was undone last."""

    now: Where


class Reason(StrEnum):
    """Why something was refused."""

    BEYOND_ROUND = "beyond_round"  # said more stitches than the round has: said, made, left, total
    NO_SUCH_ROUND = "no_such_round"  # said; first, last of this piece
    NO_ROUND_BEFORE = "no_round_before"  # said rounds back; limit is how many there are
    NO_SUCH_PIECE = "no_such_piece"  # name; names is what there is
    NO_SUCH_COPY = "no_such_copy"  # said; limit is how many copies
    NOT_SO_MANY_MADE = "not_so_many_made"  # back by more stitches than are made: said; now has what is made
    NO_REPEAT_HERE = "no_repeat_here"
    NO_STITCHES_HERE = "no_stitches_here"  # an assembly step is not counted
    ROUND_PASSED = "round_passed"  # a reminder for a round that is over: said
    ALL_DONE = "all_done"  # nothing after this
    PAUSED = "paused"  # only resume, where am I and goodbye are let through
    HELD = "held"  # the next round waits for "done that", "skip it" or "later"
    NOTHING_ASKED = "nothing_asked"  # yes or no with no question open
    NOTHING_HELD = "nothing_held"
    NOT_SAVED = "not_saved"  # the disk refused: nothing moved
    NO_CHOICE_HERE = "no_choice_here"  # the printed and the worked-out total do not disagree
    NOT_THERE_YET = "not_there_yet"  # that repeat is not begun: said; limit is the present repeat
    ROUND_FULL = "round_full"  # nothing left to count in this round
    NO_SUCH_PROJECT = "no_such_project"  # name; names
    UNKNOWN_COMMAND = "unknown_command"
    ENDED = "ended"  # after goodbye


@dataclass(frozen=True, slots=True)
class Refused:
    """Nothing moved. The numbers that explain it are filled as `reason` says; `now` is the place, as it stays."""

    reason: Reason
    now: Where
    command: str
    said: int | None = None
    first: int | None = None
    last: int | None = None
    limit: int | None = None
    name: str = ""
    names: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class AskRip:
    """Shall it be ripped? `rounds` back, landing at the start of `landing`; `lost` stitches go (None if unknown).

    `rounds` is 0 where this round is ripped to its own start.
    """

    rounds: int
    now: Where
    landing: Where
    lost: int | None


@dataclass(frozen=True, slots=True)
class AskCarry:
    """The pattern was edited, and the place is not in it any more. Yes: go on at `proposed`; no: from the start."""

    last_known: str
    round: int | None
    stitch: int
    proposed: Where


@dataclass(frozen=True, slots=True)
class Chosen:
    """The maker chose which total of a disagreeing round to count on."""

    now: Where
    stitches: int
    printed: bool


@dataclass(frozen=True, slots=True)
class NotDone:
    """The maker said no (or the question lapsed): nothing moved."""

    now: Where
    lapsed: bool = False


@dataclass(frozen=True, slots=True)
class Held:
    """The finished round is recorded; the next one waits. `again` is True if it was said before.

    `first` is what the pattern says after the round and before the turning point.
    """

    done: Where
    turning: Turning
    more: int
    again: bool = False
    notices: tuple[Notice, ...] = ()
    first: tuple[Notice, ...] = ()


@dataclass(frozen=True, slots=True)
class Released:
    """The hold is over, and the work goes on with `then`."""

    how: Literal["done_that", "skip_it", "later"]
    turning: Turning
    then: RoundStarted | Held | AllDone
