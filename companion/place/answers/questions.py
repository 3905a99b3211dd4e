"""Answers to questions about the work and the pattern."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from companion.pattern.model import Basis, Note
from companion.place.answers.parts import Notice, Reading, Run, Turning
from companion.place.where import Where

Scope = Literal["round", "repeat", "piece", "project"]


@dataclass(frozen=True, slots=True)
class StitchesLeft:
    """`made`, `left` and `total` of a scope. `unknown_rounds` rounds of it are not counted: their total is unknown.

    `rounds_after` is how many rounds of the scope follow the present one. `over` is True for a round that is full.
    """

    scope: Scope
    now: Where
    made: int | None
    left: int | None
    total: int | None
    basis: Basis
    rounds_after: int = 0
    unknown_rounds: int = 0


@dataclass(frozen=True, slots=True)
class StitchesDone:
    """How many are made in this round, of how many."""

    now: Where


@dataclass(frozen=True, slots=True)
class RoundsLeft:
    """Rounds after the present one, in this piece. `steps` unnumbered steps come too."""

    now: Where
    left: int
    steps: int


@dataclass(frozen=True, slots=True)
class RoundsTotal:
    """How many numbered rounds this piece has, and unnumbered steps beside them."""

    now: Where
    rounds: int
    steps: int


@dataclass(frozen=True, slots=True)
class Repeats:
    """Repeat `repeat` of `repeats`; `left` counts the one being worked on, 0 when they are over. None: no repeat here.

    `asked` tells which question it answers.
    """

    asked: Literal["which_repeat", "repeats_left"]
    now: Where
    repeat: int | None
    repeats: int | None
    left: int | None


@dataclass(frozen=True, slots=True)
class Total:
    """The total of a round: this one, the last, the next, or the one asked for by number."""

    which: Literal["this", "last", "next", "numbered"]
    now: Where
    of: Where
    stitches: int | None
    basis: Basis
    printed: int | None
    chain_spaces: int = 0


@dataclass(frozen=True, slots=True)
class NoRound:
    """There is no such round before or after this one."""

    which: Literal["last", "next"]
    now: Where


@dataclass(frozen=True, slots=True)
class WorkedInto:
    """How many stitches the round is worked into: 0 a ring, None unknown. `into` names another target."""

    now: Where
    stitches: int | None
    into: str | None


@dataclass(frozen=True, slots=True)
class WhatNext:
    """What comes next: the run at hand and the one after it; when the round is full, the next round's reading."""

    now: Where
    run: Run | None
    then: Run | None
    next_round: Reading | None


@dataclass(frozen=True, slots=True)
class NextStitch:
    """The one motion that comes next (`after_that`: the run after the present one). None: the round is full."""

    asked: Literal["what_stitch", "after_that"]
    now: Where
    run: Run | None


@dataclass(frozen=True, slots=True)
class RoundRead:
    """The present round read again."""

    reading: Reading
    notices: tuple[Notice, ...] = ()


@dataclass(frozen=True, slots=True)
class WhereAmI:
    """Where we are. `state` tells whether work is paused or held."""

    now: Where
    state: str
    turning: Turning | None = None


@dataclass(frozen=True, slots=True)
class Progress:
    """How far: stitches of the whole project. `percent` is rounded down, 0 to 100; None where too much is unknown."""

    made: int
    total: int
    percent: int | None
    unknown_rounds: int
    pieces_done: int
    pieces: int


@dataclass(frozen=True, slots=True)
class TimeLeft:
    """From this maker's own measured pace: `low` to `high` minutes for `stitches`. None: not measured enough yet."""

    stitches: int
    low: float | None
    high: float | None
    samples: int
    unknown_rounds: int


@dataclass(frozen=True, slots=True)
class Hook:
    """The hook as written, and as the maker last changed it."""

    written: str
    changed: str = ""


@dataclass(frozen=True, slots=True)
class Yarn:
    """The yarn as written, and the maker's own labels: (colour or yarn of the pattern, the maker's name for it)."""

    written: str
    labels: tuple[tuple[str, str], ...] = ()
    double: bool = False


@dataclass(frozen=True, slots=True)
class Colour:
    """The colour in force, None where the pattern names none; `label` is the maker's own name for that yarn."""

    now: Where
    colour: str | None
    label: str = ""


@dataclass(frozen=True, slots=True)
class ColourChange:
    """The next colour change: in `at`, finishing stitch `stitch` with `colour`. None: no more changes in this piece."""

    now: Where
    at: Where | None
    stitch: int | None
    colour: str | None
    at_round_end: bool = False


@dataclass(frozen=True, slots=True)
class Eyes:
    """Where the eyes go: every eye note of the pattern, with its piece."""

    now: Where
    places: tuple[tuple[str, Note], ...]


@dataclass(frozen=True, slots=True)
class ToDo:
    """What is still to do: pieces not finished with rounds left in each, turning points put off, assembly steps."""

    pieces: tuple[tuple[str, int, int], ...]
    put_off: tuple[Turning, ...]
    assembly_steps: int


@dataclass(frozen=True, slots=True)
class Needed:
    """What is needed before starting, as the pattern has it."""

    materials: tuple[str, ...]
    hook: str
    yarn: str
    gauge: str
    cautions: tuple[str, ...]
    small_parts: bool


@dataclass(frozen=True, slots=True)
class HowTo:
    """How a stitch is made. `stitch` is what was asked for, as the phrase gave it; `hand` the working hand."""

    stitch: str
    hand: Literal["right", "left"] = "right"


@dataclass(frozen=True, slots=True)
class NoteOfMine:
    """One thing the maker noted, where and when; `kind` "note", or what happened to the work."""

    text: str
    at: Where
    when: float
    kind: Literal["note", "ball", "hook", "strands", "tail", "label"] = "note"


@dataclass(frozen=True, slots=True)
class Notes:
    """What the maker noted, oldest first, and the reminders still to come: (round, text)."""

    notes: tuple[NoteOfMine, ...]
    reminders: tuple[tuple[int, str], ...]


@dataclass(frozen=True, slots=True)
class ProjectEntry:
    """One project with a journal. `when` is the time of its last event, in seconds since 1970."""

    title: str
    piece: str
    round: int | None
    stitch: int
    when: float
    open: bool


@dataclass(frozen=True, slots=True)
class Projects:
    """Every project with a journal here, the latest worked on first."""

    projects: tuple[ProjectEntry, ...]


@dataclass(frozen=True, slots=True)
class OpenProject:
    """The session is to open that project; `path` is its pattern file."""

    title: str
    path: str
