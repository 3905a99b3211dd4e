"""A piece placed: in rounds or in rows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from companion.paper.circles import circles
from companion.paper.geometry import SC, WIDTH, Course, Hand, Layout, Point, is_join, singles
from companion.paper.rows import rows
from companion.pattern.model import Chain, Piece, Round, Work


def place(piece: Piece, hand: Hand = "right") -> Layout:
    """Places every stitch of a piece.

    Rounds run against the clock for the right hand, with it for the left; rows run from right to left for the right
    hand, and turned ones back again.
    """
    entries = list(singles(piece))
    flat = sum(1 for _, entry in entries if entry.kind == "row") * 2 > len(entries)
    worked = [(number, entry) for number, entry in entries if entry.kind == "row" or not flat]
    flat = flat or _is_strip(entries)
    courses = rows(worked, hand) if flat else circles(worked, piece, hand)
    points = [point for course in courses for point in _points(course)]
    reach_x = max((abs(point.x) for point in points), default=0.0) + 2 * WIDTH
    if flat:
        low = min((point.y for point in points), default=0.0)
        return Layout(courses, False, 2 * reach_x, -low + 3 * SC)
    reach_y = max((abs(point.y) for point in points), default=0.0) + 2 * WIDTH
    return Layout(courses, True, 2 * reach_x, 2 * reach_y)


def _is_strip(entries: Sequence[tuple[int | None, Round]]) -> bool:
    """True for a chain worked once along and no further, whatever it is called."""
    if len(entries) != 1:
        return False
    steps = entries[0][1].steps
    made = [step for step in steps if step.gives]
    match steps[0].instruction if steps else None:
        case Chain(role="foundation", count=count):
            from_hook = any(isinstance(s.instruction, Work) and s.instruction.from_hook for s in made[:2])
            return from_hook and not any(map(is_join, steps)) and sum(step.gives for step in made) <= count
    return False


def _points(course: Course) -> Iterator[Point]:
    for motion in course.motions:
        yield from (*motion.feet, *motion.tops, *motion.chains)
    yield course.start
