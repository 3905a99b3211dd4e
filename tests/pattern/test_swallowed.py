"""Stitches in one clause with an act, an aside or a reference are worked or flagged, and never dropped unsaid."""

from pathlib import Path

import pytest
import yaml

from companion.pattern.model import Pattern, Round
from companion.pattern.reader import read

ROUNDS = yaml.safe_load((Path(__file__).parent / "swallowed.yaml").read_text(encoding="utf-8"))
UNSURE = {"unreadable", "edge_unknown", "reading_assumed"}


def last_round(there: int | str, words: str) -> tuple[Pattern, Round]:
    if not there:
        text = f"Rnd 1: {words}"
    elif isinstance(there, int):
        text = f"Rnd 1: {there} sc in a magic ring [{there}]\nRnd 2: {words}"
    else:
        n = int(there.removeprefix("row "))
        text = f"Row 1: ch {n + 1}, sc in 2nd ch from hook and in each ch across, turn [{n}]\nRow 2: {words}"
    pattern = read(f"Thing\nTerms: US\n{text}\n")
    return pattern, pattern.pieces[0].rounds[-1]


@pytest.mark.parametrize(
    ("there", "made", "words"),
    ROUNDS["worked"] + ROUNDS["notes"],
    ids=[row[-1] for row in ROUNDS["worked"] + ROUNDS["notes"]],
)
def test_work_is_counted_and_notes_are_not(there: int | str, made: int, words: str) -> None:
    pattern, entry = last_round(there, words)
    assert not {p.kind for p in pattern.problems} & UNSURE
    assert not [p for p in pattern.problems if p.severity == "error"]
    assert (entry.stitches, entry.basis) == (made, "worked_out")


@pytest.mark.parametrize(("there", "words"), ROUNDS["flagged"], ids=[row[-1] for row in ROUNDS["flagged"]])
def test_what_cannot_be_placed_is_said_and_not_counted(there: int | str, words: str) -> None:
    pattern, entry = last_round(there, words)
    assert "unreadable" in {p.kind for p in pattern.problems}
    assert entry.basis != "worked_out"


def test_the_other_side_of_a_foundation_is_never_left_out_unsaid() -> None:
    """Seven is the first side alone (4, and 3 in the last chain, by hand)."""
    there = "ch 6, sc in 2nd ch from hook and in next 3 ch, 3 sc in last ch"
    pattern, entry = last_round("", f"{there}, rotate and sc in each ch along the other side, join.")
    assert entry.stitches != 7
    assert pattern.problems


@pytest.mark.parametrize(
    "rule",
    [
        "Ch 1 does not count as a stitch.",
        "Ch 3 counts as dc.",
        "Join each round with a sl st and ch 1.",
        "Stuff firmly and sc tightly.",
        "Change colour and sc over the ends.",
    ],
)
def test_a_line_that_holds_for_all_rounds_is_no_round(rule: str) -> None:
    rounds = "Ch 1 does not count.\nRnd 1: 6 sc in magic ring (6)\nRnd 2: ch 1, inc around (12)\n"
    pattern = read(f"Thing\nTerms: US\n\nBody (make 2)\n{rule}\n{rounds}")
    assert [entry.stitches for entry in pattern.pieces[0].rounds] == [6, 12]
    assert not pattern.problems
