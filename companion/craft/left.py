"""What is still to be used up: yarn and time from where the maker is to the end."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from companion.craft import pace as paces
from companion.craft import yarn as yarns
from companion.craft.gauge import Gauge
from companion.craft.pace import Pace
from companion.craft.rounds import rounds_of, step_loops
from companion.craft.tables import YarnWeight
from companion.craft.yarn import NOTHING, Ball, Between, Swatch
from companion.errors import MakerError
from companion.pattern.model import Pattern, Piece


@dataclass(frozen=True, slots=True)
class Made:
    """How far one copy of a piece is: `rounds` are done, then `stitches` of its next round. Ranges count each round."""

    rounds: int = 0
    stitches: int = 0


@dataclass(frozen=True, slots=True)
class Left:
    """What is still to do: stitches (None where a round to come is unknown), yarn (None without gauge and swatch),
    its weight (None without label and yarn weight), and minutes. `from_swatch` and `own_pace`: measured, not usual.
    """

    stitches: int | None
    metres: Between | None
    grams: Between | None
    minutes: Between
    from_swatch: bool
    own_pace: bool


def left(
    pattern: Pattern,
    made: Mapping[int, Sequence[Made]],
    *,
    gauge: Gauge | None = None,
    swatch: Swatch | None = None,
    weight: YarnWeight | None = None,
    ball: Ball | None = None,
    pace: Pace | None = None,
) -> Left:
    """What is left of a pattern, given how far the copies of each piece are that were begun, by its index.

    Raises MakerError for a place that the pattern does not have.
    """
    loops, stitches, unknown = 0.0, 0, False
    metres_of_ends = NOTHING
    for index, piece in enumerate(pattern.pieces):
        begun = made.get(index, ())
        part = _of_piece(piece, begun)
        loops += part.loops
        stitches += part.stitches
        unknown = unknown or part.unknown
        metres_of_ends = metres_of_ends.plus(yarns.ends(piece).times(part.copies))
    if set(made) - set(range(len(pattern.pieces))):
        raise MakerError("There is no such piece in this pattern. Ask “what do I need” to hear its pieces.")
    rate = yarns.metres_a_loop(gauge, swatch)
    metres = rate.times(loops).plus(metres_of_ends) if rate else None
    grams = yarns.grams(metres, weight, ball) if metres else None
    minutes = paces.minutes_for(loops, pace or paces.usual())
    own = pace is not None and pace.own
    return Left(None if unknown else stitches, metres, grams, minutes, swatch is not None, own)


@dataclass(frozen=True, slots=True)
class _Part:
    """What is to come of one piece: `copies` are those whose ends are still to be left."""

    loops: float
    stitches: int
    unknown: bool
    copies: int


def _of_piece(piece: Piece, begun: Sequence[Made]) -> _Part:
    worked = rounds_of(piece)
    if len(begun) > piece.make or not all(0 <= one.rounds <= len(worked) and one.stitches >= 0 for one in begun):
        raise MakerError(f"{piece.name} has {piece.make} to make of {len(worked)} rounds; check how far it is.")
    loops, stitches, unknown, copies = 0.0, 0, False, 0
    for done in (*begun, *[Made()] * (piece.make - len(begun))):
        to_come = worked[done.rounds :]
        loops += sum(one.total_loops for one in to_come)
        stitches += sum(one.stitches or 0 for one in to_come)
        unknown = unknown or any(one.stitches is None for one in to_come)
        copies += bool(to_come)
        if done.stitches and to_come:
            loops -= min(_loops_made(piece, done.rounds, done.stitches), to_come[0].total_loops)
            stitches -= min(done.stitches, to_come[0].stitches or 0)
    return _Part(loops, stitches, unknown, copies)


def _loops_made(piece: Piece, rounds: int, stitches: int) -> float:
    """Loops drawn in the first `stitches` stitches of a round, given how many rounds are done before it."""
    entries: Sequence[tuple[int, int]] = [(index, entry.times) for index, entry in enumerate(piece.rounds)]
    for index, times in entries:
        if rounds < times:
            entry = piece.rounds[index]
            given, loops = 0, 0.0
            for step, (_, drawn) in zip(entry.steps, step_loops(entry, piece), strict=True):
                if given >= stitches:
                    break
                given += step.gives
                loops += drawn
            return loops
        rounds -= times
    return 0.0
