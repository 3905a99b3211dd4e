"""What the grammar yields: the round as written, before anything is worked out.

These nodes know nothing of US or UK terms, of what is there to be worked into, or of totals. Offsets count from the
start of the parsed text, so that equal texts can share one parse.
"""

from __future__ import annotations

from typing import Final, Literal, NamedTuple

Reach = Literal["", "around", "across"]


ANY_SPACE: Final = -1
"""The `corner` of a Fill up to the next chain space, whatever its chains."""


class Fill(NamedTuple):
    """As often as there is room, but for `keep` stitches at the end: "around", "to last 3 sts".

    `corner` is the 2 of "to next ch-2 sp", 0 of "to corner", ANY_SPACE of "to next sp", None where it goes up to none.
    `end` is where these words end, 0 where none are written. `reach` is what the words say of the way: "around" the
    whole, "across" the row, or neither: "to end", "in each st". `of` is "each" in "in each st around", and "one" in "in
    next st around" or "1 sc around", which goes around together with what is said before it. `stitch` is the "dc" of
    "in each dc".
    """

    keep: int = 0
    written: str = "around"
    end: int = 0
    reach: Reach = ""
    of: Literal["", "each", "one"] = ""
    corner: int | None = None
    stitch: str = ""


class Times(NamedTuple):
    """So many times. `total` where it is said how often in all; `or_else` is another way to understand the words."""

    n: int
    written: str = ""
    total: bool = False
    or_else: int | None = None


Amount = int | Fill

ONCE = Times(1)
"""Brackets that nothing is said about: what is in them is worked once."""


class WorkNode(NamedTuple):
    """A motion and where it goes. `word` is the stitch as written, empty for the stitch in force.

    `parts` are what a cluster or shell is made of, `often` the 6 of "inc x 6", which `n` already contains. `glued` is
    where the stitch ends in "2 sc inc", which can also mean two stitches and then an increase, and `apart` is
    the 2 of "sc2inc", which can be those, too; `bare` a stitch with
    neither number nor place, `counted` one with a number alone, as a total has it; `first` where it goes into the first
    stitch, which a starting chain may stand on. `chain_at` is the 2 of "in 2nd ch", where it is not said from what end.
    `evenly` is how many increases or decreases are spread over the `n` stitches, 0 where that is not said, and None of
    anything else. `at_end` where it is at an end of the row, or between the two ends, which a round has not. `around`
    are such words after a number: "2 sc around", "2 sc in next 2 sts around".
    """

    start: int
    end: int
    word: str
    n: Amount
    in_one: int = 1
    together: int = 1
    invisible: bool = False
    loop: str = ""
    same: bool = False
    into: str | None = None
    from_hook: int = 0
    parts: tuple[str, int] | None = None
    shaping: bool = False
    often: int = 0
    glued: int = 0
    apart: int = 0
    bare: bool = False
    counted: bool = False
    first: bool = False
    chain_at: int = 0
    evenly: int | None = None
    at_end: bool = False
    around: Fill | None = None


class InOneNode(NamedTuple):
    """Several stitches into one place, `n` such places; `around` as in WorkNode."""

    start: int
    end: int
    body: tuple[Node, ...]
    n: Amount
    same: bool = False
    into: str | None = None
    from_hook: int = 0
    loop: str = ""
    first: bool = False
    chain_at: int = 0
    around: Fill | None = None


class ChainNode(NamedTuple):
    """So many chains. `counts` is what the pattern says beside it, None where it is silent.

    `bridges`: whether it leads over the stitches skipped after it, as a chain space, or is one besides the stitch that
    it counts as; None: as is common practice.
    """

    start: int
    end: int
    n: int
    counts: bool | None = None
    bridges: bool | None = None


