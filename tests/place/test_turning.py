"""Where turning points fall: at the pattern's own point, and by common practice (no source) where it has none."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from companion.pattern.model import Note, Pattern
from companion.place.layout import Layout
from companion.place.progress import Progress
from companion.place.turning import TurningPoints
from companion.place.work import Work

Patterns = dict[str, Callable[[], Pattern]]


def holds(pattern: Pattern) -> list[tuple[str, int, int | None, str, str]]:
    """Piece, copy, the round after which the work is held, what for, and on whose word."""
    layout = Layout(pattern)
    points = TurningPoints(layout)
    return [
        (part.name, part.copy, stop.number, hold.turning.kind, hold.turning.basis)
        for part in layout.parts
        for stop in part.stops
        for hold in points.open_after(part.index, stop.spot.nth, Progress())
    ]


def with_notes(pattern: Pattern, entry: int, *notes: Note, piece_notes: tuple[Note, ...] = ()) -> Pattern:
    """The first piece with other notes: on one entry, and on the piece."""
    piece = pattern.pieces[0]
    bare = [replace(r, notes=()) for r in piece.rounds]
    bare[entry] = replace(bare[entry], notes=notes)
    return replace(pattern, pieces=(replace(piece, rounds=tuple(bare), notes=piece_notes),), materials=())


EYES = Note("eyes", "Place the eyes between rounds 4 and 5.", between_rounds=(4, 5), stitches_apart=6)


def test_the_points_of_the_figure(patterns: Patterns) -> None:
    assert holds(patterns["figure"]()) == [
        ("Head", 1, 6, "eyes", "pattern"),
        ("Head", 1, 7, "stuffing", "pattern"),
        ("Head", 1, 8, "tail", "pattern"),
        ("Arm", 1, 2, "colour", "pattern"),
        ("Arm", 2, 2, "colour", "pattern"),
    ]


def test_eyes_wait_for_the_rounds_they_sit_between(patterns: Patterns) -> None:
    early = with_notes(patterns["figure"](), 1, EYES)
    assert holds(early) == [("Head", 1, 5, "eyes", "pattern")]


def test_eyes_without_a_point_go_on_before_the_first_narrowing_round(patterns: Patterns) -> None:
    assert holds(with_notes(patterns["figure"](), 0, piece_notes=(EYES,))) == [("Head", 1, 6, "eyes", "pattern")]


def test_eyes_come_before_stuffing_at_the_same_point(patterns: Patterns) -> None:
    both = with_notes(patterns["figure"](), 3, Note("stuffing", "Stuff it."), EYES)
    assert [hold[3] for hold in holds(both)] == ["eyes", "stuffing"]


@pytest.mark.parametrize("words", ["Do not stuff.", "Leave unstuffed.", "No need to stuff the arms."])
def test_advice_not_to_do_something_holds_nothing(patterns: Patterns, words: str) -> None:
    assert holds(with_notes(patterns["figure"](), 4, Note("stuffing", words))) == []


def test_a_note_before_a_round_holds_the_work_after_the_round_before_it(patterns: Patterns) -> None:
    before = with_notes(patterns["figure"](), 4, Note("stuffing", "Stuff it.", when="before"))
    assert holds(before) == [("Head", 1, 6, "stuffing", "pattern")]


def test_a_ball_that_nobody_stuffs_is_stuffed_before_its_last_decreases(patterns: Patterns) -> None:
    silent = replace(with_notes(patterns["figure"](), 4), materials=("toy stuffing",))
    assert holds(silent) == [("Head", 1, 7, "stuffing", "practice")]
    assert holds(replace(silent, materials=("yarn needle",))) == []


@pytest.mark.parametrize("words", ["Flatten and sc through both layers.", "Fold the wing in half.", "Lay it flat."])
def test_what_is_flattened_is_not_stuffed_by_practice(patterns: Patterns, words: str) -> None:
    flat = with_notes(patterns["figure"](), -1, Note("other", words))
    assert holds(replace(flat, materials=("toy stuffing",))) == []


def test_an_open_piece_is_not_stuffed_by_practice(patterns: Patterns) -> None:
    open_ended = replace(with_notes(patterns["figure"](), 0), materials=("toy stuffing",))
    piece = open_ended.pieces[0]
    open_ended = replace(open_ended, pieces=(replace(piece, rounds=piece.rounds[:4]),))
    assert holds(open_ended) == []


def test_the_small_parts_caution_is_said_once(patterns: Patterns, tmp_path: Path) -> None:
    with Work.open(patterns["figure"](), tmp_path) as work:
        work.handle("go_to_round", {"round": 6})
        first: Any = work.handle("next").answer
        assert [type(n).__name__ for n in first.notices] == ["SmallParts"]
        work.handle("back")
        work.handle("next")
        again: Any = work.handle("next").answer
        assert again.turning.kind == "eyes"
        assert again.notices == ()


def test_the_caution_is_said_where_the_eyes_are_passed_by(patterns: Patterns, tmp_path: Path) -> None:
    with Work.open(patterns["figure"](), tmp_path) as work:
        passed: Any = work.handle("go_to_round", {"round": 7}).answer
        assert [type(n).__name__ for n in passed.notices] == ["TurningPassed", "SmallParts"]


@pytest.mark.parametrize(("materials", "said"), [(("four wooden beads",), True), (("40 g of yarn",), False)])
def test_beads_bring_the_caution_at_the_start(
    patterns: Patterns, tmp_path: Path, materials: tuple[str, ...], said: bool
) -> None:
    pattern = replace(patterns["acorn"](), materials=materials)
    for first in (True, False):
        with Work.open(pattern, tmp_path) as work:
            opened: Any = work.opening().answer
            assert any(type(n).__name__ == "SmallParts" for n in opened.notices) is (said and first)
            work.handle("have_done", {"stitches": 2})
