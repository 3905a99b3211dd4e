"""Where each stitch of a chart stands: rounds as circles, rows as lines.

A chart is read the way the work grows. Every motion has its feet on the stitches it takes and its tops where its own
stitches come to stand, so that two stitches in one make a V and two together an inverted V. In a circle the stitches of
a round share the whole turn evenly; a round lies outside the one before it by the height of its tallest stitch, and
far enough out for its stitches to have room. Lengths are in units of the chart, one single crochet being `SC` high.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from companion.pattern.model import Act, Chain, InOne, Piece, Round, Skip, Step, Work
from companion.pattern.stitches import table

SC = 20.0
"""Height of a single crochet, which is one chain high."""
WIDTH = 17.0
"""Room for one stitch along the round."""
CHAIN_ROOM = 0.8
"""A chain takes this share of a stitch's room."""
HEIGHTS = {0: 0.55, 1: 1.0, 2: 1.35, 3: 1.75, 4: 2.2, 5: 2.6, 6: 3.0}
"""Height of a stitch in single crochets, by its height in chains; less steep than in yarn, to keep charts small."""

Hand = Literal["right", "left"]


@dataclass(frozen=True, slots=True)
class Point:
    """A place on the chart; x to the right, y downwards."""

    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Motion:
    """One motion placed. `feet` are where it takes hold, `tops` where its stitches come to stand, in working order.

    `chains` are the places of its chains. `out` points away from the round below, as a unit vector.
    """

    step: Step
    feet: tuple[Point, ...]
    tops: tuple[Point, ...]
    chains: tuple[Point, ...]
    out: Point


@dataclass(frozen=True, slots=True)
class Course:
    """One round or row placed. `start` is where its number stands; `number` the printed one, None for a step."""

    number: int | None
    entry: Round
    motions: tuple[Motion, ...]
    start: Point


@dataclass(frozen=True, slots=True)
class Layout:
    """A piece placed. `radius` reaches from the middle to the outermost round, 0.0 for rows."""

    courses: tuple[Course, ...]
    in_the_round: bool
    width: float
    height: float


def singles(piece: Piece) -> Iterator[tuple[int | None, Round]]:
    """The rounds of a piece one by one, ranges opened, each with its printed number."""
    for entry in piece.rounds:
        for nth in range(entry.times):
            yield (None if entry.first is None else entry.first + nth), entry


def step_height(step: Step) -> float:
    """Height of one motion, in units of the chart."""
    leaf = step.instruction
    if isinstance(leaf, Work):
        stitch = table().get(leaf.stitch)
        return SC * HEIGHTS.get(stitch.height if stitch else 1, 1.0)
    if isinstance(leaf, InOne):
        keys = [part.stitch for part in leaf.body if isinstance(part, Work)]
        return SC * max((HEIGHTS.get(table()[key].height, 1.0) for key in keys if key in table()), default=1.0)
    if isinstance(leaf, Chain) and leaf.role == "start" and leaf.counts:
        return SC * HEIGHTS.get(min(leaf.count, 6), 1.0)
    return SC * HEIGHTS[0]


def room(step: Step) -> float:
    """Room along the round, in stitches: one for each stitch given, less for a chain, none for what is not drawn."""
    leaf = step.instruction
    if isinstance(leaf, Chain):
        if leaf.role == "start":
            return 1.0 if leaf.counts else 0.0
        return CHAIN_ROOM * leaf.count if leaf.role == "space" else 0.0
    return float(step.gives) if not isinstance(leaf, Skip | Act) else 0.0


