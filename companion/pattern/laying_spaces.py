"""Stitches all around and spaces all around, laid in the order in which the hook meets them.

"Sc in each dc around, 3 sc in each corner sp" names first the stitches and then the spaces; what is worked is a side, a
corner, the next side. Where it is not known where the spaces lie, they stay in the order of the words.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from companion.pattern.laid import Laid, Open, about_the_open, joined, keep_of, over_spaces
from companion.pattern.laying_corners import CornerLaying
from companion.pattern.rules import Landmark
from companion.pattern.steps import takes_of
from companion.pattern.syntax import RepeatNode

_CHAINS: Final = re.compile(r"\bch[ -]?(\d+)|\b(\d+)[ -]?ch\b|\b(corner|cnr)", re.IGNORECASE)


class SpaceLaying(CornerLaying):
    """Lays what goes over stitches and over spaces at once."""

    def _in_order(self, parts: Sequence[Laid | Open]) -> Laid | None:
        """The parts with all stitches and spaces in their order along the round below; None where that is not known."""
        if self.level or not self.landmarks:
            return None
        stitches, spaces = self._both_kinds(parts)
        if stitches is None or not spaces:
            return None
        before, after = about_the_open(parts)
        first = joined(before)
        if first.takes is None or first.used or any(part.takes or part.used for part in after):
            return None
        chosen = [self._chosen(mark, spaces) for mark in self.landmarks]
        if any(part is None for part in chosen) or {id(part) for part in chosen} != {id(part) for part in spaces}:
            return None
        woven = self._woven(stitches, [part for part in chosen if part is not None], first.takes)
        return None if woven is None else joined((*before, woven, *after))

    def _both_kinds(self, parts: Sequence[Laid | Open]) -> tuple[Open | None, list[Open]]:
        """What goes over all stitches, and what goes over spaces; None where it is more than one."""
        waiting = [part for part in parts if isinstance(part, Open)]
        plain = [part for part in waiting if not over_spaces(part)]
        alone = len(plain) == 1 and not isinstance(plain[0].node, RepeatNode) and not keep_of(plain[0].node)
        along = alone and plain[0].unit is not None and plain[0].unit.into is None
        simple = not any(isinstance(part.node, RepeatNode) or part.node.into == "chains" for part in waiting)
        return (plain[0] if along and simple else None), [part for part in waiting if over_spaces(part)]

    def _chosen(self, mark: Landmark, spaces: Sequence[Open]) -> Open | None:
        """What is worked into a space: what names its chains, or a corner, else what names none."""
        named: list[Open] = []
        others: list[Open] = []
        for part in spaces:
            said = _CHAINS.search(self._words(part.node))
            chains = said and (said[1] or said[2])
            if said is None:
                others.append(part)
            elif self._is_meant(mark, int(chains or 0)):
                named.append(part)
        found = named or others
        return found[0] if len(found) == 1 else None

    def _woven(self, stitches: Open, spaces: Sequence[Open], begun: int) -> Laid | None:
        """Side after side, each stretch of stitches with the space that ends it. `begun`: stitches used before."""
        assert stitches.unit is not None
        each, place, there = takes_of(stitches.unit), begun, self.result.there or 0
        sides: list[Laid] = []
        for mark, space in zip((*self.landmarks, None), (*spaces, None), strict=True):
            ahead = (mark.at if mark is not None else there) - place
            if ahead < 0 or not each or ahead % each:
                return None
            stretch = self._fill(stitches, ahead, 0) if ahead else Laid()
            sides.append(stretch if space is None else joined((stretch, self._fill(space, None, 1))))
            place += ahead
        last = sides.pop()  # what is left after the last space, to where the round began
        return joined((self._grouped(sides), last))
