"""What a round is worked into: the live edge, a ring, a chain; found from the edge and from how the round begins."""

from __future__ import annotations

from collections.abc import Sequence

from companion.pattern.rules import Edge
from companion.pattern.syntax import ActNode, ChainNode, Fill, InOneNode, Node, RepeatNode, SkipNode, WorkNode
from companion.pattern.worked import Worked


def find_room(nodes: Sequence[Node], edge: Edge, result: Worked) -> None:
    """Set what kind of edge the round has and how many stitches, or chains, are there."""
    result.there, result.edge_kind = edge.stitches, edge.kind
    hook = first_from_hook(nodes)
    chain = edge.chain if edge.kind == "ring" and edge.chain else _own_chain(nodes) or edge.chain
    if hook and chain:
        result.there, result.edge_kind = max(0, chain - hook + 1), "chain"
    elif (edge.kind == "ring" or closes_chain(nodes)) and chain and works_each_chain(nodes):
        result.there, result.edge_kind, result.on_chain = chain, "stitches", True
    elif edge.kind == "ring" or into_ring(nodes) or closes_chain(nodes):
        result.there, result.edge_kind = 0, "ring"
    elif edge.kind == "chain" and edge.chain:
        result.there, result.edge_kind = edge.chain, "chain"


def _own_chain(nodes: Sequence[Node]) -> int:
    """The length of a chain the round itself begins with."""
    for node in nodes:
        if isinstance(node, ChainNode):
            return node.n
        if isinstance(node, WorkNode | InOneNode | RepeatNode):
            return 0
    return 0


def first_from_hook(nodes: Sequence[Node]) -> int:
    """The 2 of "2nd ch from hook" where the first stitch goes there, else 0."""
    for node in nodes:
        if isinstance(node, WorkNode | InOneNode):
            return node.from_hook
        if isinstance(node, RepeatNode):
            return first_from_hook(node.body)
    return 0


def skipped_after(rest: Sequence[Node]) -> int:
    """How many stitches of the edge are skipped at once after a chain, with nothing but acts between; 0: none."""
    for node in rest:
        if isinstance(node, SkipNode):
            return node.n if node.into is None and not node.first and not node.to else 0
        if not isinstance(node, ActNode) or node.kind not in ("turn", "note"):
            return 0
    return 0


def closes_chain(nodes: Sequence[Node]) -> bool:
    """Whether the round begins with a chain that is joined into a ring."""
    chain = False
    for node in nodes:
        if isinstance(node, ChainNode):
            chain = True
        elif isinstance(node, ActNode) and node.kind in ("chain_ring", "join"):
            return chain
        elif isinstance(node, WorkNode | InOneNode | RepeatNode):
            return False
    return False


def works_each_chain(nodes: Sequence[Node]) -> bool:
    """Whether a closed chain is worked into chain by chain, and not as a ring."""
    for node in nodes:
        if isinstance(node, WorkNode | InOneNode):
            if node.into == "chains" or (isinstance(node.n, Fill) and node.into is None):
                return True
        elif isinstance(node, RepeatNode) and (isinstance(node.times, Fill) or works_each_chain(node.body)):
            return True
    return False


def into_ring(nodes: Sequence[Node]) -> bool:
    """Whether the round is worked into a ring."""
    for node in nodes:
        if isinstance(node, WorkNode | InOneNode):
            if node.into == "ring":
                return True
        elif isinstance(node, ActNode):
            if node.kind == "ring":
                return True
        elif isinstance(node, RepeatNode) and into_ring(node.body):
            return True
    return False


def has_fill(nodes: Sequence[Node]) -> bool:
    """Whether anything in it goes on as long as there is room."""
    for node in nodes:
        if isinstance(node, WorkNode | InOneNode):
            if isinstance(node.n, Fill):
                return True
        elif isinstance(node, RepeatNode) and (isinstance(node.times, Fill) or has_fill(node.body)):
            return True
    return False
