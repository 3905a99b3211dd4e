"""The pattern as the rest of the program sees it: pieces, rounds, and what the hands do, stitch by stitch.

The reader builds these objects from text and nothing else makes them. They are frozen: whoever holds a pattern can
hand it on without fear. Stitches are named by their key in `stitches.yaml`, which is the US abbreviation; UK names
are only a way of writing and speaking them.

Two views of one round live side by side:

- `Round.instructions` is the tree the writer wrote: `Repeat(6, (Work("sc", 3), Work("sc", 1, in_one=2)))`.
- `Round.steps` is the same round laid out one motion of the hook after the other, with what each takes of the round
  below and gives to this one. Everything that is counted is counted here, so that there is one truth.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

Terms = Literal["US", "UK"]
Severity = Literal["error", "warning"]
Loop = Literal["front", "back", "both", "third"]
"""What of a stitch the hook goes under; "third" is the loop behind it, below the two at its top."""


@dataclass(frozen=True, slots=True)
class Span:
    """Where something stands in the source text. Lines and columns count from 1; the end is exclusive."""

    line: int
    column: int
    end_line: int
    end_column: int


At = tuple[int, int] | None
"""Where an instruction stands in the text of its round: offsets of its start and end in `Round.text`."""


# --- what the hands do -------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Work:
    """`count` times the same motion: "3 sc", "inc", "sc3tog", "dc in next ch-2 sp".

    One motion takes `together` stitches of the round below and gives `in_one`: both are 1 for a plain stitch, an
    increase has `in_one` 2, a decrease `together` 2. `same` means that it goes into the stitch just used, and so
    takes none. `into` names a target that is not the next stitch of the live edge. "ring", "chain space" and "row end"
    are no stitches, and nothing is taken; anything else is the writer's own words for an edge, "first leg", and what
    is taken of that edge is counted. A shell has its number of stitches in `in_one`, a stitch worked through both
    layers of a closed edge has `together` 2. `from_hook` is the 2 of "in 2nd ch from hook", 0 elsewhere.
    """

    stitch: str
    count: int
    in_one: int = 1
    together: int = 1
    loop: Loop = "both"
    invisible: bool = False
    same: bool = False
    into: str | None = None
    at: At = field(default=None, compare=False)
    from_hook: int = 0


@dataclass(frozen=True, slots=True)
class InOne:
    """Different stitches into one: "(sc, hdc, dc) in next st", a shell of mixed stitches. Takes 1."""

    body: tuple[Instruction, ...]
    count: int = 1
    same: bool = False
    into: str | None = None
    at: At = field(default=None, compare=False)
    from_hook: int = 0


@dataclass(frozen=True, slots=True)
class Chain:
    """`count` chain stitches.

    `role` says what they are for, and so how they count:
    "foundation" and "space" are not stitches, "picot" neither; "start" is a starting or turning chain, which is one
    stitch if `counts`, whatever its length, else none. A "space" whose chains the printed total counts, over as many
    skipped stitches, has `counts`, too: each of its chains is a stitch to work into.
    """

    count: int
    role: Literal["foundation", "start", "space", "picot"] = "space"
    counts: bool = False
    at: At = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Skip:
    """Leave `count` stitches of the round below unworked and go past them."""

    count: int
    at: At = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Repeat:
    """The body, `times` times over. `times` is worked out where the pattern says "around" or "to the last 3".

    `written` keeps how the writer said how often: "x 6", "around", "to last 3 sts".
    """

    times: int
    body: tuple[Instruction, ...]
    written: str = field(default="", compare=False)
    at: At = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Act:
    """Something done that makes no stitch.

    "ring" begins a magic ring, "join" closes a round with a slip stitch, "turn" turns the work, "colour" changes to
    `text`, "marker" places or moves it, "close" gathers the last loops, "fasten_off" ends the yarn, "leave" leaves the
    rest unworked, "note" is advice in the round ("stuff lightly now").
    """

    kind: Literal["ring", "join", "turn", "colour", "marker", "close", "fasten_off", "leave", "note"]
    text: str = ""
    at: At = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Unread:
    """Words the reader could not turn into stitches. They are kept and read aloud as written, never guessed at."""

    text: str
    at: At = field(default=None, compare=False)


Instruction = Work | InOne | Chain | Skip | Repeat | Act | Unread


@dataclass(frozen=True, slots=True)
class Step:
    """One motion of the hook within a round, in the order it is made.

    `takes` and `gives` are in stitches. `repeat` is the number, from 1, of the outermost repeat it belongs to and
    `repeats` how many of them there are; both None outside a repeat. `group` tells apart two outermost repeats of
    one round (0 for the first). `run` numbers the stretches of equal work: the steps of "3 sc" share one run, so
    that reading stitch run by stitch run is reading run by run. `colour` is the colour in force, None where the
    pattern names none. `instruction` is the leaf it comes from.
    """

    instruction: Work | InOne | Chain | Skip | Act | Unread
    takes: int
    gives: int
    run: int
    repeat: int | None = None
    repeats: int | None = None
    group: int | None = None
    colour: str | None = None


# --- rounds, pieces, pattern -------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Total:
    """A printed total: stitches, and chain spaces where the pattern counts them. `text` is as printed."""

    stitches: int | None
    chain_spaces: int | None = None
    text: str = ""
    span: Span | None = field(default=None, compare=False)


NoteKind = Literal["eyes", "stuffing", "tail", "colour", "sew", "close", "marker", "stop", "picture", "other"]


@dataclass(frozen=True, slots=True)
class Note:
    """What a pattern says beside its stitches, placed where it belongs.

    `when` is "before" the first stitch of the round it hangs on, "during" it or "after" its last. Eyes carry the
    rounds they sit between and how far apart, as the number of stitches between the two posts.
    """

    kind: NoteKind
    text: str
    when: Literal["before", "during", "after"] = "after"
    between_rounds: tuple[int, int] | None = None
    stitches_apart: int | None = None
    span: Span | None = field(default=None, compare=False)


Basis = Literal["worked_out", "pattern_says", "unknown"]


@dataclass(frozen=True, slots=True)
class Round:
    """One entry of a piece: a round or row, a range of equal ones, or an unnumbered step (set-up, edging).

    `first` and `last` are the printed numbers, both None for an unnumbered step; "Rounds 9-11" is one entry.
    `stitches` is the total of each of them, worked out, None only where it is truly unknown. `worked_into` is the
    count it is worked into, 0 for a ring or one chain that all of it goes into, None where unknown. `basis` tells where
    `stitches` comes from; anything but "worked_out" is spoken with "the pattern says". `into` names what the round is
    worked into where that is not the live edge. `label` is as printed, without the colon: "Rnd 5", "Rounds 9–11"; empty
    where there is none. `text` is the instructions as written, which the offsets of its instructions point into.
    `steps` is empty where the round could not be laid out; where a part of it is unread, the steps are those of the
    rest and an `Unread` one. `suggested` are the words "inc 6 evenly" where the pattern leaves open where stitches go;
    the instructions then hold a suggestion. It is empty elsewhere.
    """

    label: str
    kind: Literal["round", "row", "step"]
    first: int | None
    last: int | None
    instructions: tuple[Instruction, ...]
    steps: tuple[Step, ...]
    worked_into: int | None
    stitches: int | None
    declared: Total | None
    basis: Basis
    text: str
    span: Span
    into: str | None = None
    chain_spaces: int = 0
    notes: tuple[Note, ...] = ()
    colour: str | None = None
    suggested: str = ""

    @property
    def times(self) -> int:
        """How many rounds this entry stands for."""
        return 1 if self.first is None or self.last is None else self.last - self.first + 1


@dataclass(frozen=True, slots=True)
class Piece:
    """One part of the project, worked `make` times. `shape` is how its rounds follow each other, None if unsaid."""

    name: str
    make: int
    rounds: tuple[Round, ...]
    span: Span
    notes: tuple[Note, ...] = ()
    shape: Literal["spiral", "joined", "turned"] | None = None
    colour: str | None = None


@dataclass(frozen=True, slots=True)
class Problem:
    """Something a maker should know before starting. `kind` is one of `problems.KINDS`."""

    line: int
    column: int
    severity: Severity
    kind: str
    message: str
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Part:
    """A line of the source outside rounds and their notes, and what it is: "title", "materials", "notes", "rule"."""

    kind: str
    span: Span


@dataclass(frozen=True, slots=True)
class Pattern:
    """A whole written pattern. `source` is the text that every line and column points into.

    `parts` are the lines that are neither rounds nor notes among them: with the spans of rounds and notes they cover
    every word of the source, so that nothing of it is lost.
    """

    title: str
    terms: Terms
    pieces: tuple[Piece, ...]
    problems: tuple[Problem, ...]
    source: str
    terms_stated: bool = False
    designer: str = ""
    rights: str = ""
    materials: tuple[str, ...] = ()
    hook: str = ""
    yarn: str = ""
    gauge: str = ""
    abbreviations: tuple[tuple[str, str], ...] = ()
    notes: tuple[Note, ...] = ()
    assembly: tuple[Note, ...] = ()
    cautions: tuple[str, ...] = ()
    parts: tuple[Part, ...] = ()

    @property
    def errors(self) -> tuple[Problem, ...]:
        return tuple(p for p in self.problems if p.severity == "error")
