"""Rounds of a chart: each outside the one before, round as they are, or with corners where chain spaces make them."""

from __future__ import annotations

import math
from collections.abc import Sequence

from companion.paper.corners import corners_of, squared
from companion.paper.feet import Edge, edge_of, feet_of
from companion.paper.geometry import (
    LINK,
    NUMBER_ROOM,
    SC,
    WIDTH,
    Course,
    Hand,
    Motion,
    Point,
    bow,
    is_beside,
    is_foundation,
    is_join,
    is_space,
    rise_of,
    room,
    step_height,
    upright,
)
from companion.paper.ground import Ground
from companion.pattern.model import Chain, InOne, Piece, Round, Step, Work

Places = list[tuple[float, ...]]
_BESIDE = 0.8
"""Room in stitches for a starting chain that is no stitch."""
_BESIDE_AT, _NUMBER_AT = 0.34, 0.66
"""Where in the gap before the first stitch such a chain stands, and where the number beyond it."""
_STEEP = 0.4
"""How high stitches worked together are at least, in shares of the distance between their feet."""
_CLEAR = 5.0
"""Room between a ring of chains and the feet of what is worked into it."""


def circles(entries: Sequence[tuple[int | None, Round]], piece: Piece, hand: Hand) -> tuple[Course, ...]:
    """The rounds placed from the middle outwards. Along a round, places are shares of it in working order.

    The stitches of a round share the whole turn evenly; it lies outside the one before it by the height of its
    tallest stitch, and far enough out for its stitches to have room.
    """
    courses: list[Course] = []
    below = Edge()
    radius = SC * 0.6
    corners = corners_of([entry for _, entry in entries])
    straight = 0.0 if corners or not entries else _straight(entries[0][1])
    turned = piece.shape == "turned"
    for index, (number, entry) in enumerate(entries):
        back = turned and index % 2 == 1
        if back:
            below = Edge(_turned(below.stitches), _turned(below.spaces))
        ground = Ground(corners, back != (hand == "right"), straight)
        feet = feet_of(entry, below)
        # Corners share a round evenly between them; there is room for the number in the first.
        lead = 0.0 if corners else NUMBER_ROOM + sum(_BESIDE for step in entry.steps if is_beside(step))
        tops, chains = _shared_out(entry.steps, lead)
        if not straight:  # the rounds of a long piece all begin at the same end
            tops, chains = _over_feet(entry.steps, feet, tops, chains)
        if corners:
            tops, chains = squared(entry.steps, tops, chains, corners)
        height = max((step_height(step) for step in entry.steps if step.gives), default=SC)
        outer = max(radius + height, ground.radius((lead + sum(room(step) for step in entry.steps)) * WIDTH))
        if below.stitches:
            height = max(height, _STEEP * _drawn_in(feet, tops) * 2 * math.pi * radius)
            outer = max(outer, radius + height)
        ring = sum(map(_ring, entry.steps)) if not straight else 0.0
        outer = max(outer, ring + _CLEAR + height) if ring else outer
        inner, radius = radius if below.stitches else outer - height, outer
        after = edge_of(entry, tops, chains)
        gap = after.stitches[0] - after.stitches[-1] + 1 if after.stitches else 0.0
        seam = after.stitches[0] - gap / 2 if after.stitches else 0.0
        whole = lead + sum(room(step) for step in entry.steps) or 1.0
        joined = after.stitches[0] - 0.5 / whole if after.stitches else 0.0  # beside the top that it is made into
        made = False
        motions = []
        for step, held, own, strung in zip(entry.steps, feet, tops, chains, strict=True):
            hung = [radius + rise for rise in bow(len(strung))]
            made = made or bool(own)
            closes = is_join(step) and made  # another makes a ring of chains
            held = (joined,) if closes else held or ((_mean(own),) if own else ())
            level = radius if closes else inner
            leaf = step.instruction
            outs: tuple[Point, ...] = ()
            places = tuple(ground.at(share, high) for share, high in zip(strung, hung, strict=True))
            if straight and is_foundation(step):
                places = _line(len(strung), straight, ground)
            elif is_foundation(step):
                around = Ground(0, ground.against)
                places = tuple(around.at(share, ring) for share in strung)
                outs = tuple(map(around.out, strung))
            elif is_beside(step) and isinstance(leaf, Chain) and after.stitches:
                strung = (after.stitches[0] - gap * _BESIDE_AT,)
                rises = upright(leaf.count, radius - inner)
                places = tuple(ground.at(strung[0], inner + rise) for rise in rises)
                seam = after.stitches[0] - gap * _NUMBER_AT
            motions.append(
                Motion(
                    step,
                    tuple(ground.at(share, level) for share in held),
                    tuple(ground.at(share, radius) for share in own),
                    places,
                    ground.out(_mean(own or strung or held or (0.0,))),
                    outs,
                )
            )
        courses.append(Course(number, entry, tuple(motions), ground.at(seam, (inner + radius) / 2)))
        below = after
        radius += rise_of(entry)
    return tuple(courses)


