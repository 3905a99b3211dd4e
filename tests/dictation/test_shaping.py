"""From making to pattern: what was made freely is shaped into rounds afterwards, by voice."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from companion.pattern.model import Pattern

Dictate = Callable[..., list[dict[str, Any]]]

FREELY = (
    "new piece called ball",
    "I'm working freely",
    "six single crochet in a magic ring",
    "did six increases",
    "single crochet one increase six times",
    "did eighteen, did two increases",
)
ROUNDS = ["Rnd 1: 6 sc in magic ring [6]", "Rnd 2: inc x 6 [12]", "Rnd 3: (1 sc, inc) x 6 [18]"]


def written(out: Path) -> list[str]:
    lines = out.read_text(encoding="utf-8").splitlines()
    return [line for line in lines if line.startswith(("Rnd", "Row"))]


def totals(pattern: Pattern) -> list[int | None]:
    return [entry.stitches for entry in pattern.pieces[0].rounds for _ in range(entry.times)]


def test_while_working_freely_nothing_is_held_against_a_round(dictate: Dictate) -> None:
    turns = dictate(*FREELY, "what have I got")
    assert all(turn["accepted"] for turn in turns)
    assert [turn["round"] for turn in turns] == [1] * len(turns)
    # 6, and 12 of six increases, and 18 of six times one and two, and 18 and 4
    assert [turn["stitches"] for turn in turns[2:]] == [6, 18, 36, 58, 58]
    assert "takes" not in turns[-2]["reply"]
    assert turns[-1]["reply"] == "Ball, worked freely: fifty eight stitches, not in rounds yet."


def test_the_rounds_are_worked_out_where_each_goes_once_around(dictate: Dictate, out: Path) -> None:
    turns = dictate(*FREELY, "work out the rounds")
    assert turns[-1]["reply"].startswith("Rounds one to four: six, twelve, eighteen and eighteen.")
    assert (turns[-1]["round"], turns[-1]["stitches"]) == (5, 4)
    dictate("finish")
    assert written(out) == [*ROUNDS, "Rnd 4: 18 sc [18]", "Rnd 5: inc x 2 [4]"]


def test_a_round_ends_in_the_middle_of_a_run_and_of_a_repeat(dictate: Dictate, out: Path) -> None:
    turns = dictate(
        "I'm working freely",
        "four single crochet in a magic ring",
        "single crochet one increase four times, nine single crochet",
        "work out the rounds",
    )
    # The second round goes once around four: two repeats; what is left of the third goes around those six.
    assert turns[-1]["reply"].startswith("Rounds one to three: four, six and eight.")
    dictate("finish")
    assert written(out)[:2] == ["Rnd 1: 4 sc in magic ring [4]", "Rnd 2: (1 sc, inc) x 2 [6]"]
    assert written(out)[2] == "Rnd 3: (1 sc, inc) x 2, 2 sc [8]"


def test_it_is_said_where_a_round_ended(dictate: Dictate, out: Path) -> None:
    turns = dictate(
        "I'm working freely", "did thirty", "the round ended after eighteen", "that was the round", "did eighteen"
    )
    assert [turn["round"] for turn in turns] == [1, 1, 2, 3, 3]
    assert turns[2]["reply"].startswith("Round one has eighteen stitches.")
    assert [turn["stitches"] for turn in turns[1:]] == [30, 12, 0, 18]
    dictate("finish")
    assert written(out) == ["Rnd 1: 18 sc [18]", "Rnd 2: 12 sc [12]", "Rnd 3: 18 sc [18]"]


def test_rounds_are_split_and_put_together(dictate: Dictate, pattern: Callable[[], Pattern]) -> None:
    dictate("twelve single crochet in a magic ring", "single crochet in each stitch around", "single crochet twelve")
    turns = dictate("put the last two rounds together")
    assert turns[-1]["reply"].startswith("Rounds two and three are one.")
    assert totals(pattern()) == [12, 24]
    dictate("split round two after twelve")
    assert totals(pattern()) == [12, 12, 12]
    dictate("put rounds one and two together", "scratch that")
    assert totals(pattern()) == [12, 12, 12]
    dictate("the round ended after five", "scratch that", "scratch that")
    assert totals(pattern()) == [12, 24]


def test_a_round_worked_in_each_stitch_is_split(dictate: Dictate, pattern: Callable[[], Pattern]) -> None:
    dictate(
        "twelve single crochet in a magic ring", "single crochet in each stitch around", "the round ended after five"
    )
    assert totals(pattern()) == [12, 5, 7]


@pytest.mark.parametrize(
    ("said", "reply"),
    [
        ("the round ended after forty", "Round two has only twelve stitches."),
        ("the round ended after three", "Stitch three is in the middle of a motion that makes several."),
        ("split round nine after two", "There is no round nine; the last one is round two."),
        ("put rounds one and four together", "Rounds one and four do not follow each other."),
    ],
)
def test_what_cannot_be_shaped_changes_nothing(dictate: Dictate, said: str, reply: str) -> None:
    turns = dictate("six single crochet in a magic ring", "next round", "increase six times", said)
    assert not turns[-1]["accepted"]
    assert turns[-1]["reply"].startswith(reply)
    assert turns[-1]["stitches"] == 12


def test_a_decrease_across_the_end_of_a_round_is_not_guessed_at(dictate: Dictate) -> None:
    turns = dictate(
        "I'm working freely", "seven single crochet in a magic ring", "did four decreases", "work out the rounds"
    )
    assert turns[-1]["reply"].startswith("Round one: seven. After that I cannot tell where they end.")
    turns = dictate("new piece called ear", "I'm working freely", "did ten, two increases", "work out the rounds")
    assert not turns[-1]["accepted"]
    assert turns[-1]["reply"].startswith("I cannot tell where round one ended.")


def test_a_correction_of_where_the_round_ended(dictate: Dictate, pattern: Callable[[], Pattern]) -> None:
    dictate("I'm working freely", "did thirty", "the round ended after eighteen", "no, sixteen, not eighteen")
    assert totals(pattern()) == [16, 14]


def test_equal_rounds_fold_into_ranges_and_runs_into_repeats(dictate: Dictate, out: Path) -> None:
    dictate(
        "I'm working freely",
        "six single crochet in a magic ring",
        "did one, did one increase, did one, did one increase, did one, did one increase",
        "did nine",
        "did nine",
        "did nine",
        "work out the rounds",
        "finish",
    )
    assert written(out) == ["Rnd 1: 6 sc in magic ring [6]", "Rnd 2: (1 sc, inc) x 3 [9]", "Rnds 3-5: 9 sc [9]"]
