"""Stitches up to the next corner or chain space laid: "*dc in each dc to next ch-2 sp, (2 dc, ch 2, 2 dc) in sp*".

How many they are differs from side to side, and follows from where the spaces and corners of the round below lie.
Where the stitches do not lead to them as the words say, the words are kept as written and nothing is counted.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import groupby, pairwise
from typing import Final

from companion.pattern.laid import Laid, Open, joined
from companion.pattern.laying_motions import MotionLaying
from companion.pattern.model import At, Repeat
from companion.pattern.rules import Landmark
from companion.pattern.steps import takes_of
from companion.pattern.syntax import ANY_SPACE, Fill, InOneNode, Node, RepeatNode, Times, WorkNode

_CORNER: Final = re.compile(r"\b(?:corner|cnr)\b", re.IGNORECASE)
_OF_A_SPACE: Final = re.compile(r"\b(?:sps?|spaces?)\b", re.IGNORECASE)


class CornerLaying(MotionLaying):
    """Lays what goes up to a corner.

    `landmarks` are those of the round below from where this round begins, and `passed` is what came before the present
    brackets in this round.
    """

    by_corners = False
    landmarks: Sequence[Landmark] = ()
    passed = Laid()

    def _with_corners(self, node: Node, before: Sequence[Laid | Open], rest: Sequence[Node]) -> Laid | None:
        """A node laid that goes up to a corner, between what was laid `before` it and the `rest`; None of others."""
        if not self.by_corners or not goes_to_corner(node):
            return None
        laid = [part for part in before if isinstance(part, Laid)]
        if len(laid) != len(before) or not self.landmarks:
            return self._unread(node, unknown=True)
        done = joined((self.passed, *laid))
        if isinstance(node, RepeatNode):
            last = not self.level and not any(isinstance(n, WorkNode | InOneNode | RepeatNode) for n in rest)
            return self._sides(node, done, last=last)
        assert isinstance(node, WorkNode | InOneNode)
        return self._up_to_corner(node, done)

    def _up_to_corner(self, node: WorkNode | InOneNode, done: Laid) -> Laid:
        """As many stitches as there are to the next corner."""
        assert isinstance(node.n, Fill)
        marks, ahead = self.landmarks, self._ahead(done)
        mark = marks[ahead] if ahead < len(marks) else None
        if ahead == len(marks) and self.in_space:  # from the last corner to the first, where the round began
            mark = Landmark(self.result.there or 0, marks[0].chains)
        if mark is None or not self._is_meant(mark, node.n.corner or 0):
            return self._astray(node)
        return self._as_far_as(node, done, mark.at)

    def _as_far_as(self, node: WorkNode | InOneNode, done: Laid, place: int) -> Laid:
        unit = self._unit(node, 1) if isinstance(node, WorkNode) else None
        each = takes_of(unit) if unit is not None else int(isinstance(node, InOneNode))
        if not each or done.takes is None or (place - done.takes) % each or place <= done.takes:
            return self._astray(node)
        count = (place - done.takes) // each
        return self._work(node, count) if isinstance(node, WorkNode) else self._in_one(node, count)

    def _sides(self, node: RepeatNode, done: Laid, *, last: bool) -> Laid:
        """A repeat from corner to corner, side by side.

        "Around" ends where the round ends: where that is in the middle of a side, its first stitches go up to there.
        """
        passed, sides = self.passed, list[Laid]()
        while self._goes_on(node.times, len(sides), done):
            self.passed = done
            side = self._bracket(node.body, None, 0)
            self.passed = passed
            if side.takes is None or side.gives is None or self._ahead(joined((done, side))) == self._ahead(done):
                return self._astray(node)
            sides.append(side)
            done = joined((done, side))
        there, taken = self.result.there or 0, done.takes or 0
        over = last and isinstance(node.times, Fill) and taken < there
        first = node.body[0]
        rest = (self._as_far_as(first, done, there),) if over and isinstance(first, WorkNode) else ()
        return joined((self._grouped(sides, (node.start, node.end)), *rest))

    @staticmethod
    def _grouped(sides: Sequence[Laid], at: At = None) -> Laid:
        """The sides as one, with those that come again, alone or several in turn, as a Repeat."""
        items, n = [side.items for side in sides], len(sides)
        for several in range(1, n // 2 + 1):
            if n % several == 0 and items == items[:several] * (n // several):
                once = joined(sides[:several]).items
                return joined(sides)._replace(items=(Repeat(n // several, once, at=at),))
        parts: list[Laid] = []
        for again, run in groupby(sides, key=lambda side: side.items):
            alike = list(run)
            if len(alike) > 1 and again:
                parts.append(joined(alike)._replace(items=(Repeat(len(alike), again, at=at),)))
            else:
                parts += alike
        return joined(parts)

    def _astray(self, node: Node) -> Laid:
        """Words that stay as written, since what comes before them does not lead where they say."""
        self.result.astray = True
        return self._unread(node, unknown=True)

    def _goes_on(self, times: Times | Fill, sides: int, done: Laid) -> bool:
        return sides < times.n if isinstance(times, Times) else self._ahead(done) < len(self.landmarks)

    def _ahead(self, done: Laid) -> int:
        """The number, from 0, of the space or corner that comes next."""
        if self.landmarks and self.landmarks[0].chains:
            return done.used
        return sum(mark.at < (done.takes or 0) for mark in self.landmarks)

    def _landmarks_met(self) -> Sequence[Landmark]:
        """The landmarks of the round below from where this round begins; empty where that is not known."""
        marks, there = self.edge.landmarks, self.result.there
        if self.result.edge_kind != "stitches" or there is None or there != self.edge.stitches:
            return ()
        if not marks or not self.in_space:
            return marks
        places = [mark.at for mark in marks]
        sides = {after - before for before, after in pairwise([*places, places[0] + there])}
        if len(sides) > 1 and not self.result.travels:  # "join B in any corner sp", and sides are not alike
            return ()
        if len({mark.chains for mark in marks}) > 1:  # which of them it begins in is not plain
            return ()
        return [Landmark(mark.at - marks[0].at, mark.chains) for mark in marks]

    def _is_meant(self, mark: Landmark, chains: int) -> bool:
        """Whether the next one is what the words name: any space, one of so many chains, or a corner, the widest."""
        return chains == ANY_SPACE or mark.chains == (chains or max(other.chains for other in self.edge.landmarks))

    def _misses_landmark(self, node: Node, part: Laid | Open, before: Sequence[Laid | Open]) -> bool:
        """Whether it goes into a space or corner that lies elsewhere, so that what follows it cannot be counted."""
        marks = self.landmarks
        if not self.by_corners or not marks or goes_to_corner(node) or not isinstance(part, Laid):
            return False
        done = joined((self.passed, *(p for p in before if isinstance(p, Laid))))
        if not marks[0].chains:
            at_corner = isinstance(node, WorkNode | InOneNode) and _CORNER.search(self._words(node))
            return bool(at_corner) and all(mark.at != done.takes for mark in marks)
        if not part.used:
            return False
        one = isinstance(node, WorkNode | InOneNode) and part.used == 1 and done.used < len(marks)
        return not one or marks[done.used].at != done.takes

    def _at_corner_stitch(self, node: Node) -> Node:
        """ "3 sc in corner" goes into a stitch where the round below has corners of stitches, and no spaces."""
        marks = self.edge.landmarks
        if not marks or marks[0].chains or not isinstance(node, WorkNode | InOneNode) or node.into != "chain space":
            return node
        words = self._words(node)
        return node._replace(into=None) if _CORNER.search(words) and not _OF_A_SPACE.search(words) else node


def goes_to_corner(node: Node) -> bool:
    """Whether it, or something in its brackets, goes up to a corner or chain space."""
    if isinstance(node, RepeatNode):
        return any(map(goes_to_corner, node.body))
    return isinstance(node, WorkNode | InOneNode) and isinstance(node.n, Fill) and node.n.corner is not None
