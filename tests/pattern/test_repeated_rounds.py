"""Rounds that stand for others: "repeat rnd 1" where that began in a ring, "row 2 and all even rows"."""

import pytest

from companion.pattern.model import Pattern, Round
from companion.pattern.reader import read


def piece(lines: str) -> tuple[Pattern, tuple[Round, ...]]:
    pattern = read(f"Thing\nTerms: US\n{lines}\n")
    return pattern, pattern.pieces[0].rounds


def errors(pattern: Pattern) -> list[tuple[str, int]]:
    return [(p.kind, p.line) for p in pattern.problems if p.severity == "error"]


@pytest.mark.parametrize(
    ("beginning", "made"),
    [
        ("Rnd 1: 6 sc in magic ring [6]", 6),
        ("Rnd 1: magic ring, 8 hdc [8]", 8),
        ("Rnd 1: ch 2, 6 sc in 2nd ch from hook [6]", 6),
        ("Rnd 1: ch 4, join to form a ring, 12 sc in ring [12]", 12),
        ("Row 1: ch 7, sc in 2nd ch from hook and in each ch across [6]", 6),
    ],
)
def test_what_begins_in_a_ring_or_on_a_chain_goes_on_with_the_stitches_there(beginning: str, made: int) -> None:
    """A ring is made once (common practice, no source): what can be repeated are the stitches."""
    pattern, rounds = piece(f"{beginning}\n{beginning[:3]} 2: repeat {beginning[:5].lower()}")
    assert (rounds[1].worked_into, rounds[1].stitches, rounds[1].into) == (made, made, None)
    assert "reading_assumed" in {p.kind for p in pattern.problems}
    assert not errors(pattern)


def test_a_ring_that_is_repeated_where_more_stitches_are_does_not_fit() -> None:
    pattern, rounds = piece("Rnd 1: 6 sc in magic ring [6]\nRnd 2: inc around [12]\nRnd 3: repeat rnd 1")
    assert rounds[2].worked_into == 12
    assert errors(pattern) == [("does_not_fit", 5)]


@pytest.mark.parametrize("words", ["as last round", "as previous round", "same as last round", "work as last 2 rounds"])
def test_a_round_may_be_worked_as_the_last_one(words: str) -> None:
    pattern, rounds = piece(f"Rnd 1: 12 sc in magic ring [12]\nRnd 2: sc in blo around\nRnds 3-4: {words}\nRnd 5: sc")
    assert not errors(pattern)
    assert [entry.stitches for entry in rounds][-2:] == [12, 12]


def test_the_same_places_as_in_the_last_round_are_not_the_last_round() -> None:
    ring = "Rnd 1: 6 sc in magic ring [6]\nRnd 2: inc x 6 [12]"
    pattern, _ = piece(f"{ring}\nRnd 3: inc in the same places as previous round")
    assert {(p.kind, p.line) for p in pattern.problems} == {("unreadable", 5)}


def test_after_the_yarn_is_cut_a_ring_is_begun_anew() -> None:
    pattern, rounds = piece(
        "Rnd 1: 6 sc in magic ring [6]\nRnd 2: inc around [12]. Fasten off.\nRnd 3: repeat rnd 1 [6]"
    )
    assert (rounds[2].worked_into, rounds[2].stitches) == (0, 6)
    assert not errors(pattern)


@pytest.mark.parametrize(
    "words",
    [
        "Row 2 and all even rows",
        "Row 2 and all WS rows",
        "Row 2 and every other row",
        "Row 2 and all following alternate rows",
        "Row 2 (and all wrong side rows)",
        "Row 2 (WS) and all WS rows",
        "Row 2 & every even numbered row",
    ],
)
def test_one_row_that_stands_for_every_other_one(words: str) -> None:
    pattern, rounds = piece(
        "Row 1: ch 8, sc in 2nd ch from hook and in each ch across [7]\n"
        f"{words}: sc in each st across\n"
        "Row 3: inc, sc to last st, inc [9]\n"
        "Row 5: inc, sc to last st, inc [11]\n"
        "Row 6: dec, sc to last 2 sts, dec [9]\n"
        "Row 7: sc in each st across [9]"
    )
    assert [(entry.first, entry.stitches) for entry in rounds] == [
        (1, 7), (2, 7), (3, 9), (4, 9), (5, 11), (6, 9), (7, 9),
    ]  # fmt: skip
    assert not errors(pattern)


