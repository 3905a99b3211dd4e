"""Where the first stitch of a foundation row goes: "starting in 2nd ch from hook", "in 2nd ch" of its own chain."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from companion.pattern.lexer import Token
from companion.pattern.rules import Edge
from companion.pattern.syntax import ChainNode, InOneNode, Node, WorkNode

_STARTING: Final = frozenset({"starting", "start", "begin", "beginning"})
_LEADING: Final = frozenset({"IN", "FROM", "WITH", "ON", "FILLER"})

_SHORTEST: Final = 2
_LONGEST: Final = 5
"""Chains of a start that is worked into the first of them as into a ring; of a longer one, that is its far end."""


def starts_from_hook(tokens: Sequence[Token]) -> list[Token]:
    """The tokens with each "starting in 2nd ch from hook" as one START_AT, its value the 2."""
    out: list[Token] = []
    i, n = 0, len(tokens)
    while i < n:
        token = tokens[i]
        if token.value in _STARTING and token.type in ("FILLER", "FIRST"):
            j = i + 1
            while j < n and tokens[j].type in _LEADING:
                j += 1
            hook = j + 2 if j + 1 < n and tokens[j + 1].type in ("CH", "ST") else j + 1
            if j < n and tokens[j].type == "ORD" and hook < n and tokens[hook].type == "HOOK":
                out.append(Token("START_AT", tokens[j].value, token.start, tokens[hook].end))
                i = hook + 1
                continue
        out.append(token)
        i += 1
    return out


def counted_from_hook(nodes: Sequence[Node], edge: Edge) -> list[Node]:
    """The nodes with "in 2nd ch" at their beginning as "in 2nd ch from hook", where the round begins on a chain."""
    nodes = list(nodes)
    chain = edge.chain if edge.kind == "chain" else 0
    if edge.kind not in ("chain", "none"):
        return nodes
    for k, node in enumerate(nodes):
        if isinstance(node, ChainNode):
            chain = node.n
        elif isinstance(node, WorkNode | InOneNode):
            if chain and node.chain_at and (hook := _from_hook(node, chain)):
                nodes[k] = node._replace(from_hook=hook, chain_at=0)
            break
    return nodes


def _from_hook(node: WorkNode | InOneNode, chain: int) -> int:
    """Which chain from the hook it is; 0 where that is not plain."""
    if node.chain_at > 1:
        return node.chain_at
    several = isinstance(node, InOneNode) or node.in_one > 1
    return chain if several and _SHORTEST <= chain <= _LONGEST else 0
