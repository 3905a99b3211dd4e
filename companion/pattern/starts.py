"""Where the first stitch of a foundation row goes: "starting in 2nd ch from hook", "in 2nd ch" of its own chain."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from companion.pattern.edges import closes_chain, first_from_hook, into_ring
from companion.pattern.lexer import Token
from companion.pattern.rules import Edge
from companion.pattern.syntax import ActNode, ChainNode, InOneNode, Node, RepeatNode, SkipNode, WorkNode
from companion.pattern.tokenkinds import CLAUSE_ENDS, type_at

_STARTING: Final = frozenset({"starting", "start", "begin", "beginning"})
_LEADING: Final = frozenset({"IN", "FROM", "WITH", "ON", "FILLER"})

_BEGINNINGS: Final = frozenset({"ring", "chain_ring", "join", "start_at"})

_SHORTEST: Final = 2
_LONGEST: Final = 5
"""Chains of a start that is worked into the first of them as into a ring; of a longer one, that is its far end."""


def starts_from_hook(tokens: Sequence[Token]) -> list[Token]:
    """The tokens with each "starting in 2nd ch from hook", or "in 2nd ch:", as one START_AT, its value the 2."""
    out: list[Token] = []
    i, n = 0, len(tokens)
    while i < n:
        token = tokens[i]
        if token.value in _STARTING and token.type in ("FILLER", "FIRST"):
            j = i + 1
            while j < n and tokens[j].type in _LEADING:
                j += 1
            if j < n and tokens[j].type == "ORD" and (last := _the_chain(tokens, j + 1)) is not None:
                out.append(Token("START_AT", tokens[j].value, token.start, tokens[last].end))
                i = last + 1
                continue
        out.append(token)
        i += 1
    return out


def into_the_chain(tokens: Sequence[Token]) -> list[Token]:
    """The tokens with "in" where a writer leaves it out: "sl st 2nd ch from hook"."""
    out: list[Token] = []
    for token in tokens:
        if token.type == "FROM_HOOK" and out and out[-1].type in ("STITCH", "SLST"):
            out.append(Token("IN", "in", token.start, token.start))
        out.append(token)
    return out


def _the_chain(tokens: Sequence[Token], j: int) -> int | None:
    """The last token of the "ch from hook", "from hook" or "ch" at `j`; None where it is not a chain's."""
    hook = j + 1 if type_at(tokens, j) in ("CH", "ST") else j
    if type_at(tokens, hook) == "HOOK":
        return hook
    return j if type_at(tokens, j) == "CH" and type_at(tokens, j + 1) in CLAUSE_ENDS else None


def counted_from_hook(nodes: Sequence[Node], edge: Edge) -> list[Node]:
    """The nodes with "in 2nd ch" at their beginning, or "sk first ch", as "in 2nd ch from hook", on a chain."""
    nodes = list(nodes)
    chain = edge.chain if edge.kind == "chain" else 0
    if edge.kind not in ("chain", "none"):
        return nodes
    for k, node in enumerate(nodes):
        if isinstance(node, ChainNode):
            chain = node.n
        elif isinstance(node, SkipNode):
            if (begun := _past_skipped(nodes, k, chain)) is not None:
                return begun
            break
        elif isinstance(node, WorkNode | InOneNode):
            if chain and (together := _all_in_one_chain(nodes, k, chain)) is not None:
                return together
            if chain and node.chain_at and (hook := _from_hook(node, chain)):
                nodes[k] = node._replace(from_hook=hook, chain_at=0)
            break
    return nodes


def _past_skipped(nodes: list[Node], k: int, chain: int) -> list[Node] | None:
    """ "ch 11, sk first ch, sc in each ch": its first stitch goes in the 2nd from the hook. None of any other."""
    skip, first = nodes[k], nodes[k + 1] if k + 1 < len(nodes) else None
    if not isinstance(skip, SkipNode) or skip.into not in (None, "chains") or skip.to or not skip.n < chain:
        return None
    if closes_chain(nodes[:k]):
        return None
    begun = put_first(first, skip.n + 1)
    return None if begun is None else [*nodes[:k], begun, *nodes[k + 2 :]]


def put_first(node: Node | None, hook: int) -> Node | None:
    """The node with its first stitch in that chain from the hook; None where it has none, or says another place."""
    if isinstance(node, RepeatNode):
        first = put_first(node.body[0], hook) if node.body else None
        return None if first is None else node._replace(body=(first, *node.body[1:]))
    if isinstance(node, WorkNode | InOneNode) and {node.from_hook, node.chain_at} <= {0, hook}:
        return node._replace(from_hook=hook, chain_at=0)
    return None


def _all_in_one_chain(nodes: list[Node], k: int, chain: int) -> list[Node] | None:
    """ "2 dc, ch 2, 3 dc in 4th ch": all of it in that chain, for what comes first has no other place to go.

    None where no chain is named behind stitches that are only counted.
    """
    j = k
    while j < len(nodes) and (isinstance(one := nodes[j], ChainNode) or (isinstance(one, WorkNode) and one.counted)):
        j += 1
    last = nodes[j] if j < len(nodes) else None
    if j == k or not isinstance(last, WorkNode):
        return None
    hook = last.from_hook or (_from_hook(last, chain) if last.chain_at else 0)
    if not 1 < hook <= chain:
        return None
    # "3 dc in 4th ch" has its three stitches in one place, which is the place of them all.
    plain = last._replace(n=last.in_one, in_one=1, from_hook=0, chain_at=0, first=False)
    body = (*nodes[k:j], plain)
    return [*nodes[:k], InOneNode(nodes[k].start, last.end, body, 1, from_hook=hook), *nodes[j + 1 :]]


def going_on(nodes: Sequence[Node]) -> tuple[Node, ...] | None:
    """The nodes of a round that begins in a ring or on a chain, worked once more on what is there; None of any other.

    A ring or a foundation chain is made once. What "repeat round 1" can still mean are its stitches.
    """
    if not (into_ring(nodes) or closes_chain(nodes) or first_from_hook(nodes)):
        return None
    kept: list[Node] = []
    started = False
    for node in nodes:
        if not started and (isinstance(node, ChainNode) or (isinstance(node, ActNode) and node.kind in _BEGINNINGS)):
            continue
        started = started or isinstance(node, WorkNode | InOneNode | RepeatNode)
        kept.append(_on_the_edge(node))
    works = [node for node in kept if isinstance(node, WorkNode | InOneNode | RepeatNode)]
    if len(works) == 1 and isinstance(only := works[0], WorkNode) and only.n == 1 and only.in_one > 1:
        # "6 sc in 2nd ch from hook" is a ring of one chain
        kept[kept.index(only)] = only._replace(n=only.in_one, in_one=1)
    return tuple(kept)


def _on_the_edge(node: Node) -> Node:
    if isinstance(node, RepeatNode | InOneNode):
        node = node._replace(body=tuple(_on_the_edge(one) for one in node.body))
    if isinstance(node, WorkNode | InOneNode):
        into = None if node.into in ("ring", "chains") else node.into
        return node._replace(into=into, from_hook=0, chain_at=0)
    return node


def _from_hook(node: WorkNode | InOneNode, chain: int) -> int:
    """Which chain from the hook it is; 0 where that is not plain."""
    if node.chain_at > 1:
        return node.chain_at
    several = isinstance(node, InOneNode) or node.in_one > 1
    return chain if several and _SHORTEST <= chain <= _LONGEST else 0