def place(piece: Piece, hand: Hand = "right") -> Layout:
    """Places every stitch of a piece.

    Rounds run against the clock for the right hand, with it for the left; rows run from right to left for the right
    hand, and turned ones back again.
    """
    entries = list(singles(piece))
    flat = sum(1 for _, entry in entries if entry.kind == "row") * 2 > len(entries)
    worked = [(number, entry) for number, entry in entries if entry.kind == "row" or not flat]
    courses = _rows(worked, hand) if flat else _circles(worked, piece, hand)
    points = [point for course in courses for point in _points(course)]
    reach_x = max((abs(point.x) for point in points), default=0.0) + 2 * WIDTH
    if flat:
        low = min((point.y for point in points), default=0.0)
        return Layout(courses, False, 2 * reach_x, -low + 3 * SC)
    reach = max(reach_x, max((abs(point.y) for point in points), default=0.0) + 2 * WIDTH)
    return Layout(courses, True, 2 * reach, 2 * reach)


def _points(course: Course) -> Iterator[Point]:
    for motion in course.motions:
        yield from (*motion.feet, *motion.tops, *motion.chains)
    yield course.start


@dataclass(frozen=True, slots=True)
class _Slots:
    """Places of one round along itself, as shares of it from 0 to 1, in working order."""

    feet: tuple[tuple[float, ...], ...]
    tops: tuple[tuple[float, ...], ...]
    chains: tuple[tuple[float, ...], ...]

    @property
    def stitches(self) -> list[float]:
        """Where the next round may take hold."""
        return [share for tops in self.tops for share in tops]


def _foundation(chain: Chain, stitches: float, flat: bool) -> tuple[float, ...]:
    """Places of a foundation chain: a ring evenly; a straight one under its stitches, the rest before the first."""
    if not flat or stitches < 1:
        return tuple((i + 0.5) / chain.count for i in range(chain.count))
    return tuple((i + 0.5 - (chain.count - stitches)) / stitches for i in range(chain.count))


def _slots(entry: Round, below: Sequence[float], flat: bool = False) -> _Slots:
    """Shares the round out among its motions; `below` are the places of the stitches there are to take."""
    whole = sum(room(step) for step in entry.steps) or 1.0
    feet: list[tuple[float, ...]] = []
    tops: list[tuple[float, ...]] = []
    chains: list[tuple[float, ...]] = []
    reached = 0.0
    taken = 0
    for step in entry.steps:
        width = room(step) / whole
        leaf = step.instruction
        own: tuple[float, ...] = ()
        strung: tuple[float, ...] = ()
        if isinstance(leaf, Chain) and leaf.role == "space":
            strung = tuple(reached + width * (i + 0.5) / leaf.count for i in range(leaf.count))
        elif isinstance(leaf, Chain) and leaf.role == "foundation":
            strung = _foundation(leaf, whole, flat)
        elif step.gives:
            own = tuple(reached + width * (i + 0.5) / step.gives for i in range(step.gives))
        held = tuple(below[taken : taken + step.takes])
        taken += step.takes
        if not held and own and _same(leaf) and 0 < taken <= len(below):
            held = (below[taken - 1],)
        feet.append(held)
        tops.append(own)
        chains.append(strung)
        reached += width
    if not flat:
        tops, chains = _over_feet(entry.steps, feet, tops, chains)
    feet = [held or ((sum(own) / len(own),) if own else ()) for held, own in zip(feet, tops, strict=True)]
    return _Slots(tuple(feet), tuple(tops), tuple(chains))


def _over_feet(
    steps: Sequence[Step],
    feet: list[tuple[float, ...]],
    tops: list[tuple[float, ...]],
    chains: list[tuple[float, ...]],
) -> tuple[list[tuple[float, ...]], list[tuple[float, ...]]]:
    """Moves the tops of a circle over their feet: exactly where nothing grows, as a whole where it does."""
    pairs = [(_mean(held), _mean(own)) for held, own in zip(feet, tops, strict=True) if held and own]
    if not pairs:
        return tops, chains
    grows = any(step.gives > step.takes or isinstance(step.instruction, Chain) for step in steps)
    if not grows and all(held for held, own in zip(feet, tops, strict=True) if own):
        return [(_mean(held),) if own else own for held, own in zip(feet, tops, strict=True)], chains
    shift = sum(foot - top for foot, top in pairs) / len(pairs)

    def moved(places: list[tuple[float, ...]]) -> list[tuple[float, ...]]:
        return [tuple(share + shift for share in own) for own in places]

    return moved(tops), moved(chains)


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)


