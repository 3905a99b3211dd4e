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
    """How far one piece is: whole `copies`, then `rounds` of the next copy, then `stitches` of its next round."""

    copies: int = 0
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
    made: Mapping[int, Made],
    *,
    gauge: Gauge | None = None,
    swatch: Swatch | None = None,
    weight: YarnWeight | None = None,
    ball: Ball | None = None,
    pace: Pace | None = None,
) -> Left:
    """What is left of a pattern, given how far each piece is, by its index in `pattern.pieces` (absent: not begun).

    Raises MakerError for a place that the pattern does not have.
    """
    loops, stitches, unknown = 0.0, 0, False
    metres_of_ends = NOTHING
    for index, piece in enumerate(pattern.pieces):
        done = made.get(index, Made())
        part = _of_piece(piece, done)
        loops += part.loops
        stitches += part.stitches
        unknown = unknown or part.unknown
        metres_of_ends = metres_of_ends.plus(yarns.ends(piece).times(piece.make - done.copies))
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
    loops: float
    stitches: int
    unknown: bool


def _of_piece(piece: Piece, done: Made) -> _Part:
    worked = rounds_of(piece)
    if not (0 <= done.copies <= piece.make and 0 <= done.rounds <= len(worked) and done.stitches >= 0):
        raise MakerError(f"{piece.name} has {piece.make} to make of {len(worked)} rounds; check how far it is.")
    copies = piece.make - done.copies
    if not copies:
        return _Part(0, 0, False)
    to_come = worked[done.rounds :]
    whole = worked if copies > 1 else ()
    loops = sum(one.total_loops for one in to_come) + (copies - 1) * sum(one.total_loops for one in worked)
    stitches = sum(one.stitches or 0 for one in to_come) + (copies - 1) * sum(one.stitches or 0 for one in worked)
    unknown = any(one.stitches is None for one in (*to_come, *whole))
    if done.stitches and to_come:
        loops -= _loops_made(piece, done.rounds, done.stitches)
        stitches -= min(done.stitches, to_come[0].stitches or 0)
    return _Part(max(loops, 0.0), stitches, unknown)


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