class SkipNode(NamedTuple):
    """Stitches (or, with `into`, chain spaces or chains) passed over.

    `to`: up to that many have been used, "in the 4th st". `first`: counted from the beginning, "sk first st", which is
    the stitch that a starting chain stands on.
    """

    start: int
    end: int
    n: int
    into: str | None = None
    to: bool = False
    first: bool = False


class RepeatNode(NamedTuple):
    """The body so many times, or as often as it fits.

    `spaced`: it is "2 sc in every 3rd st", which does not say whether the stitches between are skipped or worked.
    """

    start: int
    end: int
    body: tuple[Node, ...]
    times: Times | Fill
    spaced: bool = False


class ActNode(NamedTuple):
    """Something done that makes no stitch. `kind` is one of `model.Act`'s or of the working-out's own."""

    start: int
    end: int
    kind: str
    text: str


class TotalNode(NamedTuple):
    """A printed total. `each` holds the totals of a range one by one: "(12, 18, 24)".

    `spaces` are the chain spaces it counts, as (how many, chains in each); no chains where it does not say.
    """

    start: int
    end: int
    stitches: int | None
    spaces: tuple[tuple[int, int], ...] = ()
    each: tuple[int, ...] = ()


class LoopsNode(NamedTuple):
    """From here on into the front or back loops only, or through both layers."""

    start: int
    end: int
    loop: str


class CountsNode(NamedTuple):
    """Whether the starting chain counts as a stitch, and as a chain space (`space`), as the round says."""

    start: int
    end: int
    counts: bool
    space: bool = False


class OmittedNode(NamedTuple):
    """ "Omitting 1 dc at end of last rep": so many of a stitch, "stitch", or of any, "", chains or skipped stitches."""

    start: int
    end: int
    n: int
    kind: str
    word: str


class Repeated(NamedTuple):
    """How far rounds are repeated, each 0 where it is not said so.

    times: how often. rows: how many rounds that makes. upto: the number of the last one.
    unsure: whether the words have another meaning, and the number after them must tell: "until row 11" may stop before
    it, and "for a total of 11 rows" may be those of the repeat alone.
    """

    times: int = 0
    rows: int = 0
    upto: int = 0
    unsure: bool = False

    @property
    def counts_rounds(self) -> bool:
        """Whether it says how many rounds, or up to which of them, and not how often."""
        return bool(self.rows or self.upto)

    def counts(self, last: int) -> tuple[int, ...]:
        """How many rounds follow that of number `last`, in every meaning of the words, the usual first."""
        if not self.upto:
            return (self.rows,) if self.rows else ()
        up = self.upto - last
        found = (up, self.rows or up - 1) if self.unsure else (up,) if self.rows in (0, up) else ()
        return tuple(n for n in found if n > 0)


NOT_SAID: Final = Repeated()


class AsRoundNode(NamedTuple):
    """ "Repeat round 4", "as rounds 2 and 3"; with a name, of another piece.

    `back` is the 2 of "the last 2 rounds", with no numbers then; `far` how far they are repeated.
    """

    start: int
    end: int
    first: int
    last: int
    name: str = ""
    back: int = 0
    far: Repeated = NOT_SAID


class RoundCountNode(NamedTuple):
    """ "(5 rounds)", said beside a range."""

    start: int
    end: int
    n: int


class UnreadNode(NamedTuple):
    """Words that the grammar does not take."""

    start: int
    end: int


Node = (
    WorkNode | InOneNode | ChainNode | SkipNode | RepeatNode | ActNode | TotalNode | LoopsNode | CountsNode
    | OmittedNode | AsRoundNode | RoundCountNode | UnreadNode
)  # fmt: skip

ASIDES: Final = (ActNode, ChainNode, CountsNode, LoopsNode, RoundCountNode, TotalNode)
"""What stands beside the stitches of a round, and is not repeated where it is said before them."""


class Reading(NamedTuple):
    """One way to understand a round; `doubtful` where taking it should be said."""

    nodes: tuple[Node, ...]
    doubtful: bool
