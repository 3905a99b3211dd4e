"""The pattern file edited, renamed or replaced between two sessions."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.pattern.model import Pattern, Round
from companion.pattern.model import Work as Stitches
from companion.pattern.reader import read
from companion.place.answers import AskCarry, Opened, PatternChanged
from companion.place.carry import carry_over
from companion.place.layout import Layout, Spot
from companion.place.progress import Progress
from companion.place.work import Work

Patterns = dict[str, Callable[[], Pattern]]


def with_body(pattern: Pattern, rounds: Sequence[Round]) -> Pattern:
    return replace(pattern, pieces=(replace(pattern.pieces[0], rounds=tuple(rounds)), *pattern.pieces[1:]))


def renumbered(rounds: Sequence[Round]) -> list[Round]:
    number, found = 1, []
    for entry in rounds:
        last = number + entry.times - 1
        found.append(replace(entry, first=number, last=last, label=f"Rnd {number}"))
        number = last + 1
    return found


@pytest.fixture
def acorn(patterns: Patterns) -> Pattern:
    return patterns["acorn"]()


@pytest.fixture
def reopen(acorn: Pattern, tmp_path: Path) -> Callable[[Pattern], Work]:
    """Works to round 4, stitch 7, then opens the same path with another pattern in it."""

    def open_(pattern: Pattern) -> Work:
        path = tmp_path / "acorn.txt"
        with Work.open(acorn, tmp_path, path=path) as work:
            work.handle("go_to_round", {"round": 4})
            work.handle("have_done", {"stitches": 7})
            work.handle("remind", {"round": 7, "text": "look"})
            work.handle("note", {"text": "tight"})
        return Work.open(pattern, tmp_path, path=path)

    return open_


def test_a_round_put_in_before_moves_the_number_not_the_place(
    reopen: Callable[[Pattern], Work], acorn: Pattern
) -> None:
    rounds = acorn.pieces[0].rounds
    edited = with_body(acorn, renumbered([*rounds[:2], rounds[1], *rounds[2:]]))
    with reopen(edited) as work:
        outcome = work.opening()
        assert (work.place.round, work.place.stitch, work.place.stitches) == (5, 7, 24)
        assert isinstance(outcome.answer, Opened)
        changed = next(n for n in outcome.answer.notices if isinstance(n, PatternChanged))
        assert (changed.label_before, changed.moved) == ("Rnd 4", True)
        notes: Any = work.handle("my_notes").answer
        assert notes.reminders == ((8, "look"),)
        assert notes.notes[0].at.round == 5


def test_other_words_for_the_same_work_are_no_change(reopen: Callable[[Pattern], Work], acorn: Pattern) -> None:
    edited = with_body(acorn, [replace(r, text="in other words", label=r.label) for r in acorn.pieces[0].rounds])
    with reopen(edited) as work:
        outcome = work.opening()
        assert (work.place.round, work.place.stitch) == (4, 7)
        assert isinstance(outcome.answer, Opened)
        assert not any(isinstance(n, PatternChanged) for n in outcome.answer.notices)


def changed_round(acorn: Pattern) -> Pattern:
    rounds = list(acorn.pieces[0].rounds)
    one = Stitches("dc", 1)
    steps = tuple(replace(step, instruction=one, takes=1, gives=1) for step in rounds[3].steps[:9])
    rounds[3] = replace(rounds[3], steps=steps, stitches=9)
    return with_body(acorn, rounds)


@pytest.mark.parametrize(("reply", "place"), [("yes", (4, 7)), ("no", (1, 0)), ("stitches_left", (4, 7))])
def test_where_the_round_itself_changed_the_maker_is_asked(
    reopen: Callable[[Pattern], Work], acorn: Pattern, reply: str, place: tuple[int, int]
) -> None:
    with reopen(changed_round(acorn)) as work:
        outcome = work.opening()
        assert isinstance(outcome.answer, AskCarry)
        assert (outcome.answer.last_known, outcome.answer.round, outcome.answer.stitch) == ("Rnd 4", 4, 7)
        assert (outcome.answer.proposed.round, outcome.answer.proposed.stitch) == (4, 7)
        assert outcome.state == "asking"
        assert work.handle(reply).accepted
        assert (work.place.round, work.place.stitch) == place
    with Work.open(changed_round(acorn), work.state_dir, path=work.state_dir / "acorn.txt") as work:
        assert isinstance(work.opening().answer, Opened)
        assert (work.place.round, work.place.stitch) == place


def test_a_piece_gone_leaves_the_others_where_they_were(reopen: Callable[[Pattern], Work], acorn: Pattern) -> None:
    edited = replace(acorn, pieces=(acorn.pieces[1], acorn.pieces[0]))
    with reopen(edited) as work:
        work.opening()
        assert (work.place.piece, work.place.round, work.place.stitch) == ("Body", 4, 7)


def test_another_pattern_in_the_same_file_is_a_project_of_its_own(
    reopen: Callable[[Pattern], Work], acorn: Pattern, patterns: Patterns, tmp_path: Path
) -> None:
    fog = patterns["dim"]()
    fog = replace(fog, title="Fog", pieces=(replace(fog.pieces[0], rounds=fog.pieces[0].rounds[2:]),))
    with reopen(fog) as work:
        outcome = work.opening()
        assert isinstance(outcome.answer, Opened)
        assert outcome.answer.new
        projects: Any = work.handle("which_projects").answer
    assert {p.title for p in projects.projects} == {"Acorn", "Fog"}
    with Work.open(acorn, tmp_path, path=tmp_path / "acorn.txt") as work:
        assert (work.place.round, work.place.stitch) == (4, 7)


def test_a_renamed_file_is_the_same_project(reopen: Callable[[Pattern], Work], acorn: Pattern, tmp_path: Path) -> None:
    reopen(acorn).close()
    with Work.open(acorn, tmp_path, path=tmp_path / "moved.txt") as work:
        assert (work.place.round, work.place.stitch) == (4, 7)
    # And from now on it is known by the new path.
    (tmp_path / "moved.txt").write_text("")
    with Work.open(acorn, tmp_path, path=tmp_path / "moved.txt") as work:
        assert (work.place.round, work.place.stitch) == (4, 7)


ROUNDS = st.lists(st.integers(3, 40), min_size=1, max_size=12, unique=True)


@settings(max_examples=60, deadline=None)
@given(rounds=ROUNDS, data=st.data())
def test_any_edit_around_the_round_at_hand_keeps_the_place(rounds: list[int], data: st.DataObject) -> None:
    """Rounds are known by their stitch counts; everything but the one at hand is taken out, doubled or moved."""
    here = data.draw(st.sampled_from(rounds))
    others = data.draw(st.permutations([r for r in rounds if r != here]))
    kept = data.draw(st.lists(st.sampled_from(others), max_size=12)) if others else []
    at = data.draw(st.integers(0, len(kept)))
    old, new = Layout(tube(rounds)), Layout(tube([*kept[:at], here, *kept[at:]]))
    told = Progress(at=Spot(0, rounds.index(here)), stitch=2)
    carried = carry_over(old.skeleton(), told, new)
    assert carried.sure
    assert carried.change.place is not None
    assert new.stop(carried.change.place.at).stitches == here
    assert carried.change.place.stitch == 2


def tube(counts: Sequence[int]) -> Pattern:
    lines = [f"Rnd {i}: {count} sc ({count})" for i, count in enumerate(counts, start=1)]
    return read("\n".join(["Tube", "Terms: US", "", "TUBE (make 1)", *lines]))
