"""What the grammar yields: the round as written, before anything is worked out.

These nodes know nothing of US or UK terms, of what is there to be worked into, or of totals. Offsets count from the
start of the parsed text, so that equal texts can share one parse.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(slots=True, frozen=True)
class Fill:
    """As often as there is room, but for `keep` stitches at the end: "around", "to last 3 sts"."""

    keep: int = 0
    written: str = "around"


@dataclass(slots=True, frozen=True)
class Times:
    """So many times. `or_else` is the other reading where the words have two: "rep from * 5 times"."""

    count: int
    or_else: int | None = None
    written: str = ""


Amount = int | Fill


@dataclass(slots=True, frozen=True)
class WorkNode:
    """A motion and where it goes. `word` is the stitch as written, empty for the stitch in force."""

    start: int
    end: int
    word: str
    count: Amount
    in_one: int = 1
    together: int = 1
    invisible: bool = False
    loop: str = ""
    same: bool = False
    into: str | None = None
    from_hook: int = 0
    doubtful: bool = False
    parts: tuple[str, int] | None = None
    shaping: bool = False


@dataclass(slots=True, frozen=True)
class InOneNode:
    """Several stitches into one place, `count` such places."""

    start: int
    end: int
    body: tuple[Node, ...]
    count: Amount
    same: bool = False
    into: str | None = None
    from_hook: int = 0
    loop: str = ""


@dataclass(slots=True, frozen=True)
class ChainNode:
    """So many chains. `counts` is what the pattern says beside it, None where it is silent."""

    start: int
    end: int
    count: int
    counts: bool | None = None


@dataclass(slots=True, frozen=True)
class SkipNode:
    """Stitches (or, with `into`, chain spaces) passed over."""

    start: int
    end: int
    count: int
    into: str | None = None


@dataclass(slots=True, frozen=True)
class RepeatNode:
    """The body so many times, or as often as it fits."""

    start: int
    end: int
    body: tuple[Node, ...]
    times: Times | Fill


@dataclass(slots=True, frozen=True)
class ActNode:
    """Something done that makes no stitch; `kind` as in `model.Act`, with a few that the working-out turns into others."""

    start: int
    end: int
    kind: str
    text: str


@dataclass(slots=True, frozen=True)
class TotalNode:
    """A printed total. `each` holds the totals of a range one by one: "(12, 18, 24)"."""

    start: int
    end: int
    stitches: int | None
    chain_spaces: int | None
    each: tuple[int, ...] = ()


@dataclass(slots=True, frozen=True)
class LoopsNode:
    """From here on into the front or back loops only."""

    start: int
    end: int
    loop: str


@dataclass(slots=True, frozen=True)
class CountsNode:
    """Whether the starting chain counts, as said in the round."""

    start: int
    end: int
    counts: bool


@dataclass(slots=True, frozen=True)
class AsRoundNode:
    """ "Repeat round 4", "as rounds 2 and 3"."""

    start: int
    end: int
    first: int
    last: int
    text: str


@dataclass(slots=True, frozen=True)
class RoundCountNode:
    """ "(5 rounds)", said beside a range."""

    start: int
    end: int
    count: int


@dataclass(slots=True, frozen=True)
class UnreadNode:
    """Words that the grammar does not take."""

    start: int
    end: int
    text: str


Node = (
    WorkNode | InOneNode | ChainNode | SkipNode | RepeatNode | ActNode | TotalNode | LoopsNode | CountsNode
    | AsRoundNode | RoundCountNode | UnreadNode
)  # fmt: skip