def is_foundation(step: Step) -> bool:
    """True for the chain that a piece begins with; it lies under the first round."""
    return isinstance(step.instruction, Chain) and step.instruction.role == "foundation"


def _same(leaf: object) -> bool:
    return isinstance(leaf, Work | InOne) and leaf.same


def _circles(entries: Sequence[tuple[int | None, Round]], piece: Piece, hand: Hand) -> tuple[Course, ...]:
    courses: list[Course] = []
    below: list[float] = []
    radius = SC * 0.6
    direction = -1.0 if hand == "right" else 1.0
    turned = piece.shape == "turned"
    for index, (number, entry) in enumerate(entries):
        back = turned and index % 2 == 1
        if back:
            below = [1 - share for share in reversed(below)]
        slots = _slots(entry, below)
        height = max((step_height(step) for step in entry.steps if step.gives), default=SC)
        stitches = sum(room(step) for step in entry.steps)
        outer = max(radius + height, stitches * WIDTH / (2 * math.pi))
        inner, radius = radius if below else outer - height, outer
        sign = -direction if back else direction

        def at(share: float, distance: float, sign: float = sign) -> Point:
            angle = -math.pi / 2 + sign * 2 * math.pi * share
            return Point(distance * math.cos(angle), distance * math.sin(angle))

        motions = []
        for step, feet, tops, chains in zip(entry.steps, slots.feet, slots.tops, slots.chains, strict=True):
            middle = tops or chains or feet
            out = at(sum(middle) / len(middle), 1.0) if middle else Point(0.0, -1.0)
            motions.append(
                Motion(
                    step,
                    tuple(at(share, inner) for share in feet),
                    tuple(at(share, radius) for share in tops),
                    tuple(at(share, inner if is_foundation(step) else radius) for share in chains),
                    out,
                )
            )
        below = slots.stitches
        seam = (below[0] + below[-1] - 1) / 2 if below else 0.0
        courses.append(Course(number, entry, tuple(motions), at(seam, (inner + radius) / 2)))
    return tuple(courses)


def _rows(entries: Sequence[tuple[int | None, Round]], hand: Hand) -> tuple[Course, ...]:
    courses: list[Course] = []
    below: list[float] = []
    level = 0.0
    across = max((sum(room(step) for step in entry.steps) for _, entry in entries), default=1.0)
    for index, (number, entry) in enumerate(entries):
        if index:
            below = [1 - share for share in reversed(below)]  # the work is turned: its end is where the next row begins
        slots = _slots(entry, below, flat=True)
        height = max((step_height(step) for step in entry.steps if step.gives), default=SC)
        inner, level = level, level + height
        wide = sum(room(step) for step in entry.steps) / (across or 1.0)
        narrow = sum(room(step) for step in entries[index - 1][1].steps) / (across or 1.0) if index else wide
        leftwards = (index % 2 == 0) == (hand == "right")

        def at(share: float, height: float, part: float, leftwards: bool = leftwards) -> Point:
            x = (share - 0.5) * part * across * WIDTH
            return Point(-x if leftwards else x, -height)

        motions = tuple(
            Motion(
                step,
                tuple(at(share, inner, narrow) for share in feet),
                tuple(at(share, level, wide) for share in tops),
                tuple(at(share, *((inner, wide) if is_foundation(step) else (level, wide))) for share in chains),
                Point(0.0, -1.0),
            )
            for step, feet, tops, chains in zip(entry.steps, slots.feet, slots.tops, slots.chains, strict=True)
        )
        edge = at(0.0, (inner + level) / 2, max(wide, narrow))
        beside = WIDTH if leftwards else -WIDTH
        courses.append(Course(number, entry, motions, Point(edge.x + beside, edge.y)))
        below = slots.stitches
    return tuple(courses)
