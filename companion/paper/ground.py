"""The plane on which rounds are drawn: round, with corners, or long where they go around a straight chain."""

from __future__ import annotations

import math
from dataclasses import dataclass

from companion.paper.geometry import Point


@dataclass(frozen=True, slots=True)
class Ground:
    """Where a share of a round lies, 0 to 1, from the top on; in a long one from where its first side begins.

    `corners` is how many there are, 0 for none. `straight` is the length of the two sides of a long round, 0 for a
    round one. `against` the clock, or with it. A distance is that from the middle of the piece, or of the straight
    line in it, to the middle of a side.
    """

    corners: int
    against: bool
    straight: float = 0.0

    def at(self, share: float, distance: float) -> Point:
        """The point at that share of a round, so far from the middle."""
        if self.straight:
            return self._long(share, distance)
        if not self.corners:
            return self._turned(share, distance, 0.0)
        side, along = divmod(share * self.corners + 0.5, 1.0)
        half = math.tan(math.pi / self.corners)
        return self._turned(side / self.corners, distance, distance * half * (2 * along - 1))

    def out(self, share: float) -> Point:
        """Which way is out there, as a unit vector."""
        near, far = self.at(share, 1.0), self.at(share, 2.0)
        if self.straight:
            line = max(-self.straight / 2, min(self.straight / 2, near.x))
            near, far = Point(line, 0.0), near
        else:
            near = Point(0.0, 0.0)
        length = math.hypot(far.x - near.x, far.y - near.y)
        return Point((far.x - near.x) / length, (far.y - near.y) / length)

    def radius(self, length: float) -> float:
        """The distance at which a round is so long."""
        if self.straight:
            return (length - 2 * self.straight) / (2 * math.pi)
        if not self.corners:
            return length / (2 * math.pi)
        return length / (2 * self.corners * math.tan(math.pi / self.corners))

    def _turned(self, share: float, distance: float, aside: float) -> Point:
        """The point that lies straight up so far, and so far on along the round, turned by a share of the whole."""
        sign = -1.0 if self.against else 1.0
        angle = sign * 2 * math.pi * share
        x, y = sign * aside, -distance
        return Point(x * math.cos(angle) - y * math.sin(angle), x * math.sin(angle) + y * math.cos(angle))

    def _long(self, share: float, distance: float) -> Point:
        """A side, the bend at its end, the other side, the other bend."""
        bend, half = math.pi * distance, self.straight / 2
        along = (share % 1.0) * 2 * (self.straight + bend)
        back = along >= self.straight + bend
        along -= (self.straight + bend) * back
        angle = max(0.0, along - self.straight) / distance
        x = half - min(along, self.straight) - distance * math.sin(angle)
        y = -distance * math.cos(angle)
        x, y = (-x, -y) if back else (x, y)
        return Point(x if self.against else -x, y)
