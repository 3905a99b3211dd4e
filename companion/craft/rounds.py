"""A piece as a plain list of rounds, one after the other, with what size, yarn and time need to know of each.

A range such as "Rounds 9-11" becomes three of them. Nothing here knows of gauge: heights are against a single crochet.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from companion.craft import stitches
from companion.craft.kept import kept
from companion.craft.stitches import is_foundation
from companion.pattern.model import Act, InOne, Piece, Round, Step, Unread, Work


@dataclass(frozen=True, slots=True)
class Worked:
    """One round as it is worked.

    `stitches` is its total, None where unknown. `edge` is the stitches of the edge it starts from where that is not the
    round before: 0 for a ring or a chain worked along both sides, which have no width of their own.
    `height` is the mean height of its stitches against a single crochet. `loops` is the yarn it takes in loops (a
    single crochet is two), by colour as the pattern names it (None: no colour named). `part_way` is true for a step
    that does not go all round, and `aside` for a round that is not worked into the live edge. `oval` is true for one
    that goes along both sides of a chain.
    """

    label: str
    number: int | None
    kind: Literal["round", "row", "step"]
    stitches: int | None
    edge: int
    height: float
    loops: tuple[tuple[str | None, float], ...]
    part_way: bool
    aside: bool
    says: bool
    oval: bool = False

    @property
    def total_loops(self) -> float:
        """Loops of all colours together."""
        return sum(loops for _, loops in self.loops)


@kept
def rounds_of(piece: Piece) -> tuple[Worked, ...]:
    """Every round of one copy of a piece, ranges spread out, in the order they are worked."""
    worked: list[Worked] = []
    live: int | None = 0
    for entry in piece.rounds:
        one = _worked(entry, piece, live)
        word = "Row" if entry.kind == "row" else "Rnd"
        if entry.first is None or entry.times == 1:
            worked.append(one)
        else:
            numbers = range(entry.first, entry.first + entry.times)
            worked.extend(replace(one, label=f"{word} {number}", number=number) for number in numbers)
        if not one.part_way:
            live = one.stitches
    return tuple(worked)


def _worked(entry: Round, piece: Piece, live: int | None) -> Worked:
    """The first round of an entry, which goes into `live` stitches."""
    makes_none = not any(step.gives for step in entry.steps) and not _unread(entry)
    total = 0 if makes_none and entry.stitches is None else entry.stitches
    taken = sum(step.takes for step in entry.steps)
    return Worked(
        label=entry.label,
        number=entry.first,
        kind=entry.kind,
        stitches=total,
        edge=_edge(entry),
        height=_height(entry),
        loops=_loops(entry, piece),
        part_way=entry.kind == "step" and (not total or bool(live and taken < live)),
        aside=entry.into is not None and entry.into != "ring",
        says=entry.basis == "pattern_says",
        oval=_goes_along_a_chain(entry) and _taken(entry) > 1,
    )


def _edge(entry: Round) -> int:
    """Stitches of the edge under a round that begins a piece or leaves the live edge, as far as its width goes."""
    if any(isinstance(step.instruction, Work) and is_foundation(step.instruction.stitch) for step in entry.steps):
        return entry.stitches or 0
    taken = _taken(entry)
    # All stitches in one chain are as good as a ring; along both sides of a chain they close round a line.
    return 0 if taken <= 1 or _goes_along_a_chain(entry) else taken


def _taken(entry: Round) -> int:
    return sum(step.takes for step in entry.steps) if entry.worked_into is None else entry.worked_into


def _goes_along_a_chain(entry: Round) -> bool:
    into_chain = entry.into is not None and all("chain" in part for part in entry.into.split(","))
    return into_chain and not _joined_first(entry)


def _joined_first(entry: Round) -> bool:
    """Whether the foundation is joined into a ring before the first stitch is worked."""
    for step in entry.steps:
        match step.instruction:
            case Act(kind="join"):
                return True
            case Work():
                return False
    return False


def _unread(entry: Round) -> bool:
    return any(isinstance(step.instruction, Unread) for step in entry.steps) or not entry.steps


def _height(entry: Round) -> float:
    """Mean height of the stitches that the round is made of, each as often as it gives; a single crochet where none."""
    given = [(step.gives, tall) for step in entry.steps if step.gives and (tall := _step_height(step)) is not None]
    count = sum(gives for gives, _ in given)
    return sum(gives * tall for gives, tall in given) / count if count else 1.0


def _step_height(step: Step) -> float | None:
    match step.instruction:
        case Work(stitch=stitch):
            return stitches.height(stitch)
        case InOne(body=body):
            return max((stitches.height(item.stitch) for item in body if isinstance(item, Work)), default=None)
        case _:
            return None


def _loops(entry: Round, piece: Piece) -> tuple[tuple[str | None, float], ...]:
    by_colour: dict[str | None, float] = {}
    for colour, loops in step_loops(entry, piece):
        by_colour[colour] = by_colour.get(colour, 0) + loops
    if not by_colour and entry.stitches:
        # What the round makes is known but not how: its stitches are taken as single crochet.
        by_colour[entry.colour or piece.colour] = entry.stitches * stitches.LOOPS_OF_SC
    return tuple((colour, loops) for colour, loops in by_colour.items() if loops)


def step_loops(entry: Round, piece: Piece) -> Iterator[tuple[str | None, float]]:
    """(colour, loops) of each step of one round, in order."""
    for step in entry.steps:
        yield step.colour or entry.colour or piece.colour, stitches.loops(step.instruction)
