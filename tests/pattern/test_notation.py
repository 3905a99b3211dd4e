"""One round at a time, in every notation that is in use."""

from pathlib import Path

import pytest
import yaml

from companion.pattern.model import Pattern, Round, Work
from companion.pattern.reader import read
from companion.pattern.writing import write

NOTATION = yaml.safe_load((Path(__file__).parent / "notation.yaml").read_text(encoding="utf-8"))
SERIOUS = {"total_mismatch", "does_not_fit", "unreadable", "edge_unknown", "reading_assumed"}


def second_round(there: int, words: str) -> tuple[Pattern, Round]:
    pattern = read(f"Thing\nTerms: US\nRnd 1: {there} sc in a magic ring [{there}]\nRnd 2: {words}\n")
    return pattern, pattern.pieces[0].rounds[1]


@pytest.mark.parametrize(("there", "made", "words"), NOTATION["rounds"], ids=[row[2] for row in NOTATION["rounds"]])
def test_a_round_is_read_in_any_notation(there: int, made: int, words: str) -> None:
    pattern, entry = second_round(there, words)
    assert not {p.kind for p in pattern.problems} & SERIOUS
    assert (entry.worked_into, entry.stitches, entry.basis) == (there, made, "worked_out")
    assert sum(step.gives for step in entry.steps) == made


@pytest.mark.parametrize(
    ("there", "made", "spaces", "words"), NOTATION["spaces"], ids=[row[-1] for row in NOTATION["spaces"]]
)
def test_a_first_chain_is_a_stitch_a_space_or_neither(there: int, made: int, spaces: int, words: str) -> None:
    pattern, entry = second_round(there, words)
    assert not {p.kind for p in pattern.problems} & SERIOUS
    assert (entry.worked_into, entry.stitches, entry.chain_spaces) == (there, made, spaces)


@pytest.mark.parametrize(
    ("there", "made", "spaces", "words"), NOTATION["meshes"], ids=[row[-1] for row in NOTATION["meshes"]]
)
def test_what_the_chains_skipped_on_a_foundation_count_as_is_counted(
    there: int, made: int, spaces: int, words: str
) -> None:
    pattern = read(f"Thing\nTerms: US\nRow 1: {words}\n")
    (row,) = pattern.pieces[0].rounds
    assert not pattern.problems
    assert (row.worked_into, row.stitches, row.chain_spaces) == (there, made, spaces)
    again = read(write(pattern)).pieces[0].rounds[0]
    assert (again.stitches, again.chain_spaces) == (made, spaces)


def test_a_space_too_many_printed_is_reported_with_all_that_are_made() -> None:
    """One space before the first stitch, and eight between the nine (by hand)."""
    pattern = read(
        "Thing\nTerms: US\nRow 1: Ch 20, sc in 4th ch from hook (3 skipped chs count as ch-1 sp), "
        "*ch 1, sk 1 ch, sc in next ch; rep from * across (9 sc, 10 ch-1 sps)\n"
    )
    (problem,) = pattern.problems
    assert problem.kind == "total_mismatch"
    assert " 9 " in problem.message
    assert " 10 " in problem.message


def test_a_chain_that_counts_as_a_stitch_and_a_space_says_nothing_of_a_chain_of_that_space() -> None:
    pattern = read(
        "Thing\nTerms: US\nCh 4 counts as dc and ch-1 sp.\nRnd 1: 12 sc in magic ring (12)\n"
        "Rnd 2: ch 1, sc in each st around (12)\n"
    )
    assert pattern.pieces[0].rounds[1].stitches == 12
    assert not [p for p in pattern.problems if p.severity == "error"]


def test_what_a_chain_counts_as_may_be_said_inside_the_bracket_it_stands_in() -> None:
    """Two shells of three double crochet in each of six spaces, the first chain one of them: 6 x 6 (arithmetic)."""
    pattern = read(
        "Square\nTerms: US\nRnd 1: 12 sc in magic ring (12)\n"
        "Rnd 2: (sk 1 st, sc in next st, ch 2) x 6 (6 sc, 6 ch-2 sps)\n"
        "Rnd 3: sl st to ch-2 sp, (ch 3 (counts as dc), 2 dc, ch 2, 3 dc) in same sp, "
        "*(3 dc, ch 2, 3 dc) in next sp; rep from * 4 more times, join (36 dc, 6 ch-2 sps)\n"
    )
    assert not pattern.problems
    assert pattern.pieces[0].rounds[2].stitches == 36


