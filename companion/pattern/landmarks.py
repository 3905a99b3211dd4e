"""Where the chain spaces and corners of a round lie, so that "sc in each st to next ch-2 sp" can be counted."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from companion.pattern.labels import Kind
from companion.pattern.model import Chain, InOne, Instruction, Repeat, Step, Work
from companion.pattern.rules import Edge, Landmark
from companion.pattern.steps import gives_of, leaves
from companion.pattern.syntax import ActNode, InOneNode, Node, RepeatNode, WorkNode
from companion.pattern.worked import Worked

_IN_A_CORNER: Final = 3
"""Stitches in one place that turn a corner; the middle one is where the next round turns it. Common practice."""


def landmarks_of(worked: Worked) -> tuple[Landmark, ...]:
    """The chain spaces of a round one by one or, where it has none, its corner stitches; empty where that is unknown.

    They lie in the direction in which the next round meets them, backwards where the work is turned between.
    """
    if worked.gives is None or worked.unread or worked.scattered:
        return ()
    found = _spaces(worked.steps) if worked.chain_spaces else _corners(worked.instructions)
    if worked.chain_spaces and len(found) != worked.chain_spaces:
        return ()  # some are part of a stitch, as in a V-stitch, or made by the starting chain or the join
    return _from_the_other_end(found, worked.gives) if worked.turned else found


def kinds_of(worked: Worked) -> tuple[str, ...]:
    """The stitches of a round one by one, by their keys, as the next round meets them.

    Empty where they are all of one kind, where that is unknown, or where a chain is among them.
    """
    if worked.gives is None or worked.unread or worked.unknown or worked.scattered:
        return ()
    found: list[str] = []
    for step in worked.steps:
        if step.gives and not isinstance(step.instruction, Work):
            return ()
        if isinstance(step.instruction, Work):
            found += [step.instruction.stitch] * step.gives
    if len(set(found)) < 2 or len(found) != worked.gives:
        return ()
    return tuple(reversed(found) if worked.turned else found)


def met_by(nodes: Sequence[Node], edge: Edge, kind: Kind) -> Edge:
    """The edge as a round meets it, the other way where it begins with turning the work. That rows are is known."""
    if kind == "row" or not (edge.landmarks or edge.kinds) or edge.stitches is None or not _turns_first(nodes):
        return edge
    return edge._replace(landmarks=_from_the_other_end(edge.landmarks, edge.stitches), kinds=edge.kinds[::-1])


def turned_after(nodes: Sequence[Node], kind: Kind) -> bool:
    """Whether the work is turned after a round: after rows it is, with or without a word."""
    begun = False
    for node in nodes:
        begun = begun or isinstance(node, WorkNode | InOneNode | RepeatNode)
        if begun and isinstance(node, ActNode) and node.kind == "turn":
            return True
    return kind == "row"


def _turns_first(nodes: Sequence[Node]) -> bool:
    for node in nodes:
        if isinstance(node, ActNode) and node.kind == "turn":
            return True
        if isinstance(node, WorkNode | InOneNode | RepeatNode):
            return False
    return False


def _from_the_other_end(marks: Sequence[Landmark], stitches: int) -> tuple[Landmark, ...]:
    """What lay behind lies before; a corner stitch is itself no part of either."""
    return tuple(Landmark(stitches - at - (not chains), chains) for at, chains in reversed(marks))


def _spaces(steps: Sequence[Step]) -> tuple[Landmark, ...]:
    found: list[Landmark] = []
    made = 0
    for step in steps:
        item = step.instruction
        if isinstance(item, Chain) and item.role == "space" and not item.counts:
            found.append(Landmark(made, item.count))
        made += step.gives
    return tuple(found)


def _corners(instructions: Sequence[Instruction]) -> tuple[Landmark, ...]:
    """The middle stitch of each three or five in one place; none where a place has four, which have no middle."""
    if not _may_turn(instructions):
        return ()
    places: list[tuple[int, int]] = []  # stitches made before it, stitches made in it
    for gives, same in _places(instructions):
        before, there = places[-1] if places else (0, 0)
        if same and places:
            places[-1] = (before, there + gives)
        elif gives:
            places.append((before + there, gives))
    corners = [(before, there) for before, there in places if there >= _IN_A_CORNER]
    if any(there % 2 == 0 for _, there in corners):
        return ()
    return tuple(Landmark(before + there // 2, 0) for before, there in corners)


def _may_turn(instructions: Sequence[Instruction]) -> bool:
    """Whether several go into one place: most rounds have no corners, and are not gone through stitch by stitch."""
    return any(
        _may_turn(item.body)
        if isinstance(item, Repeat)
        else isinstance(item, InOne) or (isinstance(item, Work) and (item.in_one >= _IN_A_CORNER or item.same))
        for item in instructions
    )


def _places(instructions: Sequence[Instruction]) -> Iterator[tuple[int, bool]]:
    """The stitches made in each place, one place after the other, and whether that is the place of those before."""
    for item in instructions:
        if isinstance(item, Repeat):
            for _ in range(item.times):
                yield from _places(item.body)
        elif isinstance(item, InOne):
            gives = sum(gives_of(one) * (one.count if isinstance(one, Work) else 1) for one in leaves(item.body))
            yield from [(gives, item.same)] * item.count
        else:
            count = item.count if isinstance(item, Work) else 1
            yield from [(gives_of(item), isinstance(item, Work) and item.same)] * count