def test_all_odd_rows_are_not_those_beside_an_even_one() -> None:
    pattern, rounds = piece(
        "Row 1: ch 8, sc in 2nd ch from hook and in each ch across [7]\n"
        "Row 2: inc, sc in each st across [8]\n"
        "Row 3 and all odd rows: sc in each st across\n"
        "Row 4: inc, sc in each st across [9]\nRow 6: inc, sc in each st across [10]"
    )
    assert [(entry.first, entry.stitches) for entry in rounds] == [(1, 7), (2, 8), (3, 8), (4, 9), (5, 9), (6, 10)]
    assert not errors(pattern)


EVEN = "Even rounds: sc in each st around"
GROWING = [
    "Rnd 1: 6 sc in magic ring [6]",
    "Rnd 3: inc x 6 [12]",
    "Rnd 5: (sc, inc) x 6 [18]",
    "Rnd 6: (2 sc, inc) x 6 [24]",
    "Rnd 7: (3 sc, inc) x 6 [30]",
]


@pytest.mark.parametrize("place", range(len(GROWING) + 1))
def test_even_rounds_without_a_number_are_all_that_are_not_written_otherwise(place: int) -> None:
    pattern, rounds = piece("\n".join([*GROWING[:place], EVEN, *GROWING[place:]]))
    assert [(entry.first, entry.stitches) for entry in rounds] == [
        (1, 6), (2, 6), (3, 12), (4, 12), (5, 18), (6, 24), (7, 30),
    ]  # fmt: skip
    assert not pattern.problems


def test_odd_rows_may_begin_the_piece() -> None:
    pattern, rounds = piece(
        "Ch 7\nOdd rows: sc in each st across\nRow 2: inc, sc to last st, inc [9]\nRow 4: sc across"
    )
    assert [(entry.first, entry.worked_into, entry.stitches) for entry in rounds[1:]] == [
        (1, 7, 7), (2, 7, 9), (3, 9, 9), (4, 9, 9),
    ]  # fmt: skip
    assert not errors(pattern)


def test_even_rounds_of_a_piece_that_has_them_all_are_a_note() -> None:
    pattern, rounds = piece(f"Rnd 1: 6 sc in magic ring [6]\nRnd 2: inc x 6 [12]\n{EVEN}\nRnd 3: sc around [12]")
    assert [(entry.first, entry.stitches) for entry in rounds] == [(1, 6), (2, 12), (3, 12)]
    assert [note.text for note in rounds[1].notes] == [EVEN]
    assert not pattern.problems


def test_all_even_rounds_may_be_said_before_their_first_has_come() -> None:
    pattern, rounds = piece(
        "Rnd 1: 6 sc in magic ring [6]\nRnd 4 and all even rounds: sc around\n"
        "Rnd 2: inc x 6 [12]\nRnd 3: (sc, inc) x 6 [18]\nRnd 5: (2 sc, inc) x 6 [24]\nRnd 7: (3 sc, inc) x 6 [30]"
    )
    assert [(entry.first, entry.stitches) for entry in rounds] == [
        (1, 6), (2, 12), (3, 18), (4, 18), (5, 24), (6, 24), (7, 30),
    ]  # fmt: skip
    assert not pattern.problems


def test_an_even_round_that_is_said_nowhere_is_missing() -> None:
    pattern, _ = piece("Rnd 1: 6 sc in magic ring [6]\nRnd 3: inc x 6 [12]\nRnd 4 and all even rounds: sc around")
    assert errors(pattern) == [("missing_round", 4)]


