"""Answers about counting: when the count is off, and counting together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from companion.pattern.model import Basis
from companion.place.answers.parts import Run
from companion.place.where import Where

MendHow = Literal["more_increases", "fewer_increases", "more_decreases", "fewer_decreases"]
Shaping = Literal["increase", "decrease", "both", "none"]
Corner = Literal["run", "repeat", "round"]


@dataclass(frozen=True, slots=True)
class Mend:
    """One way out of a wrong count.

    "rip": back to the start of a repeat of this round (say which: "rip back to repeat four"). "later": carry on and put
    it right in the next round, `round`, by `stitches` increases or decreases more or fewer, as `how` says; `totals` are
    the rounds from this one to the end of the piece with the totals they will then have: (round, stitches).
    """

    kind: Literal["rip", "later"]
    round: int | None = None
    how: MendHow | None = None
    stitches: int = 0
    totals: tuple[tuple[int, int], ...] = ()


NoMend = Literal["", "too_far", "colour", "copy", "join", "no_later_round", "unknown"]


@dataclass(frozen=True, slots=True)
class LookForShaping:
    """The last repeat ended at the marker: an increase or decrease was left out of this round, or added.

    There are `plain_between` plain stitches between two of them, from the round itself (None where the gaps differ);
    `plain_if_left_out` where one is missing. `shapings` is how many the round has. `added` is True where the count is
    explained by one too many. `mends` are the ways out, in the order to try them; `no_mend` says why none in a later
    round is offered.
    """

    now: Where
    difference: int
    shaping: Shaping
    shapings: int
    plain_between: int | None
    plain_if_left_out: int | None
    added: bool
    mends: tuple[Mend, ...]
    no_mend: NoMend = ""


@dataclass(frozen=True, slots=True)
class CountBelow:
    """A stitch was skipped, doubled or worked into the join, or the round below was off: count that one.

    It should have `below` stitches (None unknown, 0 a ring). `below_round` is its printed number.
    """

    now: Where
    difference: int
    below: int | None
    below_round: int | None
    mends: tuple[Mend, ...]
    no_mend: NoMend = ""


@dataclass(frozen=True, slots=True)
class Counted:
    """The maker counted, and nothing moves.

    `counted` against `due`, and `difference` is counted minus due. `against` tells what is due: the "total" of this
    round (it is full, or nothing of it is told yet), what is "made" by the last word in mid-round, or the total of the
    round "below" where nothing of this round is told yet and the count is nearer to that one's: it was counted when it
    was done. `against_this` is then counted minus the total of this round. `repeat_gives` is how many
    stitches one repeat makes, None without repeats of one size. Where it is off, the first thing is to count again
    from the marker. `asks_marker` is True where a question stays open: did the last repeat end exactly at the marker?
    A round without shaping has only one cause: `then` is it.
    """

    counted: int
    due: int | None
    difference: int | None
    against: Literal["total", "made", "below"]
    now: Where
    basis: Basis
    below: int | None = None
    repeat_gives: int | None = None
    asks_marker: bool = False
    then: CountBelow | None = None
    against_this: int | None = None


@dataclass(frozen=True, slots=True)
class AskRipRepeat:
    """Shall this round be ripped to the start of repeat `repeat`? It lands at `landing`, and `lost` stitches go."""

    repeat: int
    now: Where
    landing: Where
    lost: int


@dataclass(frozen=True, slots=True)
class CountBeat:
    """Count with me. The numbers `first` to `last` are said aloud, one a beat; at `last` the round turns a corner.

    `corner` tells what ends there: a run of equal work, a repeat, or the round. `run` is what is counted. A beat is the
    command "beat", by word, key or tempo.
    """

    now: Where
    first: int
    last: int
    corner: Corner
    run: Run | None


@dataclass(frozen=True, slots=True)
class Beat:
    """One beat of counting together: `stitch` is made.

    `corner` is the corner reached by it, None between corners. `run` is what comes then; None when the round is full.
    """

    stitch: int
    now: Where
    corner: Corner | None
    run: Run | None
