"""Patterns built by hand from the model, so that the place is tested without the reader."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Literal

import pytest

from companion.pattern.model import Instruction, Note, Pattern, Piece, Repeat, Round, Span, Step, Total, Work
from companion.place.work import Work as Project

SPAN = Span(1, 1, 1, 2)
SC = Work("sc", 1)
INC = Work("sc", 1, in_one=2)
DEC = Work("sc", 1, together=2)


class Clock:
    """A clock that stands still until it is told."""

    def __init__(self) -> None:
        self.now = 1_700_000_000.0

    def __call__(self) -> float:
        return self.now

    def pass_(self, seconds: float) -> None:
        self.now += seconds


def steps_of(instructions: tuple[Instruction, ...]) -> tuple[Step, ...]:
    """A plain expansion: one level of repeats, one run for each instruction of it."""
    steps: list[Step] = []
    run = -1
    group = -1
    for instruction in instructions:
        repeated = isinstance(instruction, Repeat)
        group += repeated
        times = instruction.times if isinstance(instruction, Repeat) else 1
        body = instruction.body if isinstance(instruction, Repeat) else (instruction,)
        for time in range(1, times + 1):
            for leaf in body:
                assert not isinstance(leaf, Repeat)
                run += 1
                count = leaf.count if isinstance(leaf, Work) else 1
                takes, gives = (leaf.together, leaf.in_one) if isinstance(leaf, Work) else (0, 0)
                where = (time, times, group) if repeated else (None, None, None)
                steps += [Step(leaf, takes, gives, run, *where)] * count
    return tuple(steps)


def round_(
    first: int | None,
    *instructions: Instruction,
    last: int | None = None,
    printed: int | None = None,
    notes: tuple[Note, ...] = (),
    into: int = 0,
) -> Round:
    """One entry with its steps worked out."""
    steps = steps_of(instructions)
    total = sum(step.gives for step in steps)
    label = "Set-up" if first is None else f"Rnd {first}"
    declared = None if printed is None else Total(printed)
    kind: Literal["round", "step"] = "step" if first is None else "round"
    return Round(
        label,
        kind,
        first,
        last or first,
        instructions,
        steps,
        into,
        total,
        declared,
        "worked_out",
        label,
        SPAN,
        notes=notes,
    )


def sc(count: int) -> Work:
    return Work("sc", count)


def around(times: int, *body: Instruction) -> Repeat:
    return Repeat(times, body)


def pattern_of(*pieces: Piece, assembly: tuple[Note, ...] = (), materials: tuple[str, ...] = ()) -> Pattern:
    return Pattern("Acorn", "US", pieces, (), "the text", assembly=assembly, materials=materials)


def acorn() -> Pattern:
    """A body of seven rounds, a cap made twice, two assembly steps."""
    body = Piece(
        "Body",
        1,
        (
            round_(1, sc(6)),
            round_(2, around(6, INC)),
            round_(3, around(6, sc(1), INC)),
            round_(4, around(6, sc(2), INC)),
            round_(5, sc(24), last=6),
            round_(7, around(6, sc(2), DEC)),
        ),
        SPAN,
    )
    cap = Piece("Cap", 2, (round_(1, sc(6)), round_(2, around(6, INC))), SPAN)
    steps = (Note("sew", "Sew the caps on."), Note("other", "Weave in the ends."))
    return pattern_of(body, cap, assembly=steps)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def open_acorn(tmp_path: Path, clock: Clock) -> Iterator[Callable[[], Project]]:
    """Opens the acorn project; again and again on the same journal."""
    opened: list[Project] = []

    def open_() -> Project:
        for project in opened:
            project.close()
        opened.append(Project.open(acorn(), tmp_path, path=tmp_path / "acorn.txt", clock=clock))
        return opened[-1]

    yield open_
    for project in opened:
        project.close()
