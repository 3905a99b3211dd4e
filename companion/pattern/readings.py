"""Other readings of words that have two. The usual one comes first; these are tried only where it does not add up.

- "sc, inc x 6" can mean six increases, or the whole six times.
- "3 sc, inc around" can mean increases all around, or the whole all around.
- "rep from * 5 times" is five times more, but some writers mean five in all.
"""

from __future__ import annotations

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
    WorkNode,
)

_ASIDE = (ActNode, ChainNode, CountsNode, LoopsNode, TotalNode)


def other_readings(nodes: tuple[Node, ...]) -> tuple[tuple[Node, ...], ...]:
    """The readings beside the usual one, best first."""
    found = []
    whole = _whole_repeated(nodes)
    if whole is not None:
        found.append(whole)
    other = tuple(_other_times(node) for node in nodes)
    if other != nodes:
        found.append(other)
    return tuple(found)


def _other_times(node: Node) -> Node:
    if isinstance(node, RepeatNode) and isinstance(node.times, Times) and node.times.or_else is not None:
        return node._replace(times=Times(node.times.or_else, node.times.written))
    return node


def _whole_repeated(nodes: tuple[Node, ...]) -> tuple[Node, ...] | None:
    """The last "x 6" or "around" taken to mean everything before it too."""
    first = next((k for k, node in enumerate(nodes) if not isinstance(node, _ASIDE)), None)
    last = next((k for k in range(len(nodes) - 1, -1, -1) if not isinstance(nodes[k], _ASIDE)), None)
    if first is None or last is None or first == last:
        return None
    final = nodes[last]
    if not isinstance(final, WorkNode) or any(isinstance(n, RepeatNode) for n in nodes[first:last]):
        return None
    times: Times | Fill
    if final.often and isinstance(final.n, int):
        times = Times(final.often, f"x {final.often}")
        once = final._replace(n=final.n // final.often, often=0)
    elif isinstance(final.n, Fill) and final.shaping and final.n.keep == 0:
        times = final.n
        once = final._replace(n=1)
    else:
        return None
    body = (*nodes[first:last], once)
    return (*nodes[:first], RepeatNode(nodes[first].start, final.end, body, times), *nodes[last + 1 :])
