"""Patterns built by hand from the model, so that the place is tested without the reader."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Literal

import pytest

from companion.pattern.model import (
    Chain,
    Instruction,
    Note,
    Pattern,
    Piece,
    Repeat,
    Round,
    Span,
    Step,
    Total,
    Unread,
    Work,
)
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
            round_(2, around(6, INC), into=6),
            round_(3, around(6, sc(1), INC), into=12),
            round_(4, around(6, sc(2), INC), into=18),
            round_(5, sc(24), last=6, into=24),
            round_(7, around(6, sc(2), DEC), into=24),
        ),
        SPAN,
    )
    cap = Piece("Cap", 2, (round_(1, sc(6)), round_(2, around(6, INC))), SPAN)
    steps = (Note("sew", "Sew the caps on."), Note("other", "Weave in the ends."))
    return pattern_of(body, cap, assembly=steps)


def figure() -> Pattern:
    """A head with turning points, an arm made twice: its second round is printed wrong, its third begins in red."""
    eyes = Note("eyes", "Place the eyes between rounds 4 and 5.", between_rounds=(4, 5), stitches_apart=6)
    head = Piece(
        "Head",
        1,
        (
            round_(1, sc(6)),
            round_(2, around(6, INC), into=6),
            round_(3, around(6, sc(1), INC), into=12),
            round_(4, sc(18), last=6, notes=(eyes,), into=18),
            round_(7, around(6, sc(1), DEC), notes=(Note("stuffing", "Stuff firmly."),), into=18),
            round_(8, around(6, DEC), notes=(Note("tail", "Fasten off, leaving a long tail."),), into=12),
        ),
        SPAN,
        shape="spiral",
    )
    arm = Piece(
        "Arm",
        2,
        (
            coloured(round_(1, sc(5)), "cream"),
            coloured(round_(2, sc(5), printed=6, into=5), "cream"),
            coloured(round_(3, sc(5), last=4, into=5), "red"),
        ),
        SPAN,
    )
    return pattern_of(head, arm, materials=("two 6 mm safety eyes", "toy stuffing"))


def coloured(entry: Round, colour: str) -> Round:
    return replace(entry, steps=tuple(replace(step, colour=colour) for step in entry.steps), colour=colour)


def dim() -> Pattern:
    """Rounds that cannot be worked out: one printed, one unknown, one half read; and an unnumbered set-up."""
    setup = replace(round_(None, Chain(7, role="foundation")), stitches=0)
    printed = Round("Rnd 2", "round", 2, 2, (), (), 6, 12, Total(12), "pattern_says", "work the fancy bit", SPAN)
    unknown = Round("Rnd 3", "round", 3, 3, (), (), 12, None, None, "unknown", "go on as you like", SPAN)
    unread = Unread("twiddle twice")
    steps = (*steps_of((sc(4),)), Step(unread, 0, 0, 1), *steps_of((sc(2),)))
    half = Round("Rnd 4", "round", 4, 4, (), steps, None, 10, Total(10), "pattern_says", "4 sc, twiddle", SPAN)
    return pattern_of(Piece("Fog", 1, (setup, round_(1, sc(6)), printed, unknown, half), SPAN))


@pytest.fixture
def patterns() -> dict[str, Callable[[], Pattern]]:
    """The patterns that dialogues name."""
    return {"acorn": acorn, "figure": figure, "dim": dim}


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
