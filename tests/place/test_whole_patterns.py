"""Whole patterns through the reader and the place: totals, turning points and the log meet the written text."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from companion import resources
from companion.pattern.model import Pattern
from companion.pattern.reader import read, read_file
from companion.place import tester_log
from companion.place.answers import AllDone, Held, Released
from companion.place.work import Work

SAMPLES = sorted((resources.shared_folder() / "patterns").glob("*.txt"))


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.stem)
def test_a_sample_is_worked_from_end_to_end(sample: Path, tmp_path: Path) -> None:
    pattern = read_file(sample)
    worked = 0
    with Work.open(pattern, tmp_path, path=sample) as work:
        answer: Any = work.opening().answer
        for _ in range(500):
            answer = work.handle("next").answer
            while isinstance(answer, Held) or (isinstance(answer, Released) and isinstance(answer.then, Held)):
                answer = work.handle("done_that").answer
            answer = answer.then if isinstance(answer, Released) else answer
            worked += answer.done.stitches or 0
            if isinstance(answer, AllDone):
                break
        assert isinstance(answer, AllDone)
        progress: Any = work.handle("progress").answer
    whole = sum(entry.stitches * entry.times * piece.make for piece in pattern.pieces for entry in piece.rounds)  # type: ignore[operator,misc]
    assert (worked, answer.stitches) == (whole, whole)
    assert (progress.made, progress.total, progress.percent) == (whole, whole, 100)


def test_the_mouse_holds_the_work_where_its_pattern_says(tmp_path: Path) -> None:
    found = []
    with Work.open(read_file(resources.sample("pocket-mouse.txt")), tmp_path) as work:
        for _ in range(17):
            work.handle("next")
            while work.state == "held":
                where: Any = work.handle("where_am_i").answer
                found.append((where.now.round, where.turning.kind, where.turning.last_chance))
                work.handle("done_that")
    assert found == [(13, "eyes", 14), (14, "stuffing", 17), (16, "stuffing", 17), (17, "tail", None)]


def test_the_testers_log_names_the_line(tmp_path: Path, clock: Any) -> None:
    head = "Hat\nTerms: US\n\nHAT (make 1)\n"
    text = head + "Rnd 1: 6 sc in a magic ring [6]\nRnd 2: inc x 6 [12]\nRnd 3: (sc, inc) x 6 [18]\n"
    with Work.open(read(text), tmp_path, clock=clock) as work:
        work.handle("go_to_round", {"round": 3})
        work.handle("have_done", {"stitches": 7})
        work.handle("log_count", {"stitches": 17})
        work.handle("go_to_round", {"round": 2})
        work.handle("log_unclear", {"text": "which loop"})
        lines = tester_log.log_lines(work.view)
        printed = tester_log.as_text(work.view)
    assert [(item.line, item.round, item.stitch, item.stitches, item.printed, item.text) for item in lines] == [
        (6, 2, 0, 12, 12, "which loop"),
        (7, 3, 7, 18, 18, "17"),
    ]
    assert "Line 7, HAT, Rnd 3, stitch 7 of 18, 2023-11-14: count: 17" in printed


def test_the_testers_log_tells_which_round_of_a_range_it_was(tmp_path: Path, clock: Any) -> None:
    text = "Hat\nTerms: US\n\nHAT\nRnd 1: 6 sc in a magic ring [6]\nRnds 2-4: sc in each st around [6]\n"
    with Work.open(read(text), tmp_path, clock=clock) as work:
        work.handle("go_to_round", {"round": 3})
        work.handle("log_error")
        printed = tester_log.as_text(work.view)
    assert "Line 6, HAT, Rnds 2-4, at 3, stitch 0 of 6, 2023-11-14: error\n" in printed


def test_a_count_is_not_mended_later_where_something_depends_on_it(tmp_path: Path) -> None:
    head = "Box\nTerms: US\n\nLID (make 1)\nRnd 1: 6 sc in a magic ring [6]\nRnd 2: inc x 6 [12]\nRnd 3: "
    striped = head + "with red 6 sc, with blue 6 sc [12]\n"
    joined = head + "12 sc [12]\n\nASSEMBLY\n1. Sew the lid to the base edge to edge.\n"
    plain = head + "12 sc [12]\n"
    found = []
    for index, text in enumerate((striped, joined, plain)):
        with Work.open(read(text), tmp_path / str(index)) as work:
            work.handle("go_to_round", {"round": 2})
            work.handle("counted", {"stitches": 11})
            answer: Any = work.handle("no").answer
            found.append((answer.no_mend, [m.how for m in answer.mends]))
    assert found == [("colour", []), ("join", []), ("", ["more_increases"])]


def test_the_time_left_comes_from_the_makers_own_pace(
    patterns: dict[str, Callable[[], Pattern]], tmp_path: Path, clock: Any
) -> None:
    with Work.open(patterns["acorn"](), tmp_path, clock=clock) as work:
        for seconds in (18, 36, 72):  # 6, 12 and 18 stitches; 3, 3 and 4 seconds each
            clock.pass_(seconds)
            work.handle("next")
        early: Any = work.handle("time_left").answer
        assert early.low is None
        clock.pass_(4000)  # tea
        work.handle("have_done", {"stitches": 4})
        clock.pass_(60)  # 20 stitches, 3 seconds each
        work.handle("next")
        clock.pass_(120)  # 24 stitches, 5 seconds each
        work.handle("next")
        left: Any = work.handle("time_left").answer
    # 78 stitches are left of 162; the middle half of what was measured lies between 3 and 5 seconds a stitch.
    assert left.stitches == 78
    assert left.low == pytest.approx(78 * 3 / 60)
    assert left.high == pytest.approx(78 * 5 / 60)


def test_the_shape_is_asked_once_and_kept(tmp_path: Path) -> None:
    text = "Cup\nTerms: US\n\nCUP (make 2)\nRnd 1: 6 sc in a magic ring [6]\nEdging: 12 sc [12]\n"
    with Work.open(read(text), tmp_path) as work:
        opened: Any = work.opening().answer
        assert [n.shape for n in opened.notices if type(n).__name__ == "ShapeHere"] == [None]
        work.handle("next")
        second: Any = work.handle("next").answer
        ended = next(n for n in second.notices if type(n).__name__ == "PieceEnds")
        assert (ended.rounds, ended.stitches) == (1, 18)
        assert [n for n in second.notices if type(n).__name__ == "ShapeHere"] == []
        work.handle("shape_joined")
        read_again: Any = work.handle("go_to_round", {"round": 1}).answer
        assert [n.shape for n in read_again.notices if type(n).__name__ == "ShapeHere"] == ["joined"]
