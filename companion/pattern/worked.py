"""The result of working out one round."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

from companion.pattern.labels import Kind
from companion.pattern.model import Chain, Instruction, Step, Total
from companion.pattern.syntax import AsRoundNode, RoundCountNode, UnreadNode

MOST_AT_BOTH_ENDS: Final = 4
"""Stitches that shaping at the ends of a row takes, two decreases at most; on so few, nothing may be left between."""


@dataclass(slots=True)
class Worked:
    """One round worked out. `takes` and `gives` are None where they cannot be known, `there` where the edge is unknown.

    `printed_spaces` are the chain spaces that are printed, as (how many, chains in each, 0 where it does not say).
    `unread` are words that are not understood, `unknown` words that are, but not how often they are worked.
    `remainder` is (stitches one repeat takes, stitches there for it, stitches left over). `assumed_chain` is (stitch
    key, chains, whether taken as a stitch, offset), `said_chain` what the round itself says of its starting chain.
    `said_counts` is whether the chains skipped at its start are a stitch, `said_space` whether they are a chain space.
    `named` is what is taken of each edge that is called by name, `misfit_at` (name, taken, there) the first of them
    that does not come out even, `beside` those of them that it goes along or around. `on_chain` is true where the
    stitches of the edge are chains.
    `too_large` is true where there are more motions than any round has, and nothing is worked out.
    `idle` is where something stands that is worked "around" while nothing is left for it, as (start, end).
    `left_over` is how many stitches are said to stay unworked at the end, where that is said.
    `suggested` is where increases or decreases are spread that the pattern gives no places for, as (start, end).
    `travels` is true where slip stitches at the start only lead to where the round begins.
    `closes` is true where it is joined to its beginning, `goes_around` where it goes around a whole piece worked in
    rows. `row` is what it is called where it leaves the edge of a row behind, None where that of a round. `turned` is
    true where the work is turned after it, so that the next round meets its stitches from the other end.
    `by_corners` is true where stitches were counted up to corners, so that it is known where each one goes,
    `astray` where they do not lead to the corner or chain space that the words name. `scattered` is true where its
    stitches stand in the order of the words, and are worked in another that is not known.
    """

    instructions: tuple[Instruction, ...] = ()
    steps: tuple[Step, ...] = ()
    takes: int | None = 0
    gives: int | None = 0
    there: int | None = None
    edge_kind: str = "stitches"
    chain_spaces: int = 0
    chains: int = 0
    spaces_used: int = 0
    declared: Total | None = None
    each: tuple[int, ...] = ()
    printed_spaces: tuple[tuple[int, int], ...] = ()
    into: str | None = None
    named: dict[str, int] = field(default_factory=dict)
    beside: set[str] = field(default_factory=set)
    misfit_at: tuple[str, int, int] | None = None
    on_chain: bool = False
    in_force: str = "sc"
    unread: list[UnreadNode] = field(default_factory=list)
    unknown: list[UnreadNode] = field(default_factory=list)
    remainder: tuple[int, int, int] | None = None
    assumed_chain: tuple[str, int, bool, int] | None = None
    said_chain: tuple[str, bool] | None = None
    said_counts: bool | None = None
    said_space: bool = False
    as_round: AsRoundNode | None = None
    round_count: RoundCountNode | None = None
    chain_left: int = 0
    chain_ring: bool = False
    pending_chain: Chain | None = None
    joins: bool = False
    closes: bool = False
    turns: bool = False
    goes_around: bool = False
    by_corners: bool = False
    astray: bool = False
    scattered: bool = False
    row: Kind | None = None
    turned: bool = False
    leaves: bool = False
    left_over: int = 0
    suggested: tuple[int, int] | None = None
    travels: bool = False
    has_work: bool = False
    too_large: bool = False
    idle: tuple[int, int] | None = None
    other_reading: bool = False

    def note_into(self, name: str) -> None:
        """Remember a target that is not the live edge."""
        if self.into is None:
            self.into = name
        elif name not in self.into.split(", "):
            self.into = f"{self.into}, {name}"

    @property
    def fits(self) -> bool:
        """Whether what it takes is what is there, as far as both are known."""
        if self.remainder is not None or (self.idle is not None and (self.takes or 0) > MOST_AT_BOTH_ENDS):
            return False
        there, takes = self.there, self.takes
        if self.misfit_at is not None and not self.leaves:
            return False
        if (
            takes is None
            or there is None
            or self.unread
            or self.unknown
            or not self.has_work
            or self.edge_kind == "ring"
        ):
            return True
        if self.edge_kind == "chain":
            return takes in (there, 2 * there - 2, 2 * there - 1, 2 * there)
        if self.named:
            return True
        if self.spaces_used and not self.by_corners:
            return takes <= there
        if self.into is not None and self.into != "both layers":
            return True
        return takes <= there if self.leaves else takes == there

    @property
    def adds_up(self) -> bool:
        """Whether everything is read, fits what is there, and makes what is printed; something must vouch for it."""
        printed = self.declared.stitches if self.declared is not None else None
        if self.unread or self.idle is not None or self.gives is None or not self.fits:
            return False
        if printed is not None:
            return self.gives == printed
        return self.there is not None and self.has_work and self.edge_kind == "stitches"

    @property
    def makes_what_is_printed(self) -> bool:
        """Whether a total is printed, and it is what is made."""
        return self.gives is not None and self.declared is not None and self.declared.stitches == self.gives

    @property
    def comes_out_even(self) -> bool:
        """Whether all is read and takes exactly the stitches that are there, whatever is printed."""
        known = self.there is not None and self.takes == self.there and self.edge_kind == "stitches"
        return (
            known and self.has_work and self.gives is not None and not self.unread and self.idle is None and self.fits
        )

    @property
    def worked_into(self) -> int | None:
        """The count a round is worked into: what is there; for edges called by name, what is taken of them."""
        if not self.has_work and self.chain_left:
            return 0
        if self.edge_kind == "chain" and self.there == 1 and (self.gives or 0) > 1:
            return 0  # all in one chain, as in a ring
        if self.edge_kind == "chain" and self.takes is not None and self.there is not None:
            return max(self.takes, self.there) if self.fits else self.there
        if self.named and self.edge_kind in ("none", "stitches") and self.takes:
            return self.takes
        if self.edge_kind == "none" and self.takes == 0 and self.gives:
            return 0
        return self.there

    @property
    def said_into(self) -> str | None:
        """What a round is worked into where that is not the live edge: "ring", "chain", or the pattern's own words."""
        if self.edge_kind == "ring":
            return "ring"
        if (self.edge_kind == "chain" or self.on_chain) and self.into is None:
            return "chain"
        return self.into
