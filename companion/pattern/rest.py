""" "Inc in 1st and 12th st, sc in others": the others are all that is left out before, and none is skipped."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from companion.pattern.syntax import (
    ActNode,
    ChainNode,
    Fill,
    LoopsNode,
    Node,
    RepeatNode,
    SkipNode,
    UnreadNode,
    WorkNode,
)

REST: Final = "rest"
"""How a Fill says that it goes into all the stitches that are left."""


def with_the_rest(nodes: Sequence[Node]) -> list[Node]:
    """The nodes with "sc in others" also in what lies between the stitches said before it, if that is by number."""
    k = next((k for k, node in enumerate(nodes) if _is_rest(node)), None)
    rest = nodes[k] if k is not None else None
    if k is None or not isinstance(rest, WorkNode):
        return list(nodes)
    before = nodes[k - 1] if k else None
    if isinstance(before, RepeatNode) and (spaced := _between(before, rest)) is not None:
        return [*nodes[: k - 1], spaced, *nodes[k + 1 :]]
    if any(isinstance(node, SkipNode) and node.to for node in nodes[:k]):
        filled = _up_to_each(nodes[:k], rest)
        return [*nodes[:k], UnreadNode(rest.start, rest.end)] if filled is None else [*filled, *nodes[k:]]
    return list(nodes)


def _is_rest(node: Node) -> bool:
    return isinstance(node, WorkNode) and isinstance(node.n, Fill) and node.n.written == REST


def _between(repeat: RepeatNode, rest: WorkNode) -> RepeatNode | None:
    """ "2 sc in every 4th st, sc in others": three of the others, and those two. None of any other repeat."""
    if not isinstance(repeat.times, Fill) or repeat.times.keep or len(repeat.body) != 2:
        return None
    first, last = repeat.body
    if isinstance(first, WorkNode) and isinstance(last, SkipNode):
        return repeat._replace(body=(_plain(rest, last.n), first), spaced=False)
    if isinstance(first, WorkNode) and isinstance(last, WorkNode) and last.shaping and not first.shaping:
        return repeat._replace(body=(first._replace(word=rest.word or first.word), last))
    return None


def _up_to_each(nodes: Sequence[Node], rest: WorkNode) -> list[Node] | None:
    """The nodes with the others worked up to each stitch that is named by its number; None where that is not plain."""
    used = 0
    out: list[Node] = []
    for node in nodes:
        if isinstance(node, SkipNode) and node.to:
            if node.n < used:
                return None
            if node.n > used:
                out.append(_plain(rest, node.n - used))
            used = node.n
            continue
        if isinstance(node, WorkNode) and isinstance(node.n, int) and not (node.same or node.into):
            used += node.n * node.together
        elif not isinstance(node, ActNode | LoopsNode) and not (isinstance(node, ChainNode) and not used):
            return None
        out.append(node)
    return out


def _plain(rest: WorkNode, n: int) -> WorkNode:
    return rest._replace(n=n)
