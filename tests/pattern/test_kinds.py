"""Stitches that go into those of one kind alone. Sources: none; common practice. All totals are counted by hand."""

import pytest

from companion.pattern.model import Round, Work
from companion.pattern.reader import read
from companion.pattern.writing import write

PAIRS = (
    "Row 1: Ch 13, (sc, dc) in 2nd ch from hook, *sk next ch, (sc, dc) in next ch; rep from * across to last ch, "
    "sk last ch (12)"
)
SEEDS = "Row 1: Ch 10, sc in 2nd ch from hook, *dc in next ch, sc in next ch; rep from * across (9)"
SHELLS = "Row 1: Ch 20, sc in 2nd ch from hook, *sk 2 ch, 5 dc in next ch, sk 2 ch, sc in next ch; rep from * across"


def rows(*lines: str) -> tuple[tuple[Round, ...], set[str]]:
    rules = "Ch 1 does not count as a stitch.\nCh 3 counts as dc."
    pattern = read("\n".join(["Cloth", "Terms: US", rules, *lines, ""]))
    again = read(write(pattern)).pieces[0].rounds
    assert [row.stitches for row in again] == [row.stitches for row in pattern.pieces[0].rounds]
    return pattern.pieces[0].rounds, {problem.kind for problem in pattern.problems}


@pytest.mark.parametrize(
    ("first", "words", "made"),
    [
        (PAIRS, "(sc, dc) in each sc across", 12),  # six pairs again, and the dc are passed over
        (PAIRS, "(sc, dc) in each sc across (24)", 24),  # the total says that each stitch is meant
        (PAIRS, "sc in each sc across", 12),
        (SEEDS, "dc in each sc and sc in each dc across", 9),
        (SEEDS, "sc in each dc, dc in each sc", 9),
        (SEEDS, "(sc, hdc) in each sc (10)", 10),
    ],
)
def test_each_of_a_kind(first: str, words: str, made: int) -> None:
    found, problems = rows(first, f"Row 2: ch 1, turn, {words}")
    assert (found[1].stitches, found[1].basis) == (made, "worked_out")
    assert sum(step.gives for step in found[1].steps) == made
    assert problems <= {"no_total", "reading_assumed"}


def test_stitches_of_two_kinds_are_worked_in_the_order_in_which_the_hook_meets_them() -> None:
    """The row before was made from sc to sc, so that turned it begins with sc, too."""
    found, _ = rows(SEEDS, "Row 2: ch 1, turn, sc in each dc and dc in each sc across")
    made = [step.instruction.stitch for step in found[1].steps if isinstance(step.instruction, Work)]
    assert made == ["dc", "sc"] * 4 + ["dc"]


def test_pairs_in_each_sc_that_would_be_fewer_without_a_total_are_said_to_be_unsure() -> None:
    _, problems = rows(SEEDS, "Row 2: ch 1, turn, (sc, hdc) in each sc across")
    assert "reading_assumed" in problems


def test_the_last_repeat_may_end_otherwise() -> None:
    found, problems = rows(
        SHELLS,
        "Row 2: ch 3, turn, 2 dc in first sc, *sk 2 dc, sc in next dc, sk 2 dc, 5 dc in next sc; rep from * across, "
        "ending last rep with 3 dc in last sc (19)",
    )
    assert [row.stitches for row in found] == [19, 19]
    assert problems <= {"no_total", "reading_assumed"}
