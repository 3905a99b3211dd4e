"""A motion and where it goes, brought together: "2 sc in next st" against "sc in next 2 sts"."""

from __future__ import annotations

import re
from typing import Final, NamedTuple

from companion.pattern.rest import REST
from companion.pattern.syntax import Fill, InOneNode, Node, RepeatNode, SkipNode, UnreadNode, WorkNode


class Motion(NamedTuple):
    """A stitch or shaping before it is known where it goes. `n` is None where no number is written.

    `glued` and `apart` are those of `syntax.WorkNode`.
    """

    start: int
    end: int
    word: str
    n: int | None
    in_one: int = 1
    together: int = 1
    invisible: bool = False
    shaping: bool = False
    parts: tuple[str, int] | None = None
    glued: int = 0
    apart: int = 0


class Spot(NamedTuple):
    """Where a motion goes: `n` stitches (None: all there are), or by `kind` something that is no stitch of the edge.

    `stitch` is the "dc" of "each dc".
    """

    start: int
    end: int
    kind: str
    n: int | None = 1
    text: str = ""
    stitch: str = ""


class Place(NamedTuple):
    """One or more spots, how far they go, and whether they are gathered into one ("over next 2 sts")."""

    spots: tuple[Spot, ...]
    extent: Fill | None
    end: int
    over: bool = False


EVENLY: Final = "evenly"
"""How a Fill says that what is counted is to be spread out."""

_TARGETS: Final = {
    "ring": "ring",
    "space": "chain space",
    "same_space": "chain space",
    "row_end": "row end",
    "chains": "chains",
    "skipped": "skipped stitch",
}


_COUNTED: Final = re.compile(r"\b(\d+)[\s-]*(?:ch|chs|chains?|sts?|stitch|stitches)\b", re.IGNORECASE)


def node(
    motion: Motion,
    end: int,
    count: int | Fill,
    *,
    into: str | None = None,
    same: bool = False,
    from_hook: int = 0,
) -> WorkNode:
    """The WorkNode of a motion done `count` times."""
    return WorkNode(
        motion.start, max(end, motion.end), motion.word, count, motion.in_one, motion.together, motion.invisible, "",
        same, into, from_hook, motion.parts, motion.shaping, 0, motion.glued, motion.apart,
    )  # fmt: skip


def placed(motion: Motion, place: Place | None) -> tuple[Node, ...]:
    """The nodes of one motion at its place or places."""
    if place is None:
        if motion.n is None:
            return (node(motion, motion.end, 1)._replace(bare=True),)
        return (node(motion, motion.end, motion.n)._replace(counted=True),)
    if place.over:
        return (_over(motion, place),)
    if not place.spots:
        if motion.shaping and motion.n is not None and place.extent is not None and place.extent.written == EVENLY:
            return (UnreadNode(motion.start, place.end),)  # "inc 6 evenly around": where, is left to the maker
        if motion.n is not None and motion.n > 1:
            # "6 sc around": six, spread over the round
            return (node(motion, place.end, motion.n)._replace(around=place.extent),)
        fill = place.extent or Fill()
        return (node(motion, place.end, fill._replace(of="one") if motion.n == 1 else fill),)
    nodes: list[Node] = []
    last = len(place.spots) - 1
    for k, spot in enumerate(place.spots):
        nodes.extend(_at_spot(motion, spot, place.extent if k == last else None))
    return tuple(nodes)


def placed_in_one(body: tuple[Node, ...], spot: Spot, extent: Fill | None, start: int, end: int) -> Node:
    """Several stitches at one spot."""
    if spot.kind == "from_hook":
        return InOneNode(start, end, body, 1, from_hook=spot.n or 0)
    count: int | Fill = spot.n if spot.n is not None else (extent or Fill())._replace(stitch=spot.stitch)
    if spot.kind == "every_other":
        one = InOneNode(start, end, body, 1)
        return RepeatNode(start, end, (one, SkipNode(spot.start, end, 1)), extent or Fill())
    if spot.kind in ("ref", "ref_each"):
        return InOneNode(start, end, body, 1 if spot.kind == "ref" else Fill(), False, spot.text)
    same = spot.kind in ("same", "same_space")
    if spot.kind == "in_chain":
        return InOneNode(start, end, body, 1, first=spot.n == 1, chain_at=spot.n or 0)
    first = spot.kind == "first"
    around = extent if spot.kind == "next" else None
    return InOneNode(start, end, body, count, same, _TARGETS.get(spot.kind), first=first, around=around)


