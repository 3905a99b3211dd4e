"""What each motion of a round is worked into: the stitches of the round below in turn, or one of its chain spaces."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from companion.paper.geometry import is_same, is_space
from companion.pattern.model import Act, Chain, InOne, Instruction, Repeat, Round, Step, Work

_SPACE = re.compile(r"\b(sp|sps|space|spaces)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Edge:
    """What a round leaves to the next, as places along it in working order: its stitches, and its chain spaces."""

    stitches: tuple[float, ...] = ()
    spaces: tuple[float, ...] = ()


def feet_of(entry: Round, below: Edge) -> list[tuple[float, ...]]:
    """The places that each step takes hold of; none where it takes hold of nothing that is known."""
    found: list[tuple[float, ...]] = []
    taken = 0
    space = -1
    last = _Into()
    begins_in_space = bool(below.spaces) and (_leads_to_space(entry) or _fills_up(entry))
    for step, into in zip(entry.steps, _into(entry), strict=True):
        held = below.stitches[taken : taken + step.takes]
        taken += step.takes
        if _starts(step) and begins_in_space:
            held = below.spaces[:1]
        elif into.space and below.spaces:
            if space < 0 and into.same:
                space = 0
            elif not into.same and into.begins_after(last):
                space += 1
            held = (below.spaces[max(space, 0) % len(below.spaces)],)
        elif not held and step.gives and is_same(step) and 0 < taken <= len(below.stitches):
            held = (below.stitches[taken - 1],)
        last = into
        found.append(tuple(held))
    return found


def edge_of(entry: Round, tops: Sequence[tuple[float, ...]], chains: Sequence[tuple[float, ...]]) -> Edge:
    """What the round leaves to the next one."""
    spaces = [sum(own) / len(own) for step, own in zip(entry.steps, chains, strict=True) if own and is_space(step)]
    return Edge(tuple(place for own in tops for place in own), tuple(spaces))


@dataclass(frozen=True, slots=True)
class _Into:
    """Whether a step goes into a chain space, into the `same` one, as part of which group, and where it is written."""

    space: bool = False
    same: bool = False
    group: InOne | None = None
    at: int = 0

    def begins_after(self, last: _Into) -> bool:
        """True unless it is one more stitch of the group that the step before it belongs to."""
        return self.group is None or last.group is not self.group or self.at < last.at


def _into(entry: Round) -> Iterator[_Into]:
    groups = [group for group in _groups(entry.instructions) if group.at is not None]
    for step in entry.steps:
        leaf = step.instruction
        at = leaf.at if not isinstance(leaf, Repeat) else None
        around = next((g for g in groups if at and g.at and g.at[0] <= at[0] and at[1] <= g.at[1]), None)
        if around is not None:
            yield _Into(around.into == "chain space", around.same, around, at[0] if at else 0)
        elif isinstance(leaf, Work | InOne):
            yield _Into(leaf.into == "chain space", leaf.same)
        else:
            yield _Into()


def _groups(items: Sequence[Instruction]) -> Iterator[InOne]:
    for item in items:
        if isinstance(item, InOne):
            yield item
        if isinstance(item, InOne | Repeat):
            yield from _groups(item.body)


def _leads_to_space(entry: Round) -> bool:
    """True where slip stitches lead to a chain space, in which the round then begins."""
    for step in entry.steps:
        leaf = step.instruction
        if not isinstance(leaf, Act):
            return False
        if _SPACE.search(leaf.text):
            return True
    return False


def _fills_up(entry: Round) -> bool:
    """True where the starting chain is what the first stitches in a space lack of a whole group: "ch 3, 2 dc in sp"."""
    made = [step.instruction for step in entry.steps if step.gives]
    groups = [leaf for leaf in dict.fromkeys(made[1:2]) if isinstance(leaf, Work) and leaf.into == "chain space"]
    if not made or not isinstance(made[0], Chain) or not groups:
        return False
    others = {leaf.in_one * leaf.count for leaf in made[2:] if isinstance(leaf, Work) and leaf.into == "chain space"}
    first = groups[0].in_one * groups[0].count
    return first not in others and first + 1 in others


def _starts(step: Step) -> bool:
    return isinstance(step.instruction, Chain) and step.instruction.role == "start"
