"""Rounds of a chart: each outside the one before, round as they are, or with corners where chain spaces make them."""

from __future__ import annotations

from collections.abc import Sequence

from companion.paper.corners import corners_of, squared
from companion.paper.feet import Edge, edge_of, feet_of
from companion.paper.geometry import (
    SC,
    WIDTH,
    Course,
    Hand,
    Motion,
    Point,
    bow,
    is_foundation,
    is_join,
    is_space,
    rise_of,
    room,
    step_height,
)
from companion.paper.ground import Ground
from companion.pattern.model import Chain, InOne, Piece, Round, Step, Work

Places = list[tuple[float, ...]]


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
        tops, chains = _shared_out(entry.steps)
        if not straight:  # the rounds of a long piece all begin at the same end
            tops, chains = _over_feet(entry.steps, feet, tops, chains)
        if corners:
            tops, chains = squared(entry.steps, tops, chains, corners)
        height = max((step_height(step) for step in entry.steps if step.gives), default=SC)
        outer = max(radius + height, ground.radius(sum(room(step) for step in entry.steps) * WIDTH))
        inner, radius = radius if below.stitches else outer - height, outer
        after = edge_of(entry, tops, chains)
        seam = (after.stitches[0] + after.stitches[-1] - 1) / 2 if after.stitches else 0.0
        whole = sum(room(step) for step in entry.steps) or 1.0
        joined = after.stitches[0] - 0.5 / whole if after.stitches else 0.0  # beside the top that it is made into
        made = False
        motions = []
        for step, held, own, strung in zip(entry.steps, feet, tops, chains, strict=True):
            hung = [inner] * len(strung) if is_foundation(step) else [radius + rise for rise in bow(len(strung))]
            made = made or bool(own)
            closes = is_join(step) and made  # another makes a ring of chains
            held = (joined,) if closes else held or ((_mean(own),) if own else ())
            level = radius if closes else inner
            motions.append(
                Motion(
                    step,
                    tuple(ground.at(share, level) for share in held),
                    tuple(ground.at(share, radius) for share in own),
                    _line(len(strung), straight, ground)
                    if straight and is_foundation(step)
                    else tuple(ground.at(share, high) for share, high in zip(strung, hung, strict=True)),
                    ground.out(_mean(own or strung or held or (0.0,))),
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


def _line(count: int, straight: float, ground: Ground) -> tuple[Point, ...]:
    """A straight chain of so many, the last one made where the first round begins."""
    sign = 1.0 if ground.against else -1.0
    return tuple(Point(sign * (i * WIDTH - straight / 2), 0.0) for i in range(count))


def _turned(shares: tuple[float, ...]) -> tuple[float, ...]:
    return tuple(1 - share for share in reversed(shares))


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)


def _shared_out(steps: Sequence[Step]) -> tuple[Places, Places]:
    """Shares the round out evenly among its motions: the places of every step's tops and chains."""
    whole = sum(room(step) for step in steps) or 1.0
    tops: Places = []
    chains: Places = []
    reached = 0.0
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
