"""Pieces and patterns built by hand, so that the sums are tested apart from the reading of text."""

from collections.abc import Callable, Sequence
from typing import Literal

import pytest
from hypothesis import settings

from companion.pattern.model import Note, Pattern, Piece, Round, Span, Step, Work

settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")

NOWHERE = Span(1, 1, 1, 1)

MakePiece = Callable[..., Piece]


def _step(stitch: str, *, takes: int = 1, gives: int = 1) -> Step:
    return Step(Work(stitch, 1, in_one=max(1, gives), together=max(1, takes)), takes=takes, gives=gives, run=0)


def _steps(before: int, after: int, stitch: str) -> tuple[Step, ...]:
    """Steps that make `after` stitches of `before`, by increases or decreases where the counts differ."""
    if before == 0:
        return tuple(_step(stitch, takes=0) for _ in range(after))
    if after >= before:
        more = after - before
        return (*[_step(stitch, gives=2)] * more, *[_step(stitch)] * (before - more))
    fewer = before - after
    return (*[_step(stitch, takes=2)] * fewer, *[_step(stitch)] * (before - 2 * fewer))


@pytest.fixture
def make_piece() -> MakePiece:
    """A function that builds a piece from the totals of its rounds; None stands for a round that is not known."""

    def make(
        counts: Sequence[int | None],
        *,
        name: str = "BODY",
        copies: int = 1,
        kind: Literal["round", "row"] = "round",
        stitches: Sequence[str] = (),
        notes: tuple[Note, ...] = (),
        starts_in: int = 0,
    ) -> Piece:
        rounds = []
        before: int | None = starts_in
        for number, count in enumerate(counts, start=1):
            stitch = stitches[number - 1] if stitches else "sc"
            steps = () if count is None or before is None else _steps(before, count, stitch)
            label = f"{'Rnd' if kind == 'round' else 'Row'} {number}"
            basis: Literal["worked_out", "unknown"] = "unknown" if count is None else "worked_out"
            rounds.append(
                Round(label, kind, number, number, (), steps, before, count, None, basis, text=label, span=NOWHERE)
            )
            before = count
        return Piece(name, copies, tuple(rounds), NOWHERE, notes=notes)

    return make


@pytest.fixture
def make_pattern() -> Callable[..., Pattern]:
    """A function that puts pieces into a pattern with what else it says."""

    def make(*pieces: Piece, gauge: str = "", hook: str = "", materials: tuple[str, ...] = ()) -> Pattern:
        return Pattern("Test", "US", pieces, (), "", gauge=gauge, hook=hook, materials=materials)

    return make
