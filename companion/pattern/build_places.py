"""Grammar rules for where a motion goes: next stitches, each stitch, rings, spaces, edges by name."""

from __future__ import annotations

import re
from typing import Any, Final

from companion.pattern.build_motions import number, number_in
from companion.pattern.context import TO_CORNER
from companion.pattern.edgewords import reach_of
from companion.pattern.lexer import Token
from companion.pattern.placing import EVENLY, Place, Spot
from companion.pattern.syntax import Fill, Reach

_LEFT: Final = re.compile(r"\brem(?:aining|ainder)?\b|\brest\b|\bothers?\b")
"""Words for each stitch that are said of those that are left."""


def reach_among(c: list[Token]) -> Reach:
    """What is said of the way among the tokens of an extent."""
    return next((reach_of(str(t.value)) for t in c if t.type == "AROUND"), "")


def corner_among(c: list[Token]) -> int | None:
    """The chains of the corner or space that an extent goes up to, 0 where they are not said; None: to none."""
    words = next((str(t.value) for t in c if str(t.value).startswith(TO_CORNER)), None)
    return None if words is None else int(words.removeprefix(TO_CORNER) or 0)


class Places:
    """One method a rule, children in order."""

    @staticmethod
    def _spot(c: list[Any], kind: str, n: int | None = 1) -> Spot:
        given = [t for t in c if t is not None]
        if (kind == "each" and given[-1].type == "CH") or (kind == "next" and given[-1].type == "CH" and (n or 1) > 1):
            kind = "chains"
        return Spot(given[0].start, given[-1].end, kind, n)

    def every(self, c: list[Any]) -> Spot:
        spot = self._spot(c, "each", None)
        if c[-1] is not None and c[-1].type == "STITCH":
            spot = spot._replace(stitch=str(c[-1].value))
        left = spot.kind == "each" and _LEFT.search(str(c[0].value)) is not None
        return spot._replace(kind="rest") if left else spot

    def every_other(self, c: list[Any]) -> Spot:
        return self._spot(c, "every_other", None)

    def every_nth(self, c: list[Any]) -> Spot:
        return self._spot(c, "every_nth", number(c[1]))

    def several(self, c: list[Any]) -> Spot:
        return self._spot(c, "each", number_in(c))

    def several_next(self, c: list[Any]) -> Spot:
        return self._spot(c, "next", number_in(c))

    def next_one(self, c: list[Any]) -> Spot:
        return self._spot(c, "next")

    def first_one(self, c: list[Any]) -> Spot:
        kind = "in_chain" if c[1] is not None and c[1].type == "CH" else "first"
        return self._spot(c, kind)

    def last_one(self, c: list[Any]) -> Spot:
        return self._spot(c, "last")

    def nth(self, c: list[Any]) -> Spot:
        if c[1] is not None and c[1].type == "CH":
            return self._spot(c, "in_chain", number(c[0]))
        return self._spot(c, "nth", number(c[0]))

    def same_one(self, c: list[Any]) -> Spot:
        return self._spot(c, "same")

    def skipped(self, c: list[Any]) -> Spot:
        return self._spot(c, "skipped", number_in(c) or 1)

    def ring(self, c: list[Any]) -> Spot:
        return self._spot(c, "ring")

    def from_hook(self, c: list[Any]) -> Spot:
        return self._spot(c, "from_hook", number(c[0]))

    def space(self, c: list[Any]) -> Spot:
        return self._spot(c, "space")

    def same_space(self, c: list[Any]) -> Spot:
        return self._spot(c, "same_space")

    def each_space(self, c: list[Any]) -> Spot:
        return self._spot(c, "space", None)

    def several_spaces(self, c: list[Any]) -> Spot:
        return self._spot(c, "space", number_in(c))

    def row_ends(self, c: list[Any]) -> Spot:
        return self._spot(c, "row_end", number_in(c))

    def free_loops(self, c: list[Any]) -> Spot:
        kind = "ref_each" if c[0].type == "EACH" else "ref"
        return Spot(c[0].start, c[-1].end, kind, None, str(c[-1].value))

    def named(self, c: list[Any]) -> Spot:
        return Spot(c[0].start, c[0].end, "ref", None, str(c[0].value))

    def top(self, c: list[Any]) -> Spot:
        return self._spot(c, "top")

    def spot_of(self, c: list[Any]) -> Spot:
        spot, ref = c
        kind = "ref_each" if spot.n is None and spot.kind in ("each", "chains") else spot.kind
        words = f"{spot.text} of {ref.value}" if spot.text else str(ref.value)
        return Spot(spot.start, ref.end, kind, spot.n, words)

    def place_list(self, c: list[Any]) -> tuple[Spot, ...]:
        return tuple(spot for spot in c if type(spot) is Spot)

    def ref(self, c: list[Any]) -> Place:
        return Place((Spot(c[0].start, c[0].end, "ref", None, str(c[0].value)),), None, c[0].end)

    def over(self, c: list[Any]) -> Place:
        return Place((c[1],), None, c[1].end, True)

    def extent(self, c: list[Token]) -> Fill:
        keep = next((number(t) for t in c if t.type == "TO_LAST"), 0)
        evenly = any("even" in str(t.value) for t in c)
        written = f"to last {keep} sts" if keep else EVENLY if evenly else "around"
        return Fill(keep, written, c[-1].end, reach_among(c), corner=corner_among(c))

    def place(self, c: list[Any]) -> Place:
        spots: tuple[Spot, ...] = ()
        extent: Fill | None = None
        end = 0
        for child in c:
            kind = type(child)
            if kind is Place:
                return child  # type: ignore[no-any-return]
            if kind is Fill:
                extent = child
                end = max(end, child.end)
            elif kind is Spot:
                spots, end = (child,), child.end
            elif kind is tuple:
                spots, end = child, child[-1].end
        return Place(spots, extent, end)
