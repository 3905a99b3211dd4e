"""Rows of a chart: one above the other, each stitch over what it is worked into as nearly as there is room."""

from __future__ import annotations

from collections.abc import Sequence

from companion.paper.feet import Edge, edge_of, feet_of
from companion.paper.geometry import (
    SC,
    WIDTH,
    Course,
    Hand,
    Motion,
    Point,
    bow,
    is_beside,
    is_foundation,
    is_space,
    rise_of,
    room,
    step_height,
    upright,
)
from companion.pattern.model import Chain, Round, Step

Places = list[tuple[float, ...]]
_ASIDE = 0.8
"""How many stitches a chain that is no stitch stands from its neighbour."""


def rows(entries: Sequence[tuple[int | None, Round]], hand: Hand) -> tuple[Course, ...]:
    """The rows placed from the bottom up; the middle of the piece is at x 0.

    Along a row, places are in stitches from the middle, in working order: the work is turned after each.
    """
    courses: list[Course] = []
    below = Edge()
    level = 0.0
    for index, (number, entry) in enumerate(entries):
        if index:
            below = Edge(_turned(below.stitches), _turned(below.spaces))
        feet = feet_of(entry, below)
        tops, chains = _along(entry.steps, feet)
        ends = _ends(entry.steps)
        height = max((step_height(step) for step in entry.steps if step.gives), default=SC)
        inner, level = level, level + height
        sign = -1.0 if (index % 2 == 0) == (hand == "right") else 1.0

        def at(place: float, high: float, sign: float = sign) -> Point:
            return Point(sign * place * WIDTH, -high)

        motions = []
        for k, (step, held, own, strung) in enumerate(zip(entry.steps, feet, tops, chains, strict=True)):
            if is_foundation(step):
                hung = [inner] * len(strung)
            elif is_beside(step):
                hung = [(level if k >= ends else inner) + rise for rise in upright(len(strung), height)]
            else:
                hung = [level + rise for rise in bow(len(strung))]
            motions.append(
                Motion(
                    step,
                    tuple(at(place, inner) for place in held or own),
                    tuple(at(place, level) for place in own),
                    tuple(at(place, high) for place, high in zip(strung, hung, strict=True)),
                    Point(0.0, -1.0),
                )
            )
        first = min([place for places in (*feet, *tops, *chains) for place in places], default=0.0)
        courses.append(Course(number, entry, tuple(motions), at(first - 1.2, (inner + level) / 2)))
        below = edge_of(entry, tops, chains)
        level += rise_of(entry)
    return tuple(courses)


def _turned(places: tuple[float, ...]) -> tuple[float, ...]:
    return tuple(-place for place in reversed(places))


def _along(steps: Sequence[Step], feet: Places) -> tuple[Places, Places]:
    """The places of every step's tops and chains."""
    wide = sum(room(step) for step in steps)
    standing = [k for k, step in enumerate(steps) if step.gives]
    wanted: list[float] = []
    gaps: list[float] = []
    reached = -wide / 2
    for k, step in enumerate(steps):
        width = room(step)
        if step.gives:
            held = feet[k]
            wanted.append(sum(held) / len(held) if held else reached + width / 2)
            gaps.append(reached + width / 2)
        reached += width
    middles = dict(zip(standing, spaced(wanted, gaps), strict=True))
    tops: Places = []
    chains: Places = []
    for k, step in enumerate(steps):
        leaf = step.instruction
        own: tuple[float, ...] = ()
        strung: tuple[float, ...] = ()
        if step.gives:
            own = tuple(middles[k] + i - (step.gives - 1) / 2 for i in range(step.gives))
        elif is_foundation(step) and isinstance(leaf, Chain):
            lying = leaf.count - _standing_up(steps[k + 1 : k + 2])
            begin = -wide / 2 - (lying - wide if wide else lying / 2)
            strung = tuple(begin + i + 0.5 for i in range(lying))
        elif is_beside(step) and isinstance(leaf, Chain) and middles:
            strung = (_beside(steps, middles, k),) * leaf.count
        elif is_space(step) and isinstance(leaf, Chain):
            strung = _between(steps, middles, k, leaf.count)
        tops.append(own)
        chains.append(strung)
    return tops, chains


def _standing_up(following: Sequence[Step]) -> int:
    """How many chains of a foundation stand up as the first stitch."""
    for step in following:
        if isinstance(step.instruction, Chain) and step.instruction.role == "start":
            return step.instruction.count
    return 0


def _ends(steps: Sequence[Step]) -> int:
    """The place after the last step that makes a stitch; what comes there belongs to the row above."""
    return max((k + 1 for k, step in enumerate(steps) if step.gives), default=0)


def _beside(steps: Sequence[Step], middles: dict[int, float], k: int) -> float:
    """Where a chain stands that is no stitch: before the next stitch, or after the last."""
    after = min((i for i in middles if i > k), default=None)
    if after is not None:
        return middles[after] - (steps[after].gives - 1) / 2 - _ASIDE
    last = max(middles)
    return middles[last] + (steps[last].gives - 1) / 2 + _ASIDE


def _between(steps: Sequence[Step], middles: dict[int, float], k: int, count: int) -> tuple[float, ...]:
    """The chains of a space evenly between the stitches before and after it."""
    before = max((i for i in middles if i < k), default=None)
    after = min((i for i in middles if i > k), default=None)
    left = middles[before] + steps[before].gives / 2 if before is not None else None
    right = middles[after] - steps[after].gives / 2 if after is not None else None
    if left is None:
        left = (right if right is not None else count * 0.8) - count * 0.8
    if right is None:
        right = left + count * 0.8
    return tuple(left + (right - left) * (i + 0.5) / count for i in range(count))


def spaced(wanted: Sequence[float], middles: Sequence[float]) -> list[float]:
    """Places as near to those wanted as can be, with at least the distances from each other that `middles` have.

    Least squares under an order: neighbours that come too near share the mean of what they want (pool adjacent
    violators).
    """
    blocks: list[tuple[float, int]] = []
    for want, middle in zip(wanted, middles, strict=True):
        blocks.append((want - middle, 1))
        while len(blocks) > 1 and blocks[-2][0] > blocks[-1][0]:
            (last, n), (before, m) = blocks.pop(), blocks.pop()
            blocks.append(((last * n + before * m) / (n + m), n + m))
    shifts = [shift for shift, count in blocks for _ in range(count)]
    return [middle + shift for middle, shift in zip(middles, shifts, strict=True)]
