"""What the next row has to know of a chain is asked, and its answer stands in the pattern."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from companion.pattern.model import Pattern

Dictate = Callable[..., list[dict[str, Any]]]

FIRST = "Into which chain from the hook does the first stitch go?"
COUNTS = "Does the chain of three before it count as a stitch?"


def test_which_chain_the_first_stitch_goes_into(dictate: Dictate, pattern: Callable[[], Pattern]) -> None:
    turns = dictate("chain seven", "next row", "single crochet in each chain across", "the second chain from the hook")
    assert turns[-2]["reply"].startswith(FIRST)
    assert turns[-1]["stitches"] == 6
    assert not pattern().problems


# A foundation of fifteen worked in double crochet from the fourth: thirteen with the chains passed by, twelve without.
@pytest.mark.parametrize(
    ("answer", "stitches"), [("it counts", 13), ("it does not count", 12), ("yes", 13), ("no", 12)]
)
def test_whether_the_chains_passed_by_are_a_stitch(
    dictate: Dictate, pattern: Callable[[], Pattern], answer: str, stitches: int
) -> None:
    turns = dictate("chain fifteen", "double crochet in each chain across", "the fourth", answer)
    assert turns[-2]["reply"].startswith(COUNTS)
    assert turns[-1]["stitches"] == stitches
    assert pattern().pieces[0].rounds[0].stitches == stitches
    assert not pattern().problems


def test_said_with_the_stitches_it_is_not_asked(dictate: Dictate) -> None:
    turns = dictate("chain seven, single crochet in the second chain from the hook and in each chain across")
    assert turns[-1]["stitches"] == 6
    assert "?" not in turns[-1]["reply"]


@pytest.mark.parametrize(
    ("answer", "row"),
    [
        ("it counts", "Row 2: ch 3 (counts as a stitch), 12 dc [13]"),
        ("it does not count", "Row 2: ch 3 (does not count as a stitch), 13 dc [13]"),
    ],
)
def test_a_turning_chain_is_written_where_the_next_row_begins(
    dictate: Dictate, out: Path, pattern: Callable[[], Pattern], answer: str, row: str
) -> None:
    first = (
        "chain fifteen, double crochet in the fourth chain from the hook and in each chain across, chain three, turn"
    )
    turns = dictate(first, "it counts", "next row", "double crochet in each stitch across", answer, "finish")
    assert [turns[0]["reply"][: len(COUNTS)], turns[3]["reply"][: len(COUNTS)]] == [COUNTS, COUNTS]
    assert turns[4]["stitches"] == 13
    assert out.read_text(encoding="utf-8").splitlines()[-1] == row
    assert not pattern().problems


def test_a_starting_chain_in_a_ring_of_chains(dictate: Dictate, out: Path) -> None:
    turns = dictate("chain four join chain three eleven double crochet in the ring join", "it counts", "finish")
    assert turns[0]["reply"].startswith(COUNTS)
    assert turns[1]["stitches"] == 12
    assert "ch 4, join with sl st to form a ring, ch 3 (counts as" in out.read_text(encoding="utf-8")


def test_it_is_asked_once_and_not_again_unheeded(dictate: Dictate) -> None:
    turns = dictate("chain three, twelve double crochet in a magic ring", "note twelve points", "join", "next round")
    assert turns[0]["reply"].startswith(COUNTS)
    assert all("?" not in turn["reply"] for turn in turns[1:])


@pytest.mark.parametrize("answer", ["the ninth chain from the hook", "the first chain"])
def test_a_chain_that_is_not_there(dictate: Dictate, answer: str) -> None:
    turns = dictate("chain seven", "single crochet in each chain across", answer)
    assert not turns[-1]["accepted"]
    assert "the chain has seven" in turns[-1]["reply"]


def test_an_answer_about_chains_nobody_asked_about(dictate: Dictate) -> None:
    turns = dictate("six single crochet in a magic ring", "it counts", "the second chain")
    assert [turn["accepted"] for turn in turns[1:]] == [False, False]


@pytest.mark.parametrize("first", [("join each round",), ()])
def test_a_closing_leaves_out_the_chain_that_starts_a_closed_round(
    dictate: Dictate, out: Path, first: tuple[str, ...]
) -> None:
    turns = dictate(
        *first,
        "twelve double crochet in a magic ring",
        "join",
        "next round",
        "chain three",
        "it does not count",
        "double crochet one increase six times",
        "join",
    )
    assert [turn["accepted"] for turn in turns] == [True] * len(turns)
    assert turns[-1]["stitches"] == 18
    last = out.read_text(encoding="utf-8").splitlines()[-1]
    assert last == "Rnd 2: ch 3 (does not count as a stitch), (1 dc, inc) x 6, join with sl st [18]"


def test_in_a_mesh_the_chain_may_be_repeated_and_it_asks(dictate: Dictate, out: Path) -> None:
    start = ("twelve single crochet in a magic ring", "next round", "chain three, single crochet one, twelve times")
    asked = dictate(*start)[-1]
    assert "The first: Chain three" in asked["reply"]
    assert "The second: Twelve times: chain three, then one single crochet" in asked["reply"]
    assert "Twelve stitches and twelve chain spaces." in asked["reply"]
    dictate("the second")
    assert out.read_text(encoding="utf-8").splitlines()[-1].startswith("Rnd 2: (ch 3")


def test_a_closing_never_makes_the_ring_again(dictate: Dictate, out: Path) -> None:
    dictate("chain four, join", "three double crochet in the ring, chain two, four times", "join")
    last = out.read_text(encoding="utf-8").splitlines()[-1]
    assert last == "Rnd 1: ch 4, join with sl st to form a ring, (3 dc in ring, ch 2) x 4, join with sl st [12]"


def test_a_line_said_again_instead_reaches_back_over_the_answer_about_its_chain(dictate: Dictate, out: Path) -> None:
    turns = dictate(
        "work in rows",
        "chain ten",
        "single crochet in the second chain from the hook and in each remaining chain across",
        "next row",
        "chain three, double crochet in each stitch across",
        "it counts",
        "no, chain one, single crochet in each stitch across",
        "it does not count",
    )
    assert turns[-1]["accepted"]
    assert out.read_text(encoding="utf-8").splitlines()[-1].endswith("ch 1 (does not count as a stitch), 9 sc [9]")


def test_what_was_taken_for_granted_is_told_at_the_end(dictate: Dictate) -> None:
    said = (
        "work in rows",
        "chain ten",
        "half double crochet in the third chain from the hook and in each chain across",
    )
    assert "at row one" in dictate(*said, "finish")[-1]["reply"]


def test_a_square_with_corners_in_several_breaths(dictate: Dictate, out: Path) -> None:
    # Common practice, no source: three and three in every corner, three in every space between; twelve more a round.
    turns = dictate(
        "join each round",
        "chain four, join",
        "three double crochet in the ring, chain two, four times",
        "join",
        "next round",
        "chain three",
        "it counts",
        "two double crochet in the corner, chain two, three double crochet in the same corner, chain one",
        "then do three double crochet in the corner, chain two, three double crochet in the same space, chain one",
        "repeat that three times",
        "the second",
        "join",
    )
    assert turns[-1]["stitches"] == 24
    assert out.read_text(encoding="utf-8").splitlines()[-1] == (
        "Rnd 2: ch 3 (counts as a stitch), 2 dc in next sp, ch 2, 3 dc in same sp, ch 1, "
        "(3 dc in next sp, ch 2, 3 dc in same sp, ch 1) x 3, join with sl st [24]"
    )
