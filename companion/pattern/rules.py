"""What holds while a pattern is read: terms, what is said of starting chains, the writer's own stitches, the edge."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Final, Literal, NamedTuple

from companion.pattern.labels import Kind
from companion.pattern.model import Terms, Work
from companion.pattern.stitches import Stitch, by_spelling, table

_ROUND_NAMED: Final = re.compile(r"\b(?:r|rnd|round|row|rd)s?\.?\s*(\d{1,4})\b")


class Landmark(NamedTuple):
    """A chain space, or a stitch that is a corner: where it lies along a round, and its chains, 0 of a stitch.

    `at` is how many stitches come before it, in the direction of the next round.
    """

    at: int
    chains: int


class Edge(NamedTuple):
    """What a round is worked into.

    `stitches` is how many are there, None where unknown. `chain` is the length of a chain not yet worked into,
    `spaces` and `chains` the chain spaces of the round below and the chains in them. `row` is what it is called that
    this is the edge of, where that is a row, with row ends beside it; None of a round, which has none.
    `landmarks` are the chain spaces one by one or, where there are none, the corner stitches; empty where unknown.
    `kinds` are the stitches one by one, by their keys; empty where they are all of one kind, or unknown.
    """

    stitches: int | None = None
    kind: Literal["none", "ring", "chain", "stitches"] = "stitches"
    chain: int = 0
    spaces: int = 0
    chains: int = 0
    row: Kind | None = None
    landmarks: tuple[Landmark, ...] = ()
    kinds: tuple[str, ...] = ()


@dataclass(slots=True)
class Rules:
    """What the whole pattern says, or is assumed to say.

    `chain_counts` is what is said of starting chains, by stitch key, by length ("ch3") or for all ("*"); `practice`
    is what is assumed by stitch key where the pattern is silent and its totals speak against common practice. `own`
    are the writer's own stitches by the word for them. `edges` are the last counts of finished pieces by name, `rows`
    those of pieces that end with a row, `rounds` the counts of all rounds so far, by piece and number.
    """

    terms: Terms = "US"
    own: dict[str, Work] = field(default_factory=dict)
    chain_counts: dict[str, bool] = field(default_factory=dict)
    practice: dict[str, bool] = field(default_factory=dict)
    edges: dict[str, int] = field(default_factory=dict)
    rows: dict[str, int] = field(default_factory=dict)
    rounds: dict[str, dict[int, int]] = field(default_factory=dict)

    def said_of_chain(self, key: str, length: int) -> bool | None:
        """What the pattern says of a starting chain of that length before that stitch; None where it is silent."""
        for name in (key, f"ch{length}", "*"):
            if name in self.chain_counts:
                return self.chain_counts[name]
        return None

    def look_up(self, word: str) -> Stitch | None:
        """The stitch a word means in the terms in force, or else in the other terms; None for no stitch at all."""
        found = by_spelling(self.terms).get(word)
        if found is not None:
            return found
        return by_spelling("UK" if self.terms == "US" else "US").get(word)

    def edge_named(self, words: str, *, along_row: bool = True) -> int | None:
        """How many stitches the edge has that is called so: "first leg" is a leg; None where there is no such piece.

        `along_row` false: of a piece that ends with a row it may be another edge, and is not known.
        """
        words = words.lower()
        numbered = _ROUND_NAMED.search(words)
        names = [word.strip(".,;:()").removesuffix("s") for word in reversed(words.split())]
        if numbered:
            number = int(numbered[1])
            for name in names:
                if name in self.rounds:
                    return self.rounds[name].get(number)
            for counts in reversed(self.rounds.values()):
                if number in counts:
                    return counts[number]
            return None
        for name in names:
            if name in self.edges:
                return self.edges[name]
            if name in self.rows:
                return self.rows[name] if along_row else None
        return None


LOOPS_OF: Final = re.compile(
    r"\b(?:loops?|lps?|blo|flo|bl|fl|stitches|sts)\b.{0,40}\b(?:of|from|on|in|at|left)\b.{0,20}\b(?:r|rnd|round|row|rd)s?\.?\s*\d",
    re.IGNORECASE,
)
"""Where a note names the loops of an earlier round as what the next one is worked into."""


def is_height(key: str, least: int) -> bool:
    """Whether a stitch is at least so many chains high."""
    entry = table().get(key)
    return entry is not None and entry.height >= least
