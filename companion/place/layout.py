"""The pattern laid out as it is worked: one round after the other, ranges opened, copies in turn, assembly last.

A `Part` is one copy of one piece, or the assembly. A `Stop` is one round, row or step within it. A spot is a pair of
numbers (part, nth stop in it): that is all the journal keeps, so that the place can be folded without the pattern.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, field
from functools import cached_property
from itertools import accumulate
from typing import NamedTuple

from companion.errors import MakerError
from companion.pattern.model import Basis, InOne, Note, Pattern, Piece, Problem, Round, Step, Unread, Work
from companion.place.walk import NOTHING, Walk, walk
from companion.place.where import ASSEMBLY, WorkedKind

MOST_STOPS = 100_000
"""More rounds than any hands will work; a pattern beyond it is a slip of the pen."""

TOLD_ONCE = frozenset({"chain_assumed"})
TOLD_AT_ROUND = frozenset(
    {
        "does_not_fit",
        "missing_round",
        "duplicate_round",
        "rounds_miscounted",
        "reading_assumed",
        "picture_only",
        *TOLD_ONCE,
    }
)
"""Kinds of problems told before a round's first stitch. Totals and unreadable words have notices of their own."""


class NothingToWorkError(MakerError):
    """The pattern has no round that could be worked, or far too many."""


class Spot(NamedTuple):
    """One round of the project: the part it is in and its number there, both from 0."""

    part: int
    nth: int


@dataclass(frozen=True, slots=True)
class Stop:
    """One round, row or step to be worked. `entry` and `note` are the pattern's own; one of them is None.

    `number` is the printed number of this single round, `nth` of `of` its place in its range, `entry_index` the entry's
    number in its piece. `stitches` and `basis` are the reader's.
    """

    spot: Spot
    kind: WorkedKind
    label: str
    number: int | None
    nth: int
    of: int
    entry_index: int
    entry: Round | None
    note: Note | None
    walk: Walk
    printed_walk: Walk
    stitches: int | None
    basis: Basis
    signature: str

    @property
    def declared(self) -> int | None:
        """The printed total, None where none is printed."""
        return self.entry.declared.stitches if self.entry and self.entry.declared else None

    @property
    def disagrees(self) -> bool:
        """True where a total is printed, another one was worked out, and so the maker has a choice."""
        return (
            self.basis == "worked_out"
            and None not in (self.declared, self.stitches)
            and (self.declared != self.stitches)
        )


@dataclass(frozen=True, slots=True)
class Part:
    """One copy of one piece, or the assembly (piece None, named "assembly").

    `numbered` are the stops that carry a printed number, `last_number` the highest of them. `known[n]` is the sum of
    the known totals of the first n stops; `unknown` counts the rounds without one; `sure` is False where a total is
    only the printed one. `disagreeing` are the stops with two totals to choose from.
    """

    index: int
    piece_index: int
    name: str
    copy: int
    copies: int
    piece: Piece | None
    stops: tuple[Stop, ...]
    numbered: tuple[Stop, ...] = field(init=False)
    last_number: int | None = field(init=False)
    known: tuple[int, ...] = field(init=False)
    unknown: int = field(init=False)
    sure: bool = field(init=False)
    disagreeing: tuple[Stop, ...] = field(init=False)

    def __post_init__(self) -> None:
        numbered = tuple(stop for stop in self.stops if stop.number is not None)
        worked_out = {
            "numbered": numbered,
            "last_number": max((stop.number or 0 for stop in numbered), default=None),
            "known": tuple(accumulate((stop.stitches or 0 for stop in self.stops), initial=0)),
            "unknown": sum(stop.stitches is None and stop.entry is not None for stop in self.stops),
            "sure": all(stop.basis == "worked_out" for stop in self.stops if stop.stitches is not None),
            "disagreeing": tuple(stop for stop in self.stops if stop.disagrees),
        }
        for name, value in worked_out.items():
            object.__setattr__(self, name, value)  # the class is frozen, and these follow from its fields

    @property
    def is_assembly(self) -> bool:
        """True for the assembly steps."""
        return self.piece is None


