"""The signs of a crochet chart, drawn as SVG.

The signs are the usual international ones as the Craft Yarn Council lists them ("Crochet Chart Symbols", from
memory): an oval for a chain, a dot for a slip stitch, a cross for a single crochet, a T for a half double crochet, and
for taller stitches a T with a stroke for each yarn over; stems that meet for stitches worked together, stems that part
for stitches in one. An arc at the foot tells that only one loop is worked into; a hooked foot is a post stitch.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from xml.etree.ElementTree import Element, SubElement

from companion.paper.geometry import Motion, Point, is_beside
from companion.pattern.model import Act, Chain, InOne, Work

STROKES = {"dc": 1, "tr": 2, "dtr": 3, "trtr": 4, "cluster": 1, "bobble": 1, "popcorn": 1, "shell": 1, "v-st": 1}
STROKES |= {"fpdc": 1, "bpdc": 1, "fptr": 2, "bptr": 2, "fdc": 1}
"""How many strokes cross the stem: one for each yarn over before the hook goes in."""
CROSSES = {"sc", "esc", "rsc", "fsc", "spike sc", "fpsc", "bpsc"}
"""Stitches drawn as a cross."""
ARM = 5.0
"""Half the width of a cross or of a T's bar, in units of the chart."""


def _n(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0").replace("-0", "0") if abs(value) < 0.05 else f"{value:.1f}"


class _Frame:
    """A point with a direction: `along` the stem and `across` it, to place small parts by."""

    def __init__(self, at: Point, towards: Point) -> None:
        length = math.hypot(towards.x - at.x, towards.y - at.y) or 1.0
        self.at = at
        self.length = length
        self.dx = (towards.x - at.x) / length
        self.dy = (towards.y - at.y) / length

    def point(self, along: float, across: float = 0.0) -> Point:
        """The point so far along the stem from its foot, and so far to the side."""
        x = self.at.x + along * self.dx - across * self.dy
        return Point(x, self.at.y + along * self.dy + across * self.dx)


def _line(start: Point, end: Point) -> str:
    return f"M{_n(start.x)} {_n(start.y)}L{_n(end.x)} {_n(end.y)}"


def cross(middle: Point, out: Point) -> str:
    """A single crochet: two strokes that cross, set straight to the round."""
    frame = _Frame(middle, Point(middle.x + out.x, middle.y + out.y))
    upright = _line(frame.point(-ARM), frame.point(ARM))
    return upright + _line(frame.point(0, -ARM), frame.point(0, ARM))


def stem(foot: Point, top: Point, strokes: int, *, bar: bool = True) -> str:
    """A taller stitch: a stem, a bar at its top, and slanting strokes across it."""
    frame = _Frame(foot, top)
    path = _line(frame.point(0), frame.point(frame.length))
    if bar:
        path += _line(frame.point(frame.length, -ARM), frame.point(frame.length, ARM))
    for i in range(strokes):
        along = frame.length * (0.62 - 0.14 * i)
        path += _line(frame.point(along - 2.5, -ARM * 0.8), frame.point(along + 2.5, ARM * 0.8))
    return path


def draw(motion: Motion, parent: Element) -> None:
    """Adds the signs of one motion to the drawing, within one group that tells what it gives.

    Every stitch that the motion gives is one element of class "stitch", every chain one of class "chain", or "beside"
    where it only leads up to the first stitch.
    """
    leaf = motion.step.instruction
    if not (motion.tops or motion.chains or isinstance(leaf, Act)):
        return
    group = SubElement(parent, "g", {"class": "motion"})
    beside = is_beside(motion.step)
    for at, place in enumerate(motion.chains):
        out = motion.outs[at] if motion.outs else motion.out
        _chain(place, Point(-out.y, out.x) if beside else out, group, "beside" if beside else "chain")
    if isinstance(leaf, Work):
        _work(motion, leaf, group)
    elif isinstance(leaf, InOne):
        _in_one(motion, leaf, group)
    elif isinstance(leaf, Chain) and motion.tops:
        _turning_chain(motion, leaf, group)
    elif isinstance(leaf, Act) and leaf.kind == "join" and motion.feet:
        _dot(motion.feet[0], group, "join")
    elif not motion.chains and not motion.tops:
        parent.remove(group)


def _add(group: Element, path: str, kind: str) -> None:
    SubElement(group, "path", {"class": kind, "d": path})


def _dot(place: Point, group: Element, kind: str = "stitch") -> None:
    SubElement(group, "circle", {"class": f"{kind} dot", "cx": _n(place.x), "cy": _n(place.y), "r": "2.6"})


def _chain(place: Point, out: Point, group: Element, kind: str = "chain") -> None:
    """An open oval lying along the round."""
    turn = math.degrees(math.atan2(out.y, out.x)) + 90
    SubElement(
        group,
        "ellipse",
        {
            "class": kind,
            "rx": "5",
            "ry": "2.8",
            "transform": f"translate({_n(place.x)} {_n(place.y)}) rotate({_n(turn)})",
        },
    )


def _middle(points: tuple[Point, ...]) -> Point:
    return Point(sum(p.x for p in points) / len(points), sum(p.y for p in points) / len(points))


def _inset(foot: Point, top: Point) -> tuple[Point, Point]:
    """The stem a little shortened at both ends, so that one round does not run into the next."""
    frame = _Frame(foot, top)
    return frame.point(2.5), frame.point(max(frame.length - 2.0, 3.0))


def _work(motion: Motion, work: Work, group: Element) -> None:
    special = _SPECIAL.get(work.stitch)
    if special is not None and motion.tops:
        special(motion, work, group)
    elif work.stitch == "sl st":
        for foot, top in zip(_spread(motion.feet, len(motion.tops)), motion.tops, strict=True):
            _dot(_middle((foot, top)), group)
    elif work.stitch in CROSSES:
        _crosses(motion, work, group)
    else:
        _stems(motion, work.stitch, group)
    if work.loop in ("front", "back"):
        _loop_arc(motion, work, group)


def _spread(feet: tuple[Point, ...], count: int) -> tuple[Point, ...]:
    """A foot for each of `count` tops: the one they share, or their own."""
    return feet if len(feet) == count else (_middle(feet),) * count


def _crosses(motion: Motion, work: Work, group: Element) -> None:
    if len(motion.feet) > 1 and len(motion.tops) == 1:  # together: legs that meet, a small cross on each
        (top,) = motion.tops
        path = ""
        for foot in motion.feet:
            start, end = _inset(foot, top)
            frame = _Frame(start, end)
            middle = frame.point(frame.length * 0.45)
            path += _line(start, end) + _line(frame.point(frame.length * 0.45, -4), frame.point(frame.length * 0.45, 4))
            path += _line(middle, end)
        _add(group, path + _bar(top, motion.out), "stitch")
        return
    several = len(motion.tops) > 1
    for foot, top in zip(_spread(motion.feet, len(motion.tops)), motion.tops, strict=True):
        start, end = _inset(foot, top)
        frame = _Frame(start, end)
        middle = frame.point(frame.length * (0.62 if several else 0.5))
        path = cross(middle, Point(frame.dx, frame.dy) if several else motion.out)
        if several:
            path += _line(start, middle)
        if work.stitch.startswith("fp") or work.stitch.startswith("bp"):
            path += _hook(_Frame(middle, start), "bp" in work.stitch)
        if work.stitch == "spike sc":
            path += _line(middle, frame.point(-frame.length))
        if work.stitch == "esc":
            path += _line(frame.point(frame.length * 0.2, -3), frame.point(frame.length * 0.2, 3))
        _add(group, path, "stitch")
        if work.stitch == "rsc":
            _add(group, _wave(_Frame(end, start)), "mark")
        if work.stitch == "fsc":
            _chain(start, motion.out, group, "foot")


def _stems(motion: Motion, stitch: str, group: Element) -> None:
    strokes = STROKES.get(stitch, 0)
    if len(motion.feet) > 1 and len(motion.tops) == 1:
        path = ""
        for foot in motion.feet:
            start, end = _inset(foot, motion.tops[0])
            path += stem(start, end, strokes, bar=False)
        _add(group, path + _bar(motion.tops[0], motion.out), "stitch")
        return
    for foot, top in zip(_spread(motion.feet, len(motion.tops)), motion.tops, strict=True):
        start, end = _inset(foot, top)
        path = stem(start, end, strokes)
        if stitch[:2] in ("fp", "bp"):
            path += _hook(_Frame(end, start), stitch[0] == "b")
        _add(group, path, "stitch")
        if stitch in ("fhdc", "fdc"):
            _chain(start, motion.out, group, "foot")


def _in_one(motion: Motion, group_of: InOne, group: Element) -> None:
    """Different stitches from one foot, each with its own sign."""
    foot = _middle(motion.feet)
    keys = [part.stitch for part in group_of.body if isinstance(part, Work) for _ in range(part.count * part.in_one)]
    for i, top in enumerate(motion.tops):
        key = keys[i] if i < len(keys) else "sc"
        start, end = _inset(foot, top)
        if key in CROSSES:
            frame = _Frame(start, end)
            middle = frame.point(frame.length * 0.62)
            _add(group, cross(middle, Point(frame.dx, frame.dy)) + _line(start, middle), "stitch")
        elif key == "sl st":
            _dot(end, group)
        else:
            _add(group, stem(start, end, STROKES.get(key, 0)), "stitch")


def _turning_chain(motion: Motion, chain: Chain, group: Element) -> None:
    """A chain that counts as a stitch: its ovals, one on the other, together one stitch."""
    column = SubElement(group, "g", {"class": "stitch"})
    foot, top = _inset(_middle(motion.feet), motion.tops[0])
    frame = _Frame(foot, top)
    side = Point(-frame.dy, frame.dx)
    for i in range(chain.count):
        _chain(frame.point(frame.length * (i + 0.5) / chain.count), side, column, "link")


def _bar(top: Point, out: Point) -> str:
    frame = _Frame(top, Point(top.x + out.x, top.y + out.y))
    return _line(frame.point(-2, -3), frame.point(-2, 3))


def _hook(frame: _Frame, back: bool) -> str:
    """The curved foot of a post stitch; to the other side for one worked around the back."""
    side = -6.0 if back else 6.0
    start, end = frame.point(frame.length), frame.point(frame.length - 1, side)
    bend = frame.point(frame.length + 5, side / 2)
    return f"M{_n(start.x)} {_n(start.y)}Q{_n(bend.x)} {_n(bend.y)} {_n(end.x)} {_n(end.y)}"


def _wave(frame: _Frame) -> str:
    left, right = frame.point(-1, -6), frame.point(-1, 6)
    up, down = frame.point(-4, -3), frame.point(2, 3)
    start = f"M{_n(left.x)} {_n(left.y)}C{_n(up.x)} {_n(up.y)} {_n(down.x)} {_n(down.y)}"
    return f"{start} {_n(right.x)} {_n(right.y)}"


def _loop_arc(motion: Motion, work: Work, group: Element) -> None:
    """An arc under the stitch: bowed outwards for the back loop, inwards for the front loop."""
    for foot in motion.feet[:1]:
        frame = _Frame(foot, Point(foot.x + motion.out.x, foot.y + motion.out.y))
        if work.stitch in CROSSES and motion.tops:  # close under the cross, wherever between the rounds that stands
            middle = _middle((foot, _middle(motion.tops)))
            frame = _Frame(Point(middle.x - 11 * motion.out.x, middle.y - 11 * motion.out.y), middle)
        bow = 4.0 if work.loop == "back" else -4.0
        left, right, bend = frame.point(1, -5), frame.point(1, 5), frame.point(1 + bow, 0)
        path = f"M{_n(left.x)} {_n(left.y)}Q{_n(bend.x)} {_n(bend.y)} {_n(right.x)} {_n(right.y)}"
        _add(group, path, "mark")


def _lens(motion: Motion, strokes: int, legs: int, *, cap: bool = False) -> str:
    """Several stems that share their foot and their top."""
    foot = _middle(motion.feet)
    start, end = _inset(foot, motion.tops[0])
    frame = _Frame(start, end)
    half = min(4.5, WIDEST / max(legs - 1, 1) * legs / 2)
    path = ""
    for i in range(legs):
        side = half * (2 * i / (legs - 1) - 1) if legs > 1 else 0.0
        bend = frame.point(frame.length / 2, 2 * side)
        path += f"M{_n(start.x)} {_n(start.y)}Q{_n(bend.x)} {_n(bend.y)} {_n(end.x)} {_n(end.y)}"
        if strokes:
            at = frame.length * 0.55
            path += _line(frame.point(at - 1.5, side - 2), frame.point(at + 1.5, side + 2))
    if cap:
        left, right = frame.point(frame.length, -4), frame.point(frame.length, 4)
        bend = frame.point(frame.length + 5)
        path += f"M{_n(left.x)} {_n(left.y)}Q{_n(bend.x)} {_n(bend.y)} {_n(right.x)} {_n(right.y)}Z"
    return path


WIDEST = 9.0


def _bobble(motion: Motion, work: Work, group: Element) -> None:
    if len(motion.feet) > 1:
        _stems(motion, work.stitch, group)
    else:
        _add(group, _lens(motion, 1, 3) + _bar(motion.tops[0], motion.out), "stitch")


def _popcorn(motion: Motion, work: Work, group: Element) -> None:
    _add(group, _lens(motion, 1, 3, cap=True), "stitch")


def _puff(motion: Motion, work: Work, group: Element) -> None:
    _add(group, _lens(motion, 0, 3) + _bar(motion.tops[0], motion.out), "stitch")


def _shell(motion: Motion, work: Work, group: Element) -> None:
    for top in motion.tops:
        start, end = _inset(_middle(motion.feet), top)
        _add(group, stem(start, end, STROKES["dc"]), "stitch")
    if work.stitch == "v-st" and len(motion.tops) == 2:
        _chain(_middle(motion.tops), motion.out, group)


_SPECIAL: dict[str, Callable[[Motion, Work, Element], None]] = {
    "cluster": _bobble,
    "bobble": _bobble,
    "popcorn": _popcorn,
    "puff": _puff,
    "shell": _shell,
    "v-st": _shell,
}
