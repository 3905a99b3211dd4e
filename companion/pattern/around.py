"""A round on the edge of a row: along its stitches, or around the whole piece; and what edge a round or row leaves.

Around a piece worked in rows go its row ends, too, and nothing says how many stitches those take. Around a piece worked
in rounds goes its last round, whose stitches are counted.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from companion.pattern.edgewords import says_around, says_evenly
from companion.pattern.labels import Kind
from companion.pattern.rules import Edge
from companion.pattern.steps import NOT_THE_EDGE
from companion.pattern.syntax import ActNode, Fill, InOneNode, Node, Reach, RepeatNode, WorkNode
from companion.pattern.worked import Worked

_CORNERS: Final = 4
"""Stitches of the row and of the edge opposite that may be worked as corners, and so are not counted along them."""


def goes_around(nodes: Sequence[Node], text: str, worked: Worked, edge: Edge, kind: Kind) -> bool:
    """Whether a round goes around a whole piece, and not only along its last row. `worked`: as if along that row.

    What is called a row stays one, also where it says "around"; and so does what makes the printed total as one. Where
    rows are called rounds, the next of them is a row, too, unless it is joined, or another total is printed for it.
    """
    if not edge.row or kind == "row" or edge.stitches is None:
        return False
    printed = worked.declared is not None and worked.declared.stitches is not None
    if printed and worked.adds_up:
        return False
    ways = set(_ways(nodes, text))
    turned = worked.turns and not worked.closes
    if kind == edge.row == "round":
        return "around" in ways and not turned and (printed or worked.closes or says_evenly(text))
    if "around" in ways:
        return True
    farther = worked.takes is not None and worked.takes > edge.stitches
    elsewhere = bool(worked.named) or "row end" in (worked.into or "")
    if ways and elsewhere:
        return True
    if kind == "round":
        return farther or ("" in ways and not turned)
    if printed and "" in ways and not turned:
        return True
    return farther and (elsewhere or worked.into is not None or (not turned and _takes_both_sides(worked, edge)))


def row_left(nodes: Sequence[Node], text: str, worked: Worked, edge: Edge, kind: Kind) -> Kind | None:
    """What a row is called whose edge this one leaves, with row ends beside it; None where it leaves that of a round.

    A row is what is worked along one side of a chain, or along a row, or along a part of a round, and is not joined.
    """
    if worked.closes or worked.goes_around:
        return None
    if edge.row and kind == "row":
        return kind
    takes, there = worked.takes, worked.there
    if worked.edge_kind == "chain" and worked.worked_into != 0:
        if takes is None or there is None:
            return kind if kind != "round" else None
        return kind if takes <= there else None
    if worked.edge_kind in ("chain", "ring"):
        return kind if worked.turns and kind != "round" else None
    if worked.edge_kind == "none":
        return kind if kind == "row" or (kind == "step" and worked.turns) else None
    if edge.row:
        if edge.stitches is not None and takes is not None and takes > edge.stitches:
            return None
        if kind == "round" != edge.row and "around" in _ways(nodes, text):
            return None
        return edge.row if worked.turns else kind
    part = takes is not None and there is not None and takes < there
    if kind == "row":
        return kind if part or (worked.turns and "around" not in _ways(nodes, text)) else None
    return "row" if part and worked.turns else None


def _takes_both_sides(worked: Worked, edge: Edge) -> bool:
    """Whether a counted round makes what is printed, or goes as far as the row and the edge opposite are long."""
    return worked.makes_what_is_printed or (worked.takes or 0) >= 2 * (edge.stitches or 0) - _CORNERS


def _ways(nodes: Sequence[Node], text: str) -> Iterator[Reach]:
    """What is said of the way of all that goes on as long as there is room."""
    for node in nodes:
        amount = node.times if isinstance(node, RepeatNode) else node.n if isinstance(node, WorkNode | InOneNode) else 0
        named = isinstance(node, WorkNode | InOneNode) and node.into is not None and node.into not in NOT_THE_EDGE
        evenly = isinstance(node, WorkNode) and node.evenly is not None
        if (named or evenly or isinstance(node, ActNode)) and says_around(text[node.start : node.end]):
            yield "around"
        elif isinstance(amount, Fill) and not named:
            yield amount.reach
        elif isinstance(node, WorkNode) and node.bare:
            yield ""
        if isinstance(node, RepeatNode | InOneNode):
            yield from _ways(node.body, text)
