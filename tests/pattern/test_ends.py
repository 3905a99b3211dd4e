"""Shaping at the ends of a row: what is made in the first and last stitches, and what lies between them.

Two stitches into the first and last of M make M + 2, two worked together at either end M - 2: arithmetic.
"""

import pytest

from companion.pattern.model import Pattern, Round
from companion.pattern.reader import read
from companion.pattern.writing import write


def second_row(there: int, words: str) -> tuple[Pattern, Round]:
    begin = f"Row 1: ch {there + 1}, sc in 2nd ch from hook and in each ch across [{there}]"
    pattern = read(f"Thing\nTerms: US\n{begin}\nRow 2: {words}\n")
    return pattern, pattern.pieces[0].rounds[1]


BOTH_WIDER = [
    "inc 1 st at each end",
    "inc at beg and end of row",
    "inc at both ends of the row",
    "increase one stitch at each side",
    "inc in first and last st (26)",
    "inc in first and last st, sc in all other sts",
    "2 sc in first and last st, sc in each st between",
    "sc across, inc 1 st at each end, ch 1, turn (26)",
    "ch 1 (does not count), sc in each st across, increasing 1 st at each end (26 sc)",
]
BOTH_NARROWER = [
    "dec 1 st at each end",
    "dec at both ends",
    "sc2tog at each end of row",
    "sc across, dec 1 st each end",
]


@pytest.mark.parametrize("words", BOTH_WIDER)
def test_both_ends_are_made_wider(words: str) -> None:
    pattern, entry = second_row(24, words)
    assert (entry.worked_into, entry.stitches, entry.basis) == (24, 26, "worked_out")
    assert [step.gives for step in entry.steps if step.takes] == [2, *[1] * 22, 2]
    assert not [p for p in pattern.problems if p.kind in ("unreadable", "reading_assumed")]


@pytest.mark.parametrize("words", BOTH_NARROWER)
def test_both_ends_are_made_narrower(words: str) -> None:
    _, entry = second_row(24, words)
    assert (entry.worked_into, entry.stitches, entry.basis) == (24, 22, "worked_out")
    assert [step.takes for step in entry.steps] == [2, *[1] * 20, 2]


@pytest.mark.parametrize(
    ("words", "takes"),
    [
        ("dec at beg of row", [2, *[1] * 22]),
        ("dec at beg of row, sc across", [2, *[1] * 22]),
        ("sc across, dec 1 st at end of row (23)", [*[1] * 22, 2]),
    ],
)
def test_one_end_is_one_end(words: str, takes: list[int]) -> None:
    _, entry = second_row(24, words)
    assert entry.stitches == 23
    assert [step.takes for step in entry.steps] == takes


def test_all_of_it_is_in_the_stitch_of_the_row_and_in_its_loop() -> None:
    pattern, entry = second_row(24, "BLO hdc across, inc 1 st at each end (26)")
    works = {(step.instruction.stitch, step.instruction.loop) for step in entry.steps}  # type: ignore[union-attr]
    assert works == {("hdc", "back")}
    assert read(write(pattern)).pieces[0].rounds[1].instructions == entry.instructions


def test_rows_of_a_range_each_have_their_own() -> None:
    pattern = read("Thing\nTerms: US\nRow 1: 6 fsc [6]\nRows 2-4: ch 1, turn, inc 1 st at each end (8, 10, 12)\n")
    assert [entry.stitches for entry in pattern.pieces[0].rounds] == [6, 8, 10, 12]
    assert not [p for p in pattern.problems if p.severity == "error"]


@pytest.mark.parametrize(("there", "words"), [(24, "sc across, dec at each end (23)"), (3, "dec at each end")])
def test_what_does_not_add_up_is_an_error(there: int, words: str) -> None:
    pattern, _ = second_row(there, words)
    assert [p.kind for p in pattern.problems if p.severity == "error"]


@pytest.mark.parametrize(
    "words",
    [
        "inc 2 sts at each end",
        "inc 1 st at each end every other row",
        "(inc 1 st at each end) x 2",
        "6 hdc, inc at each end",
        "inc 1 st each side of marker",
    ],
)
def test_what_is_not_clear_is_not_worked_out(words: str) -> None:
    _, entry = second_row(24, words)
    assert entry.basis == "unknown"


def test_a_round_has_no_ends() -> None:
    pattern = read("Thing\nTerms: US\nRnd 1: 24 sc in a magic ring [24]\nRnd 2: dec 1 st at each end\n")
    assert pattern.pieces[0].rounds[1].basis == "unknown"
    assert [p.kind for p in pattern.problems] == ["unreadable"]
