"""Answers of the talk itself: openings, settings, pauses, notes, what happened to the work."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from companion.place.answers.parts import Notice, Reading, Run, Turning
from companion.place.where import Where

if TYPE_CHECKING:
    from companion.place.answers import Answer


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
    """The last answer once more; `times` is how many times it was asked for in a row."""

    answer: Answer
    times: int


@dataclass(frozen=True, slots=True)
class Spelled:
    """The odd words of the last answer, to be spelled."""

    answer: Answer


Setting = Literal[
    "speed",
    "volume",
    "verbosity",
    "grain",
    "hand",
    "rest_minutes",
    "tempo",
    "tones",
    "answers",
    "voice",
    "attention",
]


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
class Measured:
    """What the maker measured is kept: `stitches` and `rounds` over a length, or `metres` of yarn for `stitches`.

    The length is 10 cm, or `inches` where those were said. The one that was not said is None.
    """

    stitches: int
    rounds: int | None = None
    metres: float | None = None
    inches: int | None = None


@dataclass(frozen=True, slots=True)
class Beyond:
    """An answer that another room worked out from the place; that room brings its words too."""

    what: object


@dataclass(frozen=True, slots=True)
class ShapeSet:
    """The maker said how the rounds of this piece follow each other."""

    shape: Literal["spiral", "joined", "turned"]
    now: Where