class Layout:
    """Everything to be worked, in order."""

    def __init__(self, pattern: Pattern) -> None:
        self.pattern = pattern
        self.parts: tuple[Part, ...] = tuple(_parts(pattern))
        if not self.parts:
            raise NothingToWorkError("This pattern has no rounds to work. Check it with: companion check PATTERN")

    def stop(self, spot: Spot) -> Stop:
        """The stop at that spot."""
        return self.parts[spot.part].stops[spot.nth]

    def problems_at(self, stop: Stop) -> tuple[Problem, ...]:
        """The reader's doubts that are told at this round: at the first of a range, and once a piece for each kind."""
        if stop.entry is None or stop.nth != 1:
            return ()
        piece = self.parts[stop.spot.part].piece
        first = piece.span.line if piece else 0
        span = stop.entry.span
        told = {p.kind for p in self.pattern.problems if p.kind in TOLD_ONCE and first <= p.line < span.line}
        return tuple(
            p
            for p in self.pattern.problems
            if span.line <= p.line <= span.end_line and p.kind in TOLD_AT_ROUND and p.kind not in told
        )

    @property
    def names(self) -> tuple[str, ...]:
        """Names of pieces as printed, each once, "assembly" last where there is one."""
        return tuple(dict.fromkeys(part.name for part in self.parts))

    @cached_property
    def digest(self) -> str:
        """A short hash of what is worked: the same for the same work, however it is worded."""
        return hashlib.sha256(json.dumps(self.skeleton()).encode()).hexdigest()[:16]

    def skeleton(self) -> list[dict[str, object]]:
        """The parts with a signature a stop: what the journal needs to find places again in an edited pattern."""
        return [
            {
                "piece": part.name,
                "copy": part.copy,
                "stops": [[stop.signature, stop.number, stop.label] for stop in part.stops],
            }
            for part in self.parts
        ]


def _parts(pattern: Pattern) -> list[Part]:
    parts: list[Part] = []
    stops_so_far = 0
    for piece_index, piece in enumerate(pattern.pieces):
        copies = max(1, piece.make)
        in_one = sum(max(1, entry.times) for entry in piece.rounds)
        stops_so_far += in_one * copies
        if stops_so_far > MOST_STOPS:
            raise NothingToWorkError(
                f"This pattern has more than {MOST_STOPS:,} rounds. Check the numbers of its ranges."
            )
        if not in_one:
            continue
        for copy in range(1, copies + 1):
            index = len(parts)
            stops = tuple(_stops(index, piece))
            parts.append(Part(index, piece_index, piece.name, copy, copies, piece, stops))
    if pattern.assembly:
        index = len(parts)
        steps = tuple(_assembly_stop(index, nth, note) for nth, note in enumerate(pattern.assembly))
        parts.append(Part(index, len(pattern.pieces), ASSEMBLY, 1, 1, None, steps))
    return parts


def _stops(part: int, piece: Piece) -> list[Stop]:
    stops: list[Stop] = []
    for entry_index, entry in enumerate(piece.rounds):
        times = max(1, entry.times)
        signature = _signature(entry)
        worked = walk(entry, total=entry.stitches)
        declared = entry.declared.stitches if entry.declared else None
        printed = worked if declared == entry.stitches else walk(entry, total=declared)
        for nth in range(times):
            stops.append(
                Stop(
                    spot=Spot(part, len(stops)),
                    kind=entry.kind,
                    label=entry.label,
                    number=None if entry.first is None else entry.first + nth,
                    nth=nth + 1,
                    of=times,
                    entry_index=entry_index,
                    entry=entry,
                    note=None,
                    walk=worked,
                    printed_walk=printed,
                    stitches=entry.stitches,
                    basis=entry.basis,
                    signature=signature,
                )
            )
    return stops


def _assembly_stop(part: int, nth: int, note: Note) -> Stop:
    signature = _hash(note.text)
    return Stop(
        Spot(part, nth),
        "assembly",
        note.text,
        None,
        1,
        1,
        nth,
        None,
        note,
        NOTHING,
        NOTHING,
        None,
        "unknown",
        signature,
    )


def _signature(entry: Round) -> str:
    """What the hands do in this round, whatever the words: equal for "24 sc" and "sc in each st around".

    A printed total belongs to it only where it disagrees, for then the maker may count by it.
    """
    steps = [_step_content(step) for step in entry.steps]
    printed = entry.declared.stitches if entry.declared else None
    doubt = None if printed == entry.stitches else printed
    return _hash(json.dumps([entry.kind, entry.stitches, doubt, entry.into, steps or entry.text]))


def _step_content(step: Step) -> list[object]:
    leaf = step.instruction
    match leaf:
        case Work():
            kind: list[object] = [leaf.stitch, leaf.in_one, leaf.together, leaf.loop, leaf.same, leaf.into]
        case Unread():
            kind = [leaf.text]
        case InOne():
            kind = ["in one", repr(leaf.into)]
        case _:
            kind = [type(leaf).__name__]
    return [*kind, step.takes, step.gives]


def _hash(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:12]