@pytest.mark.parametrize("where", ["4th ch from hook", "4th ch"])
def test_stitches_without_brackets_all_go_into_the_chain_said_last(where: str) -> None:
    """Three chains skipped count as a double crochet: 1 + 2 + 3, and the corner of two chains between them."""
    pattern, (row,) = piece(f"Row 1: Ch 4 (counts as dc), 2 dc, ch 2, 3 dc in {where} (6 dc, 1 ch-2 sp)")
    assert (row.stitches, row.chain_spaces) == (6, 1)
    assert not pattern.problems


def test_a_starting_chain_said_not_to_count_does_not_count_on_a_foundation() -> None:
    """Chains 4 to 15 are twelve stitches, and the three before them none."""
    _, (row,) = piece("Row 1: Ch 15 (does not count as a st), dc in 4th ch from hook and in each ch across")
    assert row.stitches == 12


def test_what_is_skipped_before_each_stitch_is_skipped_before_the_join_too() -> None:
    """On 24, a chain that stands on the first and 11 repeats of two leave one (arithmetic), which no word speaks of."""
    pattern, rounds = piece(
        "Rnd 1: 24 dc in magic ring [24]\n"
        "Rnd 2: ch 5 (counts as dc and ch 2), *sk 1 st, dc in next st, ch 2; "
        "rep from * around, join (12 dc, 12 ch-2 sps)"
    )
    assert (rounds[1].worked_into, rounds[1].stitches, rounds[1].basis) == (24, 12, "worked_out")
    assert not errors(pattern)


def test_a_stitch_left_before_the_join_where_nothing_is_skipped_is_an_error() -> None:
    pattern, _ = piece("Rnd 1: 24 dc in magic ring [24]\nRnd 2: ch 3 (counts as dc), *dc2tog; rep from * around, join")
    assert errors(pattern) == [("does_not_fit", 4)]


@pytest.mark.parametrize(
    "notes",
    [
        "Notes\nAll even rounds: sc in each st around.\n",
        "Notes: All even rounds: sc around.\n",
        "Notes:\n- Work in a spiral. Even-numbered rounds: sc around.\n- Stuff as you go.\n",
        "Work all even rounds: sc in each st around.\n",
    ],
)
def test_even_rounds_said_in_the_notes_are_those_that_no_piece_writes(notes: str) -> None:
    pattern = read(
        f"Thing\nTerms: US\n\n{notes}\n"
        "Body\nRnd 1: 6 sc in magic ring [6]\nRnd 3: inc x 6 [12]\nRnd 4: (sc, inc) x 6 [18]\nRnd 5: sc around [18]\n\n"
        "Head\nRnd 1: 8 sc in magic ring [8]\nRnd 3: inc x 8 [16]\n\n"
        "Flag\nRow 1: ch 8, sc in 2nd ch from hook and in each ch across [7]\nRow 2: inc, sc across [8]\n"
    )
    assert [[(entry.first, entry.stitches) for entry in piece.rounds] for piece in pattern.pieces] == [
        [(1, 6), (2, 6), (3, 12), (4, 18), (5, 18)],
        [(1, 8), (2, 8), (3, 16)],
        [(1, 7), (2, 8)],
    ]
    assert not errors(pattern)
    assert any("ven" in note.text for note in pattern.notes)  # it is still read among the notes


def test_a_round_that_the_notes_do_not_speak_of_is_missing() -> None:
    pattern = read(
        "Thing\nTerms: US\n\nNotes\nAll even rounds: sc around.\n\n"
        "Body\nRnd 1: 6 sc in magic ring [6]\nRnd 4: inc x 6 [12]\nRnd 5: sc around [12]\n"
    )
    assert [kind for kind, _ in errors(pattern)] == ["missing_round"]


@pytest.mark.parametrize(
    ("words", "after"),
    [
        ("Work 1 round even in sc.", 4),
        ("1 round even in sc", 4),
        ("Work even for 3 rounds.", 6),
        ("Work even in sc for 3 rounds (12)", 6),
        ("3 rounds even in sc", 6),
        ("Sc around for 3 rounds.", 6),
        ("Rnd 3: work even for 3 rounds (12)", 6),
        ("Rnds 3-5: work even for 3 rounds", 6),
    ],
)
def test_rounds_worked_even_are_as_many_as_is_said(words: str, after: int) -> None:
    pattern, rounds = piece(
        f"Rnd 1: 6 sc in magic ring [6]\nRnd 2: inc x 6 [12]\n{words}\nRnd {after}: (sc, inc) x 6 [18]"
    )
    assert [(entry.first, entry.last, entry.stitches) for entry in rounds[2:]] == [
        (3, after - 1, 12),
        (after, after, 18),
    ]
    assert not pattern.problems