def _over(motion: Motion, place: Place) -> WorkNode | UnreadNode:
    """ "sc2tog over next 2 sts", "dc cluster over next 3 sts", "sc next 2 sts together"."""
    if not place.spots:
        return UnreadNode(motion.start, max(motion.end, place.end))
    span = place.spots[0].n or 1
    if motion.shaping and motion.in_one > 1:  # "2 inc over next 2 sts"; "inc over next 2 sts" does not say how many
        return node(motion, place.end, span) if motion.n == span else UnreadNode(motion.start, place.end)
    if motion.together == 1:
        if motion.n in (None, span):
            return node(motion._replace(together=span, shaping=True), place.end, 1)
        return UnreadNode(motion.start, place.end)
    if span == motion.together:
        return node(motion, place.end, motion.n or 1)
    if span % motion.together == 0 and motion.n in (None, span // motion.together):
        return node(motion, place.end, span // motion.together)
    return UnreadNode(motion.start, place.end)


def _at_spot(motion: Motion, spot: Spot, extent: Fill | None) -> tuple[Node, ...]:
    n, kind = motion.n, spot.kind
    end = spot.end if extent is None else max(spot.end, extent.end)
    several = motion._replace(in_one=n) if n is not None and n > 1 and not motion.shaping else motion
    if kind in _TARGETS:
        into = _TARGETS[kind]
        if spot.n is None:
            return (node(several, end, extent or Fill(), into=into),)
        if kind in ("ring", "row_end") and spot.n == 1:
            return (node(motion, end, n if n is not None else 1, into=into, same=kind == "same_space"),)
        return (node(several, end, spot.n, into=into, same=kind == "same_space"),)
    if kind == "ref_each":
        return (node(several, end, Fill(), into=spot.text),)
    if kind == "ref":
        digits = _COUNTED.search(spot.text)  # "the other side of 2 ch"
        count: int | Fill = int(digits[1]) if digits and len(digits[1]) < 5 else Fill()
        return (node(motion, end, n if n is not None else count, into=spot.text),)
    if kind == "from_hook":
        return (node(several, end, 1, from_hook=spot.n or 1),)
    if kind == "same":
        return (node(several, end, 1, same=True),)
    if kind == "in_chain":
        at = spot._replace(n=1)
        in_chain = _counted(motion, several, at, extent, None)
        if isinstance(in_chain, WorkNode) and extent is None:
            in_chain = in_chain._replace(chain_at=spot.n or 0, first=spot.n == 1 and motion.together == 1)
        return (in_chain,)
    if kind == "first" and motion.together == 1:
        at_first = _counted(motion, several, spot, extent, None)
        return (at_first._replace(first=extent is None) if isinstance(at_first, WorkNode) else at_first,)
    if kind in ("every_other", "every_nth"):
        rest = 1 if kind == "every_other" else max(0, (spot.n or 1) - 1)
        if motion.shaping:  # "inc in every 4th st": three plain ones and an increase
            plain = Motion(motion.start, motion.end, motion.word, rest)
            group: tuple[Node, ...] = (node(plain, end, rest), node(several, end, 1))
        else:
            group = (node(several, end, 1), SkipNode(spot.start, end, rest))
        return (
            RepeatNode(motion.start, end, group, extent or Fill(), spaced=not motion.shaping and several.in_one > 1),
        )
    if kind == "nth":
        return (SkipNode(spot.start, end, (spot.n or 1) - 1, to=True), node(several, end, 1))
    if kind == "rest":
        return (node(several, end, Fill(extent.keep if extent is not None else 0, REST, end), into=spot.text or None),)
    into_named = spot.text or None
    if spot.n is None:
        fill = (extent or Fill())._replace(stitch=spot.stitch)
        return (node(several, end, fill._replace(of="each") if kind == "each" else fill, into=into_named),)
    counted = _counted(motion, several, spot, extent, into_named)
    return (counted._replace(around=extent) if isinstance(counted, WorkNode) else counted,)


def _counted(
    motion: Motion, several: Motion, spot: Spot, extent: Fill | None, into: str | None
) -> WorkNode | UnreadNode:
    """At a counted number of stitches: "in next 6 sts", "in next st"."""
    n, count = motion.n, spot.n or 1
    end = spot.end if extent is None else max(spot.end, extent.end)
    if extent is not None and count == 1:
        fill = extent._replace(of="one") if spot.kind == "next" else extent
        return node(several, end, fill, into=into)
    if motion.together > 1:
        if count == 1:
            return node(motion, end, n or 1, into=into)
        if count % motion.together == 0 and n in (None, 1, count // motion.together):
            return node(motion, end, count // motion.together, into=into)
        return UnreadNode(motion.start, end)
    if spot.kind == "next" and n is not None and n == count:
        return node(motion, end, count, into=into)
    if motion.shaping and n is not None and count == 1:
        return node(motion, end, n, into=into)
    return node(several, end, count, into=into)
