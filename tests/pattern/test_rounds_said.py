"""How many rounds there are of one, said beside its instructions; and whether a total counts the starting chain.

Sources: none; common practice.
"""

import pytest

from companion.pattern.reader import read

ARM = "Owl\nTerms: US\n\nArm\nRnd 1: 6 sc in a magic ring (6)\nRnd 2: inc x 6 (12)\n"


@pytest.mark.parametrize(
    "words",
    [
        "sc around (12) - 4 rounds",
        "sc around (12), 4 rounds",
        "sc around (12) 4 rounds",
        "sc around (12) [4 rnds]",
        "sc around x 4 rounds (12)",
        "sc around (12) x 4 rounds",
        "sc around, 4 rounds total (12)",
        "sc around - 12 - 4 rounds",
        "sc (12) 4 rounds",
        "sc 4 rounds",
        "sc 12 for 4 rnds",
        "12 sc for 4 rounds",
        "4 rounds of sc (12)",
        "4 rounds: sc around (12)",
        "12 sc each",
        "12 sc each round (12)",
        "sc 12 in each round",
    ],
)
def test_a_number_of_rounds_beside_the_instructions_is_no_stitch_of_theirs(words: str) -> None:
    pattern = read(ARM + f"Rnds 3-6: {words}\nRnd 7: dec x 6 (6)\n")
    assert not pattern.problems
    assert [entry.stitches for entry in pattern.pieces[0].rounds] == [6, 12, 12, 6]


@pytest.mark.parametrize("words", ["sc around (12) - 3 rounds", "3 rounds of sc", "sc around (12) x 3 rounds"])
def test_another_number_of_rounds_than_the_label_stands_for_is_reported(words: str) -> None:
    assert "rounds_miscounted" in {problem.kind for problem in read(ARM + f"Rnds 3-6: {words}\n").problems}


def test_a_repeat_after_the_number_of_rounds_repeats_the_stitches_alone() -> None:
    entry = read(ARM + "Rnd 3: 1 round: sc 1, inc, repeat around (18)\n").pieces[0].rounds[2]
    assert (entry.stitches, entry.basis) == (18, "worked_out")


def test_a_numbered_line_that_is_not_wholly_read_is_still_a_round_of_its_piece() -> None:
    words = "1: 5 sc in mr (5)\n2: inc 5 (10)\n3: sc as gently as it goes (10)\n4: 10 sc\n"
    pattern = read(f"Owl\nTerms: US\n\nArm\n{words}")
    assert [(piece.name, len(piece.rounds)) for piece in pattern.pieces] == [("Arm", 4)]


@pytest.mark.parametrize(
    ("row", "made"),
    [
        ("dc in 4th ch from hook and in each ch across, turn (18 dc, including turning ch)", 18),
        ("dc in 4th ch from hook and in each ch across (18 dc including ch 3)", 18),
        ("dc in 4th ch from hook and in each ch across. [18 dc, counting beg ch-3]", 18),
        ("dc in 4th ch from hook and in each ch across (18 dc, turning ch counts as 1 dc)", 18),
        ("dc in 4th ch from hook and in each ch across (17 dc, not counting turning ch)", 17),
        ("dc in 4th ch from hook and in each ch across (17 dc, turning ch does not count)", 17),
    ],
)
def test_a_total_may_say_whether_the_starting_chain_is_among_it(row: str, made: int) -> None:
    """Of twenty chains three stand for the first stitch, and seventeen are worked into."""
    pattern = read(f"Scarf\nTerms: US\n\nCh 20\nRow 1: {row}\n")
    assert not pattern.problems
    assert pattern.pieces[0].rounds[-1].stitches == made


def test_a_total_that_says_that_the_chain_is_among_it_is_checked() -> None:
    pattern = read("Scarf\nTerms: US\n\nCh 20\nRow 1: dc in 4th ch from hook and across (19 dc, including ch 3)\n")
    assert [problem.kind for problem in pattern.problems] == ["total_mismatch"]


def test_numbers_alone_that_are_not_neighbours_are_two_rounds() -> None:
    piece = read("Cap\nTerms: US\n1: 6 sc in MR (6)\n2 & 4: sc around (6)\n3: sc in BLO around (6)\n5: sc\n").pieces[0]
    assert [(entry.first, entry.last) for entry in piece.rounds] == [(1, 1), (2, 2), (3, 3), (4, 4), (5, 5)]


@pytest.mark.parametrize("label", ["3 to 5:", "3 - 5.", "3-5)", "3 through 5:"])
def test_a_stretch_of_numbers_alone_is_a_label(label: str) -> None:
    piece = read(f"Cap\nTerms: US\n1: 6 sc in MR (6)\n2: 6 inc (12)\n{label} 12 sc (12)\n6: 12 sc\n").pieces[0]
    assert [(entry.first, entry.last) for entry in piece.rounds] == [(1, 1), (2, 2), (3, 5), (6, 6)]
