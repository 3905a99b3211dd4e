"""What a chain in a round is for: foundation, start, turn, picot, bridge or space; and whether it is a stitch."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from companion.pattern.edges import closes_chain, first_from_hook, skipped_after
from companion.pattern.laid import Laid, plain_keys
from companion.pattern.laying import Laying
from companion.pattern.model import Chain
from companion.pattern.said import SLIP
from companion.pattern.steps import MAX_STEPS, NOT_THE_EDGE, TooLarge
from companion.pattern.stitches import table
from companion.pattern.syntax import ActNode, ChainNode, InOneNode, Node, RepeatNode, SkipNode, WorkNode

_GAP: Final = 3
_BRIDGE: Final = 2
"""Stitches skipped, and chains over them, from which on an opening may have more of one than of the other."""

_AHEAD: Final = 100
"""Nodes after a chain that can show what it is for."""


class ChainLaying(Laying):
    """Lays chains. Where a pattern is silent, common practice is taken and noted, so that it can be said."""

    def _skipped_chains(self, node: WorkNode | InOneNode, key: str) -> Laid:
        """The chains skipped at the start of a foundation row: one stitch where they are tall enough, else none.

        Those before single crochet are a stitch only where that is said, and where there are more than its one chain.
        Where it is said that they count as a chain space, they are one, beside the stitch or alone.
        """
        skipped = node.from_hook - 1
        entry = table().get(key)
        height = entry.height if entry else 1
        result = self.result
        counts = False
        if result.said_counts is not None:
            tall_enough = skipped >= height - (height >= 3) if height >= 2 else skipped > height
            counts = result.said_counts and tall_enough
        elif skipped >= height >= 2 or (skipped == height - 1 and height >= 3):
            said = self.rules.said_of_chain(key, skipped)
            if said is not None:
                counts = said
            else:
                counts = self.rules.practice.get(key, skipped >= height >= 3)
                result.assumed_chain = (key, skipped, counts, node.start)
        beyond = (skipped - height) // 2  # of "dc, ch 1", the chains over as many of the foundation
        if result.said_space:
            beyond = max(1, beyond)
        elif not counts:
            return Laid()
        items = (Chain(skipped, "start", True, (node.start, node.start)),) if counts else ()
        return Laid(items, 0, int(counts), int(beyond > 0), 0, max(0, beyond))

    def _chain(self, node: ChainNode, nodes: Sequence[Node], k: int) -> Laid:
        at = (node.start, node.end)
        rest = nodes[k + 1 : k + 1 + _AHEAD]
        result = self.result
        if node.n > MAX_STEPS:
            raise TooLarge
        following = rest[0] if rest else None
        if (
            isinstance(following, WorkNode)
            and 1 < following.from_hook <= node.n
            and result.edge_kind in ("stitches", "ring")
            and (self.edge.stitches or self.started)
        ):
            if following.from_hook == node.n and following.word in SLIP:
                self.started = True
                return Laid((Chain(node.n, "picot", False, at),))
            self.spur, self.started = node.n - following.from_hook + 1, True
            return Laid((Chain(node.n, "foundation", False, at),))
        works_on = any(isinstance(n, WorkNode | InOneNode | RepeatNode) for n in rest)
        opens_ring = any(isinstance(n, ActNode) and n.kind == "chain_ring" for n in rest) or (
            works_on and closes_chain((node, *rest))  # "ch 20, join, ch 1, sc in each ch"
        )
        if not self.started and (
            opens_ring or (first_from_hook(rest) and result.edge_kind == "chain") or (not works_on and not self.level)
        ):
            if self.edge.kind == "stitches" and self.edge.stitches and not opens_ring and not works_on:
                return self._turning(node)
            result.chain_left, result.chain_ring = node.n, opens_ring
            if result.said_counts is None:
                result.said_counts, result.said_space = node.counts, node.bridges is True
            return Laid((Chain(node.n, "foundation", False, at),))
        if (
            not self.level
            and not works_on
            and (not rest or any(isinstance(n, ActNode) and n.kind == "turn" for n in rest))
        ):
            return self._turning(node)
        if not self.started and self._is_space(node, rest):
            self.started = True
            return self._space(nodes, k, node)
        if not self.started and not _joins_edges(rest):
            counts = self._start_counts(node.n, rest, node.counts, node.start)
            self.started = True
            self.used = self.used or counts
            chain = Chain(node.n, "start", counts, at)
            on_edge = self._chain_takes()
            self.on_base = counts and on_edge
            extra = int(counts and (node.bridges is True or self._also_space(node, rest)))
            return Laid((chain,), int(counts and on_edge), int(counts), extra, 0, extra)
        if not self.started:
            self.bridged = True
            return Laid((Chain(node.n, "foundation", False, at),))
        if (
            isinstance(following, ActNode)
            and following.kind == "join"
            and node.n <= 5
            and self._closes_picot(following)
        ):
            return Laid((Chain(node.n, "picot", False, at),))
        return self._space(nodes, k, node)

    def _space(self, nodes: Sequence[Node], k: int, node: ChainNode) -> Laid:
        """Chains between stitches; those of an opening are stitches where the total is read as counting them."""
        counts = self.openings and opens_at(nodes, k)
        chain = Chain(node.n, "space", counts, (node.start, node.end))
        return Laid((chain,), 0, node.n if counts else 0, 1, 0, 0 if counts else node.n)

    def _chain_takes(self) -> bool:
        """Whether a starting chain stands on a stitch of the edge: not in a ring, on a chain, or in a chain space."""
        return self.result.edge_kind not in ("ring", "chain") and not self.in_space

    def _is_space(self, node: ChainNode, rest: Sequence[Node]) -> bool:
        """Whether a first chain is no starting chain but a space: in a repeat, or over the stitches skipped after it.

        Common practice, no source: a starting chain is as tall as the stitch after it or, where it stands for a chain
        space besides, as the stitch and all that is skipped. So "ch 5, sk 2, dc" and "ch 3, sk 2, dc" begin with a
        double crochet, and "ch 4, sk 4, dc" and "ch 4, sk 3, sc" with a space.
        """
        if node.counts is not None:  # "counts as ch-1 sp", or as a stitch
            return node.counts is False and node.bridges is True
        if self.repeats:
            turns = any(isinstance(n, ActNode) and n.kind == "turn" for n in rest)
            return not turns and self.result.edge_kind != "chain"
        if self.result.edge_kind != "stitches" or not self.edge.stitches:
            return False
        skipped = skipped_after(rest)
        if node.bridges is not None:
            return node.bridges and skipped > 0
        entry = table().get(next(plain_keys(rest, self.rules), self.result.in_force))
        height = entry.height if entry else 1
        if height < 2:
            return skipped >= 2 and node.n >= 2
        return skipped > 2 and height < node.n < height + skipped

    def _closes_picot(self, join: ActNode) -> bool:
        """ "ch 3, sl st in first ch": the slip stitch goes back into the chain, not to the start of the round."""
        words = self.text[join.start : join.end].lower()
        return "ch" in words and "top" not in words and "join" not in words and "beg" not in words

    def _turning(self, node: ChainNode) -> Laid:
        """The chain at the end of a row, for the next one to begin with."""
        chain = Chain(node.n, "start", False, (node.start, node.end))
        self.result.pending_chain = chain
        return Laid((chain,))

    def _also_space(self, node: ChainNode, rest: Sequence[Node]) -> bool:
        """ "ch 4" before dc is a dc and one chain: a chain space besides."""
        key = next(plain_keys(rest, self.rules), self.result.in_force)
        entry = table().get(key)
        return entry is not None and entry.height >= 2 and node.n > entry.height

    def _start_counts(self, length: int, rest: Sequence[Node], said: bool | None, offset: int) -> bool:
        """Whether a starting chain is a stitch: as the pattern says, else by common practice, which is flagged."""
        key = next(plain_keys(rest, self.rules), self.result.in_force)
        if said is not None:
            self.result.said_chain = (key, said)
            return said
        known = self.rules.said_of_chain(key, length)
        if known is not None:
            return known
        entry = table().get(key)
        height = entry.height if entry else 1
        counts = self.rules.practice.get(key, height >= 3 and length >= 3)
        self.result.assumed_chain = (key, length, counts, offset)
        return counts


def opens_at(nodes: Sequence[Node], k: int) -> bool:
    """Whether the chain at `k` lies over skipped stitches as that of a buttonhole or an armhole does.

    Common practice, no source: over just as many, or more loosely or tightly over a wider gap, as at a thumb.
    """
    chain = nodes[k]
    return isinstance(chain, ChainNode) and any(
        isinstance(node, SkipNode)
        and (node.n == chain.n or (node.n >= _GAP and chain.n >= _BRIDGE))
        and not node.to
        and node.into not in NOT_THE_EDGE
        for node in (_beside(nodes, k, -1), _beside(nodes, k, 1))
    )


def _beside(nodes: Sequence[Node], k: int, way: int) -> Node | None:
    """The node before (-1) or after (1) the one at `k`, whatever is said in between."""
    k += way
    while 0 <= k < len(nodes) and isinstance(nodes[k], ActNode):
        k += way
    return nodes[k] if 0 <= k < len(nodes) else None


def has_openings(nodes: Sequence[Node]) -> bool:
    """Whether there are such chains among the nodes, or in their brackets."""
    return any(
        has_openings(node.body) if isinstance(node, InOneNode | RepeatNode) else opens_at(nodes, k)
        for k, node in enumerate(nodes)
    )


def _joins_edges(nodes: Sequence[Node]) -> bool:
    """Whether a chain before them is a bridge to another edge: "ch 3, join to the first leg"."""
    for node in nodes[:3]:
        if isinstance(node, ActNode) and node.kind in ("join_into", "along"):
            return True
        if isinstance(node, WorkNode) and node.into is not None and node.into not in (*NOT_THE_EDGE, "both layers"):
            return "free" not in node.into and "loop" not in node.into
    return False