@pytest.mark.parametrize("words", ["2 sc in every other st", "2 hdc in every third st around"])
def test_several_in_every_other_stitch_can_mean_two_things_and_that_is_said(words: str) -> None:
    pattern, _ = second_round(24, words)
    assert "reading_assumed" in {p.kind for p in pattern.problems}


@pytest.mark.parametrize(("there", "made", "words"), NOTATION["either"], ids=[row[2] for row in NOTATION["either"]])
def test_words_with_two_readings_take_the_one_that_adds_up(there: int, made: int, words: str) -> None:
    _, entry = second_round(there, words)
    assert (entry.worked_into, entry.stitches) == (there, made)


def test_the_reading_that_is_not_the_usual_one_is_said() -> None:
    pattern, _ = second_round(12, "sc, inc x 6 (18)")
    assert [p.kind for p in pattern.problems] == ["reading_assumed"]


def test_that_only_the_last_of_it_goes_around_is_said_where_all_of_it_does_not_come_out_even() -> None:
    pattern, entry = second_round(23, "sc, inc around")
    assert entry.stitches == 45
    assert "reading_assumed" in {p.kind for p in pattern.problems}


def test_a_repeat_is_a_tree_and_a_row_of_steps() -> None:
    _, entry = second_round(24, "(3 sc, inc) x 6 [30]")
    (repeat,) = entry.instructions
    assert repeat.times == 6  # type: ignore[union-attr]
    assert repeat.body == (Work("sc", 3), Work("sc", 1, in_one=2))  # type: ignore[union-attr]
    assert [step.gives for step in entry.steps] == [1, 1, 1, 2] * 6
    assert [step.repeat for step in entry.steps] == [n for n in range(1, 7) for _ in range(4)]
    assert {step.repeats for step in entry.steps} == {6}
    assert [step.run for step in entry.steps[:8]] == [0, 0, 0, 1, 2, 2, 2, 3]


def test_two_repeats_in_a_round_are_two_groups() -> None:
    _, entry = second_round(24, "(sc, inc) x 6, (sc, dec) x 4 (26)")
    assert [step.group for step in entry.steps] == [0] * 12 + [1] * 8


def test_loops_shaping_and_invisible_decreases_are_kept() -> None:
    _, entry = second_round(24, "BLO (2 sc, invdec) x 6 [18]")
    (repeat,) = entry.instructions
    assert repeat.body == (  # type: ignore[union-attr]
        Work("sc", 2, loop="back"),
        Work("sc", 1, together=2, loop="back", invisible=True),
    )


def test_the_third_loop_is_kept_and_written_back() -> None:
    pattern, entry = second_round(24, "3rd loop only: 12 hdc, 12 sc")
    assert [(item.stitch, item.loop) for item in entry.instructions] == [("hdc", "third"), ("sc", "third")]  # type: ignore[union-attr]
    assert read(write(pattern)).pieces[0].rounds[1].instructions == entry.instructions


def test_inc_and_dec_are_in_the_stitch_of_the_round() -> None:
    _, entry = second_round(24, "(2 hdc, inc, dec) x 4, 4 hdc")
    assert {step.instruction.stitch for step in entry.steps} == {"hdc"}  # type: ignore[union-attr]


def test_colours_are_on_the_steps() -> None:
    _, entry = second_round(24, "12 sc in red, 12 sc in dark blue (24)")
    assert [step.colour for step in entry.steps if step.gives] == ["red"] * 12 + ["dark blue"] * 12


def test_offsets_point_at_the_words() -> None:
    _, entry = second_round(24, "(3 sc, inc) x 6 [30]")
    (repeat,) = entry.instructions
    start, end = repeat.body[0].at  # type: ignore[union-attr, misc]
    assert entry.text[start:end] == "3 sc"


