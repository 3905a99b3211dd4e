"""The pattern as the designer has said it so far: pieces, rounds, what is worked in each, notes.

Nothing is counted here. Totals come from the reader of written patterns, which reads the draft's text like any other
pattern (`script.py`), so that there is one truth.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from companion.pattern.model import Terms
from companion.phrases.line import Act, Chain, Group, Item, Motion

Shape = Literal["spiral", "joined", "turned"]


@dataclass(frozen=True, slots=True)
class DraftRound:
    """One round, or `times` equal ones. `stretch` is where among `items` its last stretch ("then do") begins.

    `notes` are written after it.
    """

    items: tuple[Item, ...] = ()
    stretch: int = 0
    times: int = 1
    notes: tuple[str, ...] = ()

    @property
    def has_work(self) -> bool:
        """True where something is worked; a colour alone is nothing."""
        return any(isinstance(item, Motion | Chain | Group | Act) for item in self.items)


@dataclass(frozen=True, slots=True)
class DraftPiece:
    """A piece, worked `make` times. The last of `rounds` is the present one, which may still be empty.

    `free` while it is worked freely: the present round then holds all that was made since the last one ended.
    """

    name: str
    make: int = 1
    shape: Shape | None = None
    rounds: tuple[DraftRound, ...] = (DraftRound(),)
    notes: tuple[str, ...] = ()
    free: bool = False

    @property
    def round(self) -> DraftRound:
        """The present round."""
        return self.rounds[-1]

    @property
    def first(self) -> int:
        """The number of the present round, or of the first that it stands for."""
        return 1 + sum(entry.times for entry in self.rounds[:-1])

    @property
    def number(self) -> int:
        """The number of the present round, or of the last that it stands for."""
        return self.first + self.round.times - 1

    def with_round(self, entry: DraftRound) -> DraftPiece:
        """The piece with another present round."""
        return replace(self, rounds=(*self.rounds[:-1], entry))


@dataclass(frozen=True, slots=True)
class Draft:
    """All that was taken down. The last piece is the present one.

    `question` holds the ways in which the last line can be meant, while it is not known which; each is the piece as it
    would be then.
    """

    title: str
    terms: Terms = "US"
    hook: str = ""
    yarn: str = ""
    gauge: str = ""
    designer: str = ""
    needed: tuple[str, ...] = ()
    assembly: tuple[str, ...] = ()
    pieces: tuple[DraftPiece, ...] = ()
    question: tuple[DraftPiece, ...] = ()

    @property
    def piece(self) -> DraftPiece | None:
        """The present piece; None before anything was said."""
        return self.pieces[-1] if self.pieces else None

    def with_piece(self, piece: DraftPiece) -> Draft:
        """The draft with another present piece, and nothing in question."""
        return replace(self, pieces=(*self.pieces[:-1], piece), question=())
