"""Where the maker is, as numbers: the short form that leaves the program as JSON, and the full one for sentences."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from companion.pattern.model import Basis

WorkedKind = Literal["round", "row", "step", "assembly"]
ASSEMBLY = "assembly"
"""The name under which the assembly steps are stepped through, as if they were a piece."""


@dataclass(frozen=True, slots=True)
class PlaceView:
    """The place as `work --json` prints it, key for key.

    Stitches are stitches given: an increase is two, a decrease one, a skip none. `round` is the printed number, None
    in an unnumbered step. `repeat` is the repeat of the next stitch to make, from 1; the last one when the round is
    full; None where there is none. `stitches` and `left` are None where the total is unknown.
    """

    piece: str
    copy: int
    round: int | None
    stitch: int
    stitches: int | None
    left: int | None
    repeat: int | None
    repeats: int | None

    def as_json(self) -> dict[str, str | int | None]:
        """The object of the JSON contract."""
        return {
            "piece": self.piece,
            "copy": self.copy,
            "round": self.round,
            "stitch": self.stitch,
            "stitches": self.stitches,
            "left": self.left,
            "repeat": self.repeat,
            "repeats": self.repeats,
        }


@dataclass(frozen=True, slots=True)
class Where:
    """One place, with all that a sentence about it may need.

    `copy` of `copies` counts from 1. `label` is as printed ("Rnd 5"), or the step's own words. `nth` of `of` tells the
    rounds of a range apart: round 10 of "Rounds 9-11" is 2 of 3. `basis` tells where `stitches` comes from; anything
    but "worked_out" is spoken with "the pattern says". `declared` is the printed total of the round, None if none.
    `within` is how many stitches of a motion that gives several are made already: 1 in the middle of an increase.
    `last_round` is the highest printed number of the piece, None where nothing is numbered.
    """

    piece: str
    copy: int
    copies: int
    kind: WorkedKind
    label: str
    round: int | None
    nth: int
    of: int
    last_round: int | None
    stitch: int
    stitches: int | None
    repeat: int | None
    repeats: int | None
    basis: Basis
    declared: int | None = None
    within: int = 0

    @property
    def left(self) -> int | None:
        """Stitches still to make in this round; None where the total is unknown."""
        return None if self.stitches is None else self.stitches - self.stitch

    @property
    def full(self) -> bool:
        """True when every stitch of the round is made."""
        return self.left == 0

    def view(self) -> PlaceView:
        """The short form of it."""
        return PlaceView(
            self.piece, self.copy, self.round, self.stitch, self.stitches, self.left, self.repeat, self.repeats
        )
