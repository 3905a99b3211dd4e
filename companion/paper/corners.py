"""Corners: a piece whose every round has as many longest chain spaces is drawn with a corner at each of them."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from companion.paper.geometry import Point, is_space
from companion.pattern.model import Chain, Round, Step

Places = list[tuple[float, ...]]
FEWEST, MOST = 3, 8
"""How many corners a piece may have; more look round anyway."""


@dataclass(frozen=True, slots=True)
class Ground:
    """The plane on which rounds are drawn: round, or with so many `corners`. `against` the clock, or with it.

    A share of a round begins at the top; a distance is that of the middle of a side from the middle of the piece.
    """

    corners: int
    against: bool

    def at(self, share: float, distance: float) -> Point:
        """The point at that share of a round, so far from the middle."""
        if not self.corners:
            return self._turned(share, distance, 0.0)
        side, along = divmod(share * self.corners + 0.5, 1.0)
        half = math.tan(math.pi / self.corners)
        return self._turned(side / self.corners, distance, distance * half * (2 * along - 1))

    def out(self, share: float) -> Point:
        """Which way is out there, as a unit vector."""
        point = self.at(share, 1.0)
        length = math.hypot(point.x, point.y)
        return Point(point.x / length, point.y / length)

    def radius(self, length: float) -> float:
        """The distance at which a round is so long."""
        if not self.corners:
            return length / (2 * math.pi)
        return length / (2 * self.corners * math.tan(math.pi / self.corners))

    def _turned(self, share: float, distance: float, aside: float) -> Point:
        """The point that lies straight up so far, and so far on along the round, turned by a share of the whole."""
        sign = -1.0 if self.against else 1.0
        angle = sign * 2 * math.pi * share
        x, y = sign * aside, -distance
        return Point(x * math.cos(angle) - y * math.sin(angle), x * math.sin(angle) + y * math.cos(angle))


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
