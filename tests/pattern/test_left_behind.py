"""Stitches of a row that nothing is worked into: at its end, and at its start where slip stitches lead past them.

Sources: none; common practice. All totals are counted by hand, on a row of twenty.
"""

import pytest

from companion.pattern.reader import read
from companion.pattern.writing import write

TWENTY = "Row 1: ch 21, sc in 2nd ch from hook and in each ch across (20)"


@pytest.mark.parametrize(
    ("words", "made"),
    [
        ("ch 1, turn, sc in each st to last 3 sts, leave last 3 sts unworked", 17),
        ("ch 1, turn, sc across to last 3 sts, turn, leaving remaining 3 sts unworked", 17),
        ("ch 1, turn, sc across, leaving last 3 sts unworked", 17),
        ("ch 1, turn, sc in next 17 sts, leaving last 3 sts unworked", 17),
        ("ch 1, turn, sc to last 5 sts, sc2tog, leaving last 3 sts unworked", 16),
        ("ch 1, sc in each st to last 3 sts, turn", 17),
        ("ch 1, sc across to last 3 sts, ch 1, turn", 17),
        ("ch 1, turn, sc in each st across to last 3 sts (17)", 17),
        ("ch 1, *sc in next st, inc in next st; rep from * to last 4 sts, turn", 24),
        ("turn, sl st in first 3 sts, ch 1, sc in each st to end", 17),
        ("turn, sl st in first 3 sts, ch 1, sc in same st, sc in each st to end", 18),
        ("turn, sl st over 3 sts, ch 1, sc across", 17),
        ("turn, sl st across first 3 sts, ch 1, sc in next 14 sts, turn leaving last 3 sts unworked", 14),
        ("turn, sl st in first 3 sts, ch 1, sc in each st to last 3 sts, leave last 3 sts unworked", 14),
        ("turn, sl st in first 4 sts, ch 3 (counts as dc), dc in next st and each st across", 17),
        ("turn, sl st in first 3 sts, ch 3, dc in next 16 sts", 17),
    ],
)
def test_what_is_left_behind_is_left_once(words: str, made: int) -> None:
    pattern = read(f"Yoke\nTerms: US\nCh 1 does not count as a stitch.\nCh 3 counts as dc.\n{TWENTY}\nRow 2: {words}\n")
    row = pattern.pieces[0].rounds[1]
    assert (row.stitches, row.basis) == (made, "worked_out")
    assert not [problem for problem in pattern.problems if problem.severity == "error"]
    assert [each.stitches for each in read(write(pattern)).pieces[0].rounds] == [20, made]


@pytest.mark.parametrize(
    ("label", "words"),
    [
        ("Row", "ch 1, turn, sc in each st to last 3 sts"),
        ("Row", "ch 1, turn, sc in each st to last 3 sts (20)"),
        ("Row", "ch 1, sc in each st to last 3 sts, sc in next st, turn"),
        ("Rnd", "sc in each st to last 3 sts (17)"),
    ],
)
def test_where_nothing_says_that_stitches_are_left_they_are_missed(label: str, words: str) -> None:
    first = TWENTY if label == "Row" else "Rnd 1: 20 sc in a magic ring (20)"
    pattern = read(f"Yoke\nTerms: US\nCh 1 does not count as a stitch.\n{first}\n{label} 2: {words}\n")
    assert [problem for problem in pattern.problems if problem.severity == "error"]


def test_around_a_round_slip_stitches_leave_nothing_behind() -> None:
    words = "sl st in first 3 sts, ch 1, sc in each st around"
    pattern = read(f"Yoke\nTerms: US\nRnd 1: 20 sc in a magic ring (20)\nRnd 2: {words}\n")
    assert pattern.pieces[0].rounds[1].stitches == 20
