"""Rounds from corner to corner: how many stitches lie between follows from the round below, and nothing is guessed."""

import random
import re
from pathlib import Path

import pytest
import yaml

from companion.pattern.model import Chain, Round
from companion.pattern.reader import read
from companion.pattern.writing import write

PATTERNS: dict[str, str] = yaml.safe_load((Path(__file__).parent / "corners.yaml").read_text(encoding="utf-8"))
HEAD = "Square\nTerms: US\nCh 1 does not count as a stitch.\nCh 3 counts as dc.\n\n"
TOTAL = re.compile(r" \((\d+)\)$", re.MULTILINE)
CORNERS = """Rnd 1: 8 sc in magic ring.
Rnd 2: *sc, (sc, ch 2, sc) in next st; rep from * around (12)
"""
SIDES = PATTERNS["sides that differ"]


def rounds(text: str) -> tuple[Round, ...]:
    return read(HEAD + text).pieces[0].rounds


def stretches(entry: Round) -> list[int]:
    """How many stitches lie between the chain spaces of a round, from its beginning to its end."""
    found = [0]
    for step in entry.steps:
        found[-1] += step.gives
        if isinstance(step.instruction, Chain) and step.instruction.role == "space":
            found.append(0)
    return found


@pytest.mark.parametrize("name", PATTERNS)
def test_rounds_from_corner_to_corner_make_what_was_counted_by_hand(name: str) -> None:
    printed = read(HEAD + PATTERNS[name])
    assert not printed.problems
    totals = [entry.stitches for entry in rounds(PATTERNS[name]) if entry.declared is not None]
    assert totals == [int(total) for total in TOTAL.findall(PATTERNS[name])]


@pytest.mark.parametrize("name", PATTERNS)
def test_no_printed_total_is_needed_for_it(name: str) -> None:
    alone = rounds(TOTAL.sub("", PATTERNS[name]))
    assert [entry.stitches for entry in alone] == [entry.stitches for entry in rounds(PATTERNS[name])]
    assert {entry.basis for entry in alone} == {"worked_out"}


def test_each_side_has_its_own_number() -> None:
    # By hand: each side grows by the two stitches made in the corners at its ends, the first and the last by one.
    assert [stretches(entry) for entry in rounds(SIDES)[:4]] == [
        [5, 5, 8, 4, 2],
        [6, 7, 10, 6, 3],
        [7, 9, 12, 8, 4],
        [8, 11, 14, 10, 5],
    ]


def test_a_row_meets_the_spaces_of_the_row_below_from_the_other_end() -> None:
    assert [stretches(entry) for entry in rounds(PATTERNS["rows that turn"])[:2]] == [[2, 5, 3], [4, 7, 3]]


def test_sides_that_are_alike_are_one_repeat() -> None:
    entry = rounds(CORNERS + "Rnd 3: *sc in each st to next ch-2 sp, (sc, ch 2, sc) in ch-2 sp; rep from * around\n")[
        -1
    ]
    assert stretches(entry) == [3, 5, 5, 5, 2]
    # Two stitches, a corner of three motions; three times three stitches and a corner; one stitch.
    assert [step.repeats for step in entry.steps] == [None] * 5 + [3] * 3 * 6 + [None]


@pytest.mark.parametrize(
    "words",
    [
        "*sc in next st, (sc, ch 2, sc) in ch-2 sp, sc in each st to next ch-2 sp; rep from * around",
        "*sc in each st to next ch-1 sp, (sc, ch 1, sc) in ch-1 sp; rep from * around",
        "*sc in each st to next ch-2 sp, (sc, ch 2, sc) in ch-2 sp; rep from * 6 times, sc to end",
        "*sc in each st to next ch-2 sp; rep from * around",
    ],
)
def test_words_that_do_not_lead_to_a_corner_are_told_of_and_not_counted(words: str) -> None:
    pattern = read(f"{HEAD}{CORNERS}Rnd 3: {words}\n")
    entry = pattern.pieces[0].rounds[-1]
    assert entry.stitches is None
    assert {problem.kind for problem in pattern.problems} == {"edge_unknown"}


def test_a_wrong_total_of_such_a_round_is_found() -> None:
    words = "*sc in each st to next ch-2 sp, (sc, ch 2, sc) in ch-2 sp; rep from * around"
    pattern = read(f"{HEAD}{CORNERS}Rnd 3: {words} (24)\nRnd 4: {words} (28)\n")
    assert [entry.stitches for entry in pattern.pieces[0].rounds[2:]] == [20, 28]
    assert [problem.kind for problem in pattern.errors] == ["total_mismatch"]


def test_where_the_yarn_is_joined_at_any_corner_and_sides_differ_nothing_is_guessed() -> None:
    words = (
        "Rnd 7: Join B in any corner sp, ch 1, *sc in sp, sc in each st to next corner sp; rep from * around, join\n"
    )
    below = SIDES.partition("Rnd 6")[0]
    assert rounds(below + words)[-1].stitches is None


def test_stitches_and_spaces_named_one_after_the_other_are_worked_in_their_order() -> None:
    corner = [1, 1, 1, 3]  # three stitches, then three in one space
    assert [step.gives for step in rounds(PATTERNS["stitches and spaces at once"])[2].steps if step.gives] == (
        [1] * 5 + [3] + ([1] * 7 + [3]) * 3 + [1] * 2
    )
    between = [1, 1, 1, 1]  # three stitches, then one in one space
    assert [step.gives for step in rounds(PATTERNS["two kinds of spaces"])[2].steps if step.gives] == (
        (corner + between) * 4
    )


@pytest.mark.parametrize("seed", range(60))
def test_sides_of_any_length_agree_with_a_plain_list_of_stitches_and_spaces(seed: int) -> None:
    chance = random.Random(seed)
    sides = [chance.randint(1, 9) for _ in range(chance.randint(2, 6))]
    words = ", ".join(f"sc in next {n} sts, ch {chance.choice((1, 2, 3))}" for n in sides)
    text = f"Rnd 1: {sum(sides) + 3} sc in magic ring.\nRnd 2: {words}, sc in next 3 sts\n"
    laid = [symbol for n in sides for symbol in ["x"] * n + ["-"]] + ["x"] * 3
    for number in range(3, 7):
        before, after = chance.randint(0, 3), chance.randint(1, 3)
        group = [f"{before} sc"] * (before > 0) + ["ch 2", f"{after} sc"]
        stretch = f"sc in each st to next {'ch' if number == 3 else 'ch-2'} sp, ({', '.join(group)}) in sp"
        ending = chance.choice(
            ["rep from * around, sc in each st to end", f"rep from * {len(sides) - 1} more times, sc around"]
        )
        text += f"Rnd {number}: *{stretch}; {ending}\n"
        made = ["x"] * before + ["-"] + ["x"] * after
        laid = [symbol for old in laid for symbol in (made if old == "-" else [old])]
    last = rounds(text)[-1]
    assert last.basis == "worked_out"
    assert stretches(last) == [len(side) for side in "".join(laid).split("-")]


@pytest.mark.parametrize("name", PATTERNS)
def test_written_out_they_read_back_to_the_same(name: str) -> None:
    first = read(HEAD + PATTERNS[name])
    again = read(write(first))
    assert [[r.stitches for r in piece.rounds] for piece in again.pieces] == [
        [r.stitches for r in piece.rounds] for piece in first.pieces
    ]
