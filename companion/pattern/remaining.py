"""Decreases "until 12 sts remain" at the end of a round: the stitches it is to come out at, not stitches left unworked.

Where something is still worked after them, "until 3 sts remain" is a place in the round, as it is with plain stitches.
"""

from __future__ import annotations

import re
from typing import Final, NamedTuple

from companion.pattern.lexer import fold
from companion.pattern.syntax import (
    ActNode,
    ChainNode,
    CountsNode,
    Fill,
    LoopsNode,
    Node,
    RepeatNode,
    Times,
    TotalNode,
    UnreadNode,
    WorkNode,
)

_REMAIN: Final = re.compile(r"\b(?:remains?|left)$")
_AFTER: Final = (ActNode, ChainNode, CountsNode, LoopsNode, TotalNode)


class Remaining(NamedTuple):
    """A round that is to come out at `total`: with its decreases all around, and with them unread.

    The second is for where they do not come out at it in one round. Where the pattern prints no total, both have the
    one that the words say.
    """

    total: int
    around: tuple[Node, ...]
    unread: tuple[Node, ...]


def until_so_many_remain(nodes: tuple[Node, ...], text: str) -> Remaining | None:
    """What decreases at the end of a round "until 12 sts remain" can mean; None where nothing of this is said."""
    k = next((k for k in range(len(nodes) - 1, -1, -1) if not isinstance(nodes[k], _AFTER)), None)
    if k is None:
        return None
    node = nodes[k]
    around: Node
    amount: int | Times | Fill
    if isinstance(node, RepeatNode):
        amount, around = node.times, node._replace(times=Fill())
    elif isinstance(node, WorkNode):
        amount, around = node.n, node._replace(n=Fill())
    else:
        return None
    if not isinstance(amount, Fill) or not amount.keep or not _decreases(node):
        return None
    if not _REMAIN.search(fold(text[node.start : amount.end])):
        return None
    if any(isinstance(one, ActNode) and one.kind == "leave" for one in nodes):
        return None
    rest = nodes[k + 1 :]
    if not any(isinstance(one, TotalNode) for one in rest):
        rest = (TotalNode(node.start, amount.end, amount.keep), *rest)
    unread = UnreadNode(node.start, amount.end)
    return Remaining(amount.keep, (*nodes[:k], around, *rest), (*nodes[:k], unread, *rest))


def _decreases(node: Node) -> bool:
    """Whether stitches are worked together in it, and none are added."""
    if isinstance(node, RepeatNode):
        return any(_decreases(one) for one in node.body) and not any(_increases(one) for one in node.body)
    return isinstance(node, WorkNode) and node.together > node.in_one


def _increases(node: Node) -> bool:
    return not isinstance(node, WorkNode) or node.in_one > node.together
