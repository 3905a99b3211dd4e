"""What the place room answers: one frozen dataclass per kind of answer, full of numbers, with no prose.

The wording room turns each into a sentence. Every answer to a move carries the number that was said or heard (`said`)
and what it means (`now`, and `before` where that helps). Counts are stitches given, unless a field says otherwise.
None stands for "unknown", never for zero. A `basis` other than "worked_out" is spoken with "the pattern says".
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from companion.pattern.model import Act, Basis, Chain, InOne, Note, Problem, Round, Skip, Unread, Work
from companion.place.where import Where

Grain = Literal["stitch", "repeat", "round"]
Leaf = Work | InOne | Chain | Skip | Act | Unread

# --- parts of answers ---------------------------------------------------------------------------------------------


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


# --- moves --------------------------------------------------------------------------------------------------------

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


# --- questions the companion asks ---------------------------------------------------------------------------------


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


# --- turning points -----------------------------------------------------------------------------------------------

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
class Held:
    """The finished round is recorded; the next one waits. `again` is True if it was said before."""

    done: Where
    turning: Turning
    more: int
    again: bool = False
    notices: tuple[Notice, ...] = ()


@dataclass(frozen=True, slots=True)
class Released:
    """The hold is over, and the work goes on with `then`."""

    how: Literal["done_that", "skip_it", "later"]
    turning: Turning
    then: RoundStarted | Held | AllDone


# --- answers to questions -----------------------------------------------------------------------------------------

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


# --- the count is off ---------------------------------------------------------------------------------------------

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


NoMend = Literal["", "colour", "copy", "join", "no_later_round", "unknown"]


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
    round "below" where the count is that one's and nothing of this round is told yet. `repeat_gives` is how many
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


# --- talk ---------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Opened:
    """What is said at the start.

    `new`: the first round of a new project is read. Else the place is told as hearsay where `hearsay` is True (ten
    minutes' silence, another day, or the clock went backwards), plainly where the session was only interrupted.
    """

    title: str
    new: bool
    hearsay: bool
    now: Where
    reading: Reading
    notices: tuple[Notice, ...] = ()
    aside: str = ""
    turning: Turning | None = None
    problems: int = 0


@dataclass(frozen=True, slots=True)
class Hearsay:
    """Said before the first answer after ten minutes' silence: what the maker last told."""

    now: Where
    minutes: int


@dataclass(frozen=True, slots=True)
class Again:
    """The last answer once more; `slower` is how many times it was asked for in a row."""

    answer: Answer
    times: int


Setting = Literal["speed", "volume", "verbosity", "grain", "hand", "rest_minutes", "tempo"]


@dataclass(frozen=True, slots=True)
class SettingChanged:
    """A setting of the talk. `value` in its own unit (speed and volume in per cent); `at_limit`: it goes no further."""

    setting: Setting
    value: str | int
    at_limit: bool = False
    reading: Reading | None = None


@dataclass(frozen=True, slots=True)
class Helped:
    """What may be said now: the contexts in force."""

    state: str
    contexts: frozenset[str]


@dataclass(frozen=True, slots=True)
class Silenced:
    """Silence, and nothing else. It has no sentence."""


@dataclass(frozen=True, slots=True)
class Paused:
    """Paused at `now`."""

    now: Where


@dataclass(frozen=True, slots=True)
class Resumed:
    """Back from a pause of `minutes`."""

    now: Where
    minutes: int
    ahead: Run | None
    turning: Turning | None = None


@dataclass(frozen=True, slots=True)
class Saved:
    """Goodbye: the place is on disk."""

    now: Where


@dataclass(frozen=True, slots=True)
class Noted:
    """A note is kept. `text` as it was heard."""

    text: str
    now: Where


@dataclass(frozen=True, slots=True)
class ReminderSet:
    """A reminder is set before round `round` of this piece."""

    text: str
    round: int
    now: Where


# --- events in mid-work -------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class EventNoted:
    """Something that happened to the work, noted with its place.

    "ball" joined, another "hook", "strands" held double or single, a "tail" left, a "label": the maker's own name for
    a yarn, `text`, given to `of`.
    """

    kind: Literal["ball", "hook", "strands", "tail", "label"]
    text: str
    now: Where
    of: str = ""


@dataclass(frozen=True, slots=True)
class Logged:
    """An entry of the tester's log: an error, something unclear, a count, the yarn used; `line` of the pattern."""

    kind: Literal["error", "unclear", "count", "yarn"]
    text: str
    now: Where
    line: int
    entries: int


@dataclass(frozen=True, slots=True)
class ShapeSet:
    """The maker said how the rounds of this piece follow each other."""

    shape: Literal["spiral", "joined", "turned"]
    now: Where


Answer = (
    RoundStarted
    | StitchesMade
    | AllDone
    | Undone
    | Redone
    | NothingToUndo
    | NothingToRedo
    | Refused
    | AskRip
    | AskCarry
    | Chosen
    | NotDone
    | Held
    | Released
    | StitchesLeft
    | StitchesDone
    | RoundsLeft
    | RoundsTotal
    | Repeats
    | Total
    | NoRound
    | WorkedInto
    | WhatNext
    | NextStitch
    | RoundRead
    | WhereAmI
    | Progress
    | TimeLeft
    | Hook
    | Yarn
    | Colour
    | ColourChange
    | Eyes
    | ToDo
    | Needed
    | HowTo
    | Notes
    | Projects
    | OpenProject
    | Counted
    | LookForShaping
    | CountBelow
    | AskRipRepeat
    | Beat
    | CountBeat
    | Opened
    | Hearsay
    | Again
    | SettingChanged
    | Helped
    | Silenced
    | Paused
    | Resumed
    | Saved
    | Noted
    | ReminderSet
    | EventNoted
    | Logged
    | ShapeSet
)
