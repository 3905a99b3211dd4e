"""Corners: a piece whose every round has as many longest chain spaces is drawn with a corner at each of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import pairwise

from companion.paper.geometry import is_space
from companion.pattern.model import Chain, Round, Step

Places = list[tuple[float, ...]]
FEWEST, MOST = 3, 8
"""How many corners a piece may have; more look round anyway."""


def corners_of(entries: Sequence[Round]) -> int:
    """How many corners a piece has; 0 where it is round."""
    counts = set()
    for entry in entries:
        lengths = Counter(
            leaf.count for step in entry.steps if is_space(step) and isinstance(leaf := step.instruction, Chain)
        )
        counts.add(lengths[max(lengths)] if lengths else 0)
    only = counts.pop() if len(counts) == 1 else 0
    return only if FEWEST <= only <= MOST else 0


def squared(steps: Sequence[Step], tops: Places, chains: Places, corners: int) -> tuple[Places, Places]:
    """The places of a round drawn out so that its longest chain spaces stand in the corners."""
    long = max(leaf.count for step in steps if is_space(step) and isinstance(leaf := step.instruction, Chain))
    here = [
        sum(own) / len(own)
        for step, own in zip(steps, chains, strict=True)
        if is_space(step) and isinstance(leaf := step.instruction, Chain) and leaf.count == long
    ]
    turn = round(sum(share * corners - (k + 0.5) for k, share in enumerate(here)) / corners)
    there = [(k + turn + 0.5) / corners for k in range(corners)]
    marks = [*((one - 1, two - 1) for one, two in zip(here, there, strict=True)), *zip(here, there, strict=True)]
    marks += [(one + 1, two + 1) for one, two in zip(here, there, strict=True)]

    def moved(share: float) -> float:
        for (low, low_there), (high, high_there) in pairwise(marks):
            if low <= share <= high:
                return low_there + (high_there - low_there) * (share - low) / (high - low)
        return share

    return [tuple(map(moved, own)) for own in tops], [tuple(map(moved, own)) for own in chains]