def _straight(first: Round) -> float:
    """How long the chain is that the first round goes around, from its first worked chain to its last; 0 for none."""
    steps = [step for step in first.steps if step.gives or is_foundation(step) or is_join(step)]
    match [step.instruction for step in steps[:2]]:
        case [Chain(role="foundation") as chain, Work(from_hook=hook) | InOne(from_hook=hook)] if hook:
            worked = chain.count - hook + 1
            around = first.stitches is not None and first.stitches > worked
            return (worked - 1) * WIDTH if around else 0.0
    return 0.0


def _ring(step: Step) -> float:
    """How wide the ring of a chain is from its middle, 0 for what is no such chain."""
    return (
        step.instruction.count * LINK / (2 * math.pi)
        if is_foundation(step) and isinstance(step.instruction, Chain)
        else 0.0
    )


def _drawn_in(feet: Places, tops: Places) -> float:
    """The widest distance between the feet of stitches that are worked together, as a share of the round."""
    return max(
        (max(held) - min(held) for held, own in zip(feet, tops, strict=True) if len(held) > 1 and len(own) == 1),
        default=0.0,
    )


def _line(count: int, straight: float, ground: Ground) -> tuple[Point, ...]:
    """A straight chain of so many, the last one made where the first round begins."""
    sign = 1.0 if ground.against else -1.0
    return tuple(Point(sign * (i * WIDTH - straight / 2), 0.0) for i in range(count))


def _turned(shares: tuple[float, ...]) -> tuple[float, ...]:
    return tuple(1 - share for share in reversed(shares))


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)


def _shared_out(steps: Sequence[Step], lead: float) -> tuple[Places, Places]:
    """Shares the round out evenly among its motions: the places of every step's tops and chains.

    `lead` is the room in stitches before the first.
    """
    whole = lead + sum(room(step) for step in steps) or 1.0
    tops: Places = []
    chains: Places = []
    reached = lead / whole
    for step in steps:
        width = room(step) / whole
        leaf = step.instruction
        own: tuple[float, ...] = ()
        strung: tuple[float, ...] = ()
        if is_space(step) and isinstance(leaf, Chain):
            strung = tuple(reached + width * (i + 0.5) / leaf.count for i in range(leaf.count))
        elif is_foundation(step) and isinstance(leaf, Chain):
            strung = tuple((i + 0.5) / leaf.count for i in range(leaf.count))
        elif step.gives:
            own = tuple(reached + width * (i + 0.5) / step.gives for i in range(step.gives))
        tops.append(own)
        chains.append(strung)
        reached += width
    return tops, chains


def _over_feet(steps: Sequence[Step], feet: Places, tops: Places, chains: Places) -> tuple[Places, Places]:
    """Moves the tops over their feet: exactly where nothing grows, as a whole where it does."""
    pairs = [(_mean(held), _mean(own)) for held, own in zip(feet, tops, strict=True) if held and own]
    if not pairs:
        return tops, chains
    grows = any(step.gives > step.takes or isinstance(step.instruction, Chain) for step in steps)
    if not grows and all(held for held, own in zip(feet, tops, strict=True) if own):
        return [(_mean(held),) if own else own for held, own in zip(feet, tops, strict=True)], chains
    shift = sum(foot - top for foot, top in pairs) / len(pairs)

    def moved(places: Places) -> Places:
        return [tuple(share + shift for share in own) for own in places]

    return moved(tops), [
        own if is_foundation(step) else (moved([own])[0]) for step, own in zip(steps, chains, strict=True)
    ]
