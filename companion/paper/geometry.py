"""What a chart is made of: points, motions, rounds, and how much room each takes.

A chart is read the way the work grows. Every motion has its feet on what it is worked into and its tops where its own
stitches come to stand, so that two stitches in one make a V and two together an inverted V; chains hang between their
neighbours. Lengths are in units of the chart, one single crochet being `SC` high.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
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
LINK = 9.5
"""Room for one oval of a chain that stands upright."""
NUMBER_ROOM = 0.7
"""Room in stitches that a round keeps free for its number."""
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

    `chains` are the places of its chains. `out` points away from the round below, as a unit vector; `outs` does for
    each chain, where they do not all lie in one line.
    """

    step: Step
    feet: tuple[Point, ...]
    tops: tuple[Point, ...]
    chains: tuple[Point, ...]
    out: Point
    outs: tuple[Point, ...] = ()


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


def is_foundation(step: Step) -> bool:
    """True for the chain that a piece begins with; it lies under the first round."""
    return isinstance(step.instruction, Chain) and step.instruction.role == "foundation"


def is_beside(step: Step) -> bool:
    """True for a starting chain that is no stitch: it stands beside the first one."""
    leaf = step.instruction
    return isinstance(leaf, Chain) and leaf.role == "start" and not leaf.counts


def upright(count: int, height: float) -> list[float]:
    """How high each of so many chains stands that go up beside stitches of that height."""
    link = min(LINK, height / count) if count else LINK
    return [link * (i + 0.5) for i in range(count)]


def is_same(step: Step) -> bool:
    """True for a motion made where the one before it was made."""
    leaf = step.instruction
    return isinstance(leaf, Work | InOne) and leaf.same


def is_join(step: Step) -> bool:
    """True for the slip stitch that closes a round."""
    return isinstance(step.instruction, Act) and step.instruction.kind == "join"


def is_space(step: Step) -> bool:
    """True for chains that hang between two stitches."""
    return isinstance(step.instruction, Chain) and step.instruction.role == "space"


def bow(count: int) -> list[float]:
    """How far each of so many chains of a space rises above the round that it hangs in."""
    height = min(1.5 * (count - 1), SC * 0.35)
    return [height * math.sin(math.pi * (i + 0.5) / count) for i in range(count)] if count else []


def rise_of(entry: Round) -> float:
    """How far the chain spaces of a round rise above its stitches at most."""
    counts = [step.instruction.count for step in entry.steps if is_space(step) and isinstance(step.instruction, Chain)]
    return max((rise for count in counts for rise in bow(count)), default=0.0)
