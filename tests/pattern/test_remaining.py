"""Decreases that go on "until 12 sts remain": the count is what the round comes out at.

That it is, where nothing is worked after them, is common practice, no source.
"""

import pytest

from companion.pattern.model import Pattern, Round
from companion.pattern.reader import read


def rounds(words: str, after: str = "") -> tuple[Pattern, tuple[Round, ...]]:
    pattern = read(f"Thing\nTerms: US\nRnd 1: 24 sc in a magic ring [24]\nRnd 2: {words}\n{after}")
    return pattern, pattern.pieces[0].rounds


@pytest.mark.parametrize("words", ["dec around until 10 sts remain", "continue decreasing until 6 sts remain"])
def test_what_takes_more_than_plain_decreases_all_around_is_not_worked_out(words: str) -> None:
    pattern, entries = rounds(words, "Rnd 3: sc around\n")
    remain = int(words.split()[-3])
    assert [(entry.stitches, entry.basis) for entry in entries[1:2]] == [(remain, "pattern_says")]
    assert entries[2].stitches == remain
    assert [p.kind for p in pattern.problems] == ["unreadable"]


def test_a_printed_total_that_is_another_is_an_error() -> None:
    pattern, _ = rounds("dec around until 12 sts remain (13)")
    assert "total_mismatch" in {p.kind for p in pattern.problems}


def test_evenly_spread_decreases_come_out_at_it_too() -> None:
    pattern, entries = rounds("decrease evenly around until 18 sts remain")
    assert entries[1].stitches == 18
    assert "places_suggested" in {p.kind for p in pattern.problems}


def test_stitches_left_of_the_round_below_are_still_left_unworked() -> None:
    _, entries = rounds("dec until 12 sts remain, leave remaining sts unworked (6)")
    assert entries[1].stitches == 6