def test_a_first_stitch_placed_after_its_count_spans_all_its_words() -> None:
    pattern = read("Thing\nTerms: US\nRow 1: Ch 5, 4 sc starting in 2nd ch from hook (4)\n")
    entry = pattern.pieces[0].rounds[0]
    _, work = entry.instructions
    start, end = work.at  # type: ignore[misc]
    assert entry.text[start:end] == "4 sc starting in 2nd ch from hook"
    assert (work.count, work.from_hook) == (4, 2)  # type: ignore[union-attr]


def test_a_count_that_says_where_it_goes_is_never_taken_for_the_total() -> None:
    pattern, _ = second_round(12, "12 sc, sc in next 12 sts")
    assert [p.kind for p in pattern.problems if p.severity == "error"] == ["does_not_fit"]


@pytest.mark.parametrize("made", [28, 30, 31])
def test_what_is_left_out_of_the_last_repeat_is_not_made_up_to_fit_the_total(made: int) -> None:
    """29 are made (24 and six increases, one dc left out): any other total is the pattern's own, and flagged."""
    words = f"*dc in next 3 sts, 2 dc in next st; rep from * around, omitting 1 dc at end of last rep ({made})"
    pattern, entry = second_round(24, words)
    assert entry.basis == "pattern_says" or "total_mismatch" in {p.kind for p in pattern.problems}
    assert pattern.problems


@pytest.mark.parametrize("words", ["sc around twice", "sc in each st around 3 times", "2 sc in each st 6 times"])
def test_a_round_said_to_be_worked_several_times_over_is_not_read_as_one(words: str) -> None:
    pattern, entry = second_round(24, words)
    assert entry.basis == "unknown"
    assert "unreadable" in {p.kind for p in pattern.problems}


@pytest.mark.parametrize("where", ["each st and sp", "each st and ch-1 sp", "each sc and ch sp", "each st and each sp"])
def test_each_said_once_holds_for_stitches_and_spaces(where: str) -> None:
    pattern = read(
        "Thing\nTerms: US\nRow 1: ch 8, sc in 2nd ch from hook and in each ch across (7)\n"
        "Row 2: ch 1, *sc in next st, ch 1; rep from * to last st, sc in last st (7 sc, 6 ch-1 sps)\n"
        f"Row 3: ch 1, sc in {where} across\n"
    )
    assert not {p.kind for p in pattern.problems} & SERIOUS
    assert pattern.pieces[0].rounds[2].stitches == 13  # seven stitches and the six spaces between them


@pytest.mark.parametrize(
    ("begin", "made"),
    [
        ("sl st to next sc, (sk 2 sts, 7 dc in ch-3 sp, sk 2 sts, sl st in next st) around", 80),
        ("sl st in next 2 ch, sc in ch-3 sp, (ch 6, sc in next ch-3 sp) 9 times, ch 6, join", 10),
        (
            "sl st to next ch-3 sp, ch 1, sc in same sp, (ch 6, sc in next sp) 9 times, ch 3, dc in first sc",
            10,
        ),
    ],
)
def test_slip_stitches_to_where_the_round_begins_are_none_of_its_stitches(begin: str, made: int) -> None:
    """Ten points of five single crochet, with three chains in the middle of each (counted by hand)."""
    pattern = read(
        "Thing\nTerms: US\nCh 1 does not count as a stitch.\nRnd 1: 40 sc in a magic ring [40]\n"
        "Rnd 2: *sc in next 3 sts, (sc, ch 3, sc) in next st; rep from * around (50 sc, 10 ch-3 sps)\n"
        f"Rnd 3: {begin} ({made})\n"
    )
    assert not pattern.problems
    assert pattern.pieces[0].rounds[2].stitches == made


def test_a_colour_beside_counted_stitches_is_theirs() -> None:
    _, entry = second_round(6, "2 grey sc, 2 sc light blue, 2 sc A")
    assert [step.colour for step in entry.steps if step.gives] == ["grey"] * 2 + ["light blue"] * 2 + ["A"] * 2
