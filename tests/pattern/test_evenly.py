"""Increases and decreases that are to be spread evenly: how many, and how they are laid out.

What must come out is arithmetic: over M stitches, N increases make M + N and N decreases M - N, and gaps that are as
equal as whole stitches allow differ by one at most.
"""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.pattern.model import Pattern, Repeat, Round, Work
from companion.pattern.reader import read
from companion.pattern.writing import write


def second_round(there: int, words: str) -> tuple[Pattern, Round]:
    pattern = read(f"Thing\nTerms: US\nRnd 1: {there} sc in a magic ring [{there}]\nRnd 2: {words}\n")
    return pattern, pattern.pieces[0].rounds[1]


def kinds(pattern: Pattern) -> set[str]:
    return {p.kind for p in pattern.problems}


@given(there=st.integers(2, 150), share=st.floats(0, 1), word=st.sampled_from(["inc", "dec"]))
def test_changes_are_spread_over_what_is_there(there: int, share: float, word: str) -> None:
    wide = 1 if word == "inc" else 2
    changes = max(1, int(share * (there // wide)))
    _, entry = second_round(there, f"{word} {changes} evenly around")
    assert (entry.worked_into, entry.stitches) == (there, there + changes * (1 if word == "inc" else -1))
    assert sum(step.takes for step in entry.steps) == there
    shaped = [k for k, step in enumerate(entry.steps) if step.takes != step.gives]
    assert len(shaped) == changes
    gaps = {after - before for before, after in pairwise([-1, *shaped])} | {shaped[0] + len(entry.steps) - shaped[-1]}
    assert max(gaps) - min(gaps) <= 1


def test_equal_stretches_are_said_once() -> None:
    _, entry = second_round(24, "inc 6 times evenly around (30)")
    (repeat,) = entry.instructions
    assert isinstance(repeat, Repeat)
    assert (repeat.times, repeat.body) == (6, (Work("sc", 3), Work("sc", 1, in_one=2)))


def test_the_pattern_is_told_that_the_places_are_a_suggestion() -> None:
    pattern, entry = second_round(24, "ch 1, hdc around, working 6 increases evenly spaced, join (30)")
    assert entry.suggested == "hdc around, working 6 increases evenly spaced"
    assert "places_suggested" in kinds(pattern)


@pytest.mark.parametrize("words", ["inc 24 evenly around", "dec 12 evenly around", "inc 6 evenly: (3 sc, inc) x 6"])
def test_nothing_is_suggested_where_there_is_no_choice(words: str) -> None:
    pattern, entry = second_round(24, words)
    assert entry.suggested == ""
    assert not kinds(pattern) & {"places_suggested", "does_not_fit"}


@pytest.mark.parametrize(
    ("there", "words"),
    [(24, "inc 6 evenly around (31)"), (24, "dec 6 evenly (17)"), (24, "(sc, increasing 6 evenly) 24")],
)
def test_a_total_that_is_not_what_they_make_is_an_error(there: int, words: str) -> None:
    pattern, _ = second_round(there, words)
    assert "total_mismatch" in kinds(pattern)


@pytest.mark.parametrize(
    "words", ["inc 25 evenly around", "dec 13 evenly around", "inc 13 evenly over next 12 sts, 12 sc"]
)
def test_more_changes_than_there_are_stitches_for_are_an_error(words: str) -> None:
    pattern, _ = second_round(24, words)
    assert "does_not_fit" in kinds(pattern)


@pytest.mark.parametrize(
    "words",
    ["inc evenly around", "1 sc, 1 inc evenly around", "inc 3 evenly, dec 3 evenly", "increase evenly to 20 sts"],
)
def test_a_number_that_is_not_said_is_not_made_up(words: str) -> None:
    _, entry = second_round(24, words)
    assert entry.basis != "worked_out"


@pytest.mark.parametrize("terms", ["US", "UK"])
def test_what_is_written_back_leaves_the_places_open_too(terms: str) -> None:
    pattern, entry = second_round(24, "ch 1, hdc around, dec 5 sts evenly spaced, join (19)")
    again = read(write(pattern, terms)).pieces[0].rounds[1]  # type: ignore[arg-type]
    assert (again.instructions, again.stitches) == (entry.instructions, 19)
    assert again.suggested.endswith("around, dec 5 sts evenly spaced")


def test_the_words_are_kept_whole() -> None:
    _, entry = second_round(24, "inc 6 (evenly spaced) (30)")
    assert entry.suggested == "inc 6 (evenly spaced)"


def test_stitches_in_so_many_places_apart_are_not_laid_side_by_side() -> None:
    pattern, entry = second_round(24, "2 sc in 6 evenly spaced sts, sc in each remaining st")
    assert [step.gives for step in entry.steps] == [1, 1, 1, 2] * 6
    assert "places_suggested" in kinds(pattern)


def test_a_number_of_increases_alone_leaves_their_places_open() -> None:
    pattern, entry = second_round(24, "inc 6 sts (30)")
    assert (entry.stitches, entry.suggested) == (30, "inc 6 sts")
    assert "places_suggested" in kinds(pattern)


@pytest.mark.parametrize("words", ["inc 6 (30)", "6 inc (30)", "inc 6 times (30)", "inc 6 sts, sc around"])
def test_increases_that_are_all_that_is_said_leave_their_places_open(words: str) -> None:
    pattern, entry = second_round(24, words)
    assert [step.gives for step in entry.steps] == [1, 1, 1, 2] * 6
    assert "places_suggested" in kinds(pattern)


@pytest.mark.parametrize(("words", "kind"), [("inc 6 (31)", "total_mismatch"), ("inc 6", "does_not_fit")])
def test_increases_alone_that_do_not_come_out_at_the_total_are_an_error(words: str, kind: str) -> None:
    pattern, _ = second_round(24, words)
    assert kind in kinds(pattern)


def test_decreases_until_so_many_remain_that_do_not_come_out_so_are_not_read() -> None:
    pattern, entry = second_round(24, "dec 5 times until 18 sts remain")
    assert entry.basis != "worked_out"
    assert "unreadable" in kinds(pattern)


@pytest.mark.parametrize(
    "words", ["inc 6 sts, 18 sc", "(inc 2 sts) x 3", "inc 1 st", "inc over next 6 sts, 18 sc", "inc 6 sts, sc2tog"]
)
def test_a_number_of_increases_beside_other_stitches_is_not_laid_out(words: str) -> None:
    _, entry = second_round(24, words)
    assert entry.basis != "worked_out"


def test_rounds_of_a_range_each_have_their_own() -> None:
    pattern = read(
        "Thing\nTerms: US\nRnd 1: 12 sc in a magic ring [12]\nRnds 2-4: inc 6 sts evenly around (18, 24, 30)\n"
    )
    assert [entry.stitches for entry in pattern.pieces[0].rounds] == [12, 18, 24, 30]
    assert not {p.kind for p in pattern.problems if p.severity == "error"}