def test_rounds_worked_even_that_are_too_few_for_the_numbers_leave_one_missing() -> None:
    pattern, _ = piece(
        "Rnd 1: 6 sc in magic ring [6]\nRnd 2: inc x 6 [12]\nWork even for 2 rounds.\nRnd 6: (sc, inc) x 6 [18]"
    )
    assert errors(pattern) == [("missing_round", 6)]


@pytest.mark.parametrize(
    "words",
    [
        "Repeat last 2 rows 3 more times.",
        "Repeat the last two rows three more times [10]",
        "Rep previous 2 rows 3 times.",
        "Repeat these 2 rows 3 more times.",
        "Repeat rows 2 and 3 three more times.",
        "Rows 4-9: repeat last 2 rows 3 more times [10]",
        "Rows 4-9: repeat the last 2 rows",
        "Row 4: repeat last 2 rows 3 more times",
    ],
)
def test_the_last_rows_are_repeated_as_often_as_is_said(words: str) -> None:
    """Six stitches; one more in each of rows 3, 5, 7 and 9 (by hand)."""
    pattern, rounds = piece(
        "Row 1: ch 7, sc in 2nd ch from hook and in each ch across [6]\n"
        "Row 2: sc in each st across [6]\nRow 3: inc, sc in each st across [7]\n"
        f"{words}\nRow 10: sc in each st across [10]"
    )
    assert [(entry.first, entry.stitches) for entry in rounds] == [
        (1, 6), (2, 6), (3, 7), (4, 7), (5, 8), (6, 8), (7, 9), (8, 9), (9, 10), (10, 10),
    ]  # fmt: skip
    assert not errors(pattern)


def test_rows_repeated_at_the_end_of_a_piece_are_its_last_ones() -> None:
    pattern, rounds = piece(
        "Row 1: ch 7, sc in 2nd ch from hook and in each ch across [6]\nRow 2: sc in each st across [6]\n"
        "Repeat last row 2 more times."
    )
    assert [(entry.first, entry.last, entry.stitches) for entry in rounds] == [(1, 1, 6), (2, 2, 6), (3, 4, 6)]
    assert not errors(pattern)


def test_a_label_that_stands_for_other_than_the_rows_repeated_is_an_error() -> None:
    pattern, _ = piece(
        "Row 1: ch 7, sc in 2nd ch from hook and in each ch across [6]\nRow 2: sc in each st across [6]\n"
        "Row 3: hdc in each st across [6]\nRows 4-6: repeat last 2 rows 3 more times"
    )
    assert errors(pattern) == [("rounds_miscounted", 6)]


@pytest.mark.parametrize("skipped", ["first dc and ch-1 sp", "first dc and next ch-1 sp"])
def test_a_stitch_and_the_space_after_it_are_skipped_together(skipped: str) -> None:
    """Mesh over mesh: the chain stands on the first of eleven, ten are worked into (by hand)."""
    pattern, rounds = piece(
        "Row 1: Ch 24, dc in 6th ch from hook (5 skipped chs count as 1 dc and ch-1 sp), "
        "*ch 1, sk 1 ch, dc in next ch; rep from * across (11 dc, 10 ch-1 sps)\n"
        f"Row 2: ch 4 (counts as dc and ch-1 sp), turn, sk {skipped}, *dc in next dc, ch 1, sk next ch-1 sp; "
        "rep from * to last st, dc in 4th ch of beg ch-5 (11 dc, 10 ch-1 sps)"
    )
    assert (rounds[1].worked_into, rounds[1].stitches, rounds[1].chain_spaces) == (11, 11, 10)
    assert not pattern.problems
