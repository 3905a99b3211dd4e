"""Parts of answers: what is read aloud, turning points, and the notices that go along."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from companion.pattern.model import Act, Chain, InOne, Note, Problem, Round, Skip, Unread, Work
from companion.place.where import Where

Grain = Literal["stitch", "repeat", "round"]
Leaf = Work | InOne | Chain | Skip | Act | Unread


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of equal work ahead.

    `motions` hook motions of `instruction` are still to make, which give `gives` stitches and take `takes`; they make
    the stitches `first` to `last` of the round (both 0 if they give none). `before` is what makes no stitch and comes
    before it: skips, chains, a colour change. `within` stitches of the first motion are made already. `repeat` of
    `repeats` as in the place.
    """

    instruction: Leaf
    motions: int
    gives: int
    takes: int
    first: int
    last: int
    before: tuple[Leaf, ...] = ()
    within: int = 0
    repeat: int | None = None
    repeats: int | None = None
    colour: str | None = None


@dataclass(frozen=True, slots=True)
class Disagrees:
    """The printed total and the worked-out one differ; said before the round's first stitch."""

    worked_out: int
    printed: int


@dataclass(frozen=True, slots=True)
class PatternSays:
    """The total could not be worked out; it is the printed one."""

    stitches: int


@dataclass(frozen=True, slots=True)
class TotalUnknown:
    """Nobody knows the total of this round."""


@dataclass(frozen=True, slots=True)
class NoteHere:
    """Something the pattern says at this place, read as written."""

    note: Note


@dataclass(frozen=True, slots=True)
class ColourAhead:
    """A colour change, told with the stitch before it.

    The last pull-through of stitch `stitch` is made with `colour`. `at_round_end` is True where that is the round's
    last stitch, so that the next round begins in the new colour.
    """

    stitch: int | None
    colour: str
    at_round_end: bool


@dataclass(frozen=True, slots=True)
class ShapeHere:
    """Said at the start of a piece: how its rounds follow each other. None: the pattern does not say, so ask."""

    shape: Literal["spiral", "joined", "turned"] | None


@dataclass(frozen=True, slots=True)
class PieceBegins:
    """A new piece or copy begins. `same_as_first`: the rounds in which it must match copy 1, 0 for none."""

    piece: str
    copy: int
    copies: int
    same_as_first: int


@dataclass(frozen=True, slots=True)
class PieceEnds:
    """The piece before is finished: `rounds` rounds, `stitches` stitches in all (None where one is unknown)."""

    piece: str
    copy: int
    copies: int
    rounds: int
    stitches: int | None


@dataclass(frozen=True, slots=True)
class SmallParts:
    """The usual caution on eyes, buttons and beads for children under three. Said once a project."""


@dataclass(frozen=True, slots=True)
class RestHands:
    """`minutes` of work without a longer pause: a word about resting the hands."""

    minutes: int


@dataclass(frozen=True, slots=True)
class PiecesOpen:
    """Assembly is reached while these are not finished: (piece, copy) each."""

    pieces: tuple[tuple[str, int], ...]


HoldKind = Literal["eyes", "stuffing", "tail", "colour", "sew", "reminder"]


@dataclass(frozen=True, slots=True)
class Turning:
    """A turning point: what must be done before the next round begins.

    `text` is as written (or as the maker said it, for a reminder). `basis` "pattern" or "practice": common practice,
    which the pattern does not mention. `between_rounds` and `stitches_apart` are for eyes. `last_chance` is the printed
    number of the round after which it cannot be done any more, None where that is not known.
    """

    kind: HoldKind
    text: str
    basis: Literal["pattern", "practice", "maker"]
    between_rounds: tuple[int, int] | None = None
    stitches_apart: int | None = None
    colour: str | None = None
    last_chance: int | None = None


@dataclass(frozen=True, slots=True)
class TurningAhead:
    """The round is full, and this must be done before the next one begins."""

    turning: Turning


@dataclass(frozen=True, slots=True)
class TurningPassed:
    """The place jumped past a turning point that was not reported done."""

    turning: Turning


@dataclass(frozen=True, slots=True)
class Unreadable:
    """The round holds words that could not be read as stitches; they are read aloud as written."""

    texts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ProblemHere:
    """A doubt of the reader's about this round, beside totals and words that could not be read."""

    problem: Problem


@dataclass(frozen=True, slots=True)
class PatternChanged:
    """The pattern was edited since the last session, and the place was found again.

    `label_before` is what the round was called before. `moved` is True where it has another number now.
    """

    label_before: str
    moved: bool


Notice = (
    Disagrees
    | TurningAhead
    | TurningPassed
    | Unreadable
    | ProblemHere
    | PatternChanged
    | PatternSays
    | TotalUnknown
    | NoteHere
    | ColourAhead
    | ShapeHere
    | PieceBegins
    | PieceEnds
    | SmallParts
    | RestHands
    | PiecesOpen
)


@dataclass(frozen=True, slots=True)
class Reading:
    """A stretch to be read aloud at `where`.

    `grain` "round": the whole of `entry` (an assembly step has no entry, but `note`). Else the `runs` of one run or
    repeat. `whole` is True where the round is read from its first stitch.
    """

    where: Where
    grain: Grain
    entry: Round | None
    note: Note | None
    runs: tuple[Run, ...] = ()
    whole: bool = True
