"""Stitches that go only into those of one kind: "(sc, dc) in each sc", "sc in each dc and dc in each sc".

"Each sc" mostly means each stitch. It means those alone where the round says what goes into each kind, or where only so
its total comes out.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from companion.pattern.laid import Laid, Open, about_the_open, joined, keep_of
from companion.pattern.laying_spaces import SpaceLaying
from companion.pattern.model import Skip
from companion.pattern.syntax import Fill, InOneNode, RepeatNode, WorkNode


class KindLaying(SpaceLaying):
    """Lays what goes over stitches of certain kinds, and skips the others.

    `by_kind` says that "each sc" is to be taken for those alone. `named_kind` is set where that could be meant.
    """

    by_kind = False
    named_kind = False

    def _of_kinds(self, parts: Sequence[Laid | Open]) -> Laid | None:
        """The parts along the stitches below, each into its own kind; None where they are not of kinds."""
        waiting = [part for part in parts if isinstance(part, Open)]
        kinds = [self._kind_of(part) for part in waiting]
        if self.level or None in kinds or len(set(kinds)) != len(kinds):
            return None
        self.named_kind = self.named_kind or isinstance(waiting[0].node, InOneNode)
        before, after = about_the_open(parts)
        if joined([*before, *after]).takes != 0 or not (self.by_kind or len(waiting) > 1):
            return None
        chosen = dict(zip(kinds, waiting, strict=True))
        runs = [(kind, len(list(run))) for kind, run in groupby(self.edge.kinds)]
        along = self._grouped([self._run(chosen.get(kind), count) for kind, count in runs])
        return joined((*before, along, *after))

    def _kind_of(self, part: Open) -> str | None:
        """The stitch that a part goes into each of, where some of those below are it and some are not."""
        node = part.node
        if isinstance(node, RepeatNode) or not isinstance(node.n, Fill) or keep_of(node) or not node.n.stitch:
            return None
        entry = self.rules.look_up(node.n.stitch)
        plain = node.into is None and (part.unit is None or (part.unit.into is None and part.unit.together == 1))
        return entry.key if entry is not None and plain and entry.key in self.edge.kinds else None

    def _run(self, part: Open | None, count: int) -> Laid:
        """So many stitches of one kind, worked or, where nothing goes into that kind, skipped."""
        if part is None:
            return Laid((Skip(count, None),), count)
        if isinstance(part.node, WorkNode):
            return self._work(part.node, count)
        assert isinstance(part.node, InOneNode)
        return self._in_one(part.node, count)
