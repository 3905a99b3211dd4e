"""Typed dialogues with their exact totals, and the pattern that comes of them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from companion.cli import main
from companion.dictation.figures import in_figures
from companion.pattern.model import Pattern

Dictate = Callable[..., list[dict[str, Any]]]

BALL = [  # common practice, no source: six in a ring, six more a round, straight, and back
    ("new piece called body", 0),
    ("six single crochet in a magic ring", 6),
    ("next round", 0),
    ("increase six times", 12),
    ("next round", 0),
    ("single crochet one increase repeat six times", 18),
    ("next round", 0),
    ("single crochet two, increase, six times", 24),
    ("next round", 0),
    ("single crochet in each stitch around", 24),
    ("same again four times", 24),
    ("next round", 0),
    ("single crochet two, decrease, six times", 18),
    ("next round", 0),
    ("single crochet one decrease repeat six times", 12),
    ("next round", 0),
    ("decrease six times", 6),
    ("finish", 6),
]
TOTALS = [6, 12, 18, 24, 24, 24, 24, 24, 24, 18, 12, 6]


def totals(pattern: Pattern) -> list[int | None]:
    return [entry.stitches for piece in pattern.pieces for entry in piece.rounds for _ in range(entry.times)]


def written(out: Path) -> list[str]:
    return out.read_text(encoding="utf-8").splitlines()


def test_a_pattern_of_twelve_rounds(
    dictate: Dictate, pattern: Callable[[], Pattern], out: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    turns = dictate(*(said for said, _ in BALL))
    assert [(turn["accepted"], turn["stitches"]) for turn in turns] == [(True, stitches) for _, stitches in BALL]
    assert [turn["piece"] for turn in turns] == ["body"] * len(BALL)
    assert turns[-1]["round"] == 12
    assert totals(pattern()) == TOTALS
    assert not pattern().problems
    assert main(["check", str(out)]) == 0
    assert capsys.readouterr().out.endswith("No problems found.\n")
    assert written(out)[4:] == [
        "BODY (make 1)",
        "Rnd 1: 6 sc in magic ring [6]",
        "Rnd 2: inc x 6 [12]",
        "Rnd 3: (1 sc, inc) x 6 [18]",
        "Rnd 4: (2 sc, inc) x 6 [24]",
        "Rnds 5-9: 24 sc [24]",
        "Rnd 10: (2 sc, dec) x 6 [18]",
        "Rnd 11: (1 sc, dec) x 6 [12]",
        "Rnd 12: dec x 6 [6]",
    ]


def test_the_object_of_the_contract(dictate: Dictate) -> None:
    (turn,) = dictate("six single crochet in a magic ring")
    assert list(turn) == ["heard", "command", "slots", "accepted", "reply", "piece", "round", "stitches"]
    assert turn["command"] == "stitches"
    assert turn["reply"] == "Round one. Six single crochet in a magic ring. Six stitches."


def test_a_round_is_answered_with_its_structure_and_total(dictate: Dictate) -> None:
    turns = dictate(*(said for said, _ in BALL[:8]))
    assert turns[-1]["reply"] == (
        "Round four. Six times: two single crochet, then one increase. That ends the repeat. Twenty four stitches."
    )


def test_a_round_that_does_not_fit_is_said_at_once(dictate: Dictate, pattern: Callable[[], Pattern]) -> None:
    turns = dictate(*(said for said, _ in BALL[:9]), "single crochet three, decrease, five times", "next round")
    assert "That takes twenty five, there are twenty four." in turns[-2]["reply"]
    assert "it takes twenty five, and there are twenty four" in turns[-1]["reply"]
    assert [problem.kind for problem in pattern().errors] == ["does_not_fit"]


def test_a_round_in_several_breaths(dictate: Dictate, pattern: Callable[[], Pattern]) -> None:
    turns = dictate(*(said for said, _ in BALL[:5]), "single crochet one", "increase", "six times")
    assert [turn["stitches"] for turn in turns[-3:]] == [1, 3, 18]
    assert "One so far. That takes one of twelve, with eleven left." in turns[-3]["reply"]
    assert totals(pattern()) == [6, 12, 18]


def test_a_full_round_goes_on_to_the_next_by_itself(dictate: Dictate, pattern: Callable[[], Pattern]) -> None:
    turns = dictate(*(said for said, _ in BALL if said != "next round"))
    assert [turn["round"] for turn in turns] == [1, 1, 2, 3, 4, 5, 9, 10, 11, 12, 12]
    assert totals(pattern()) == TOTALS


# --- what a closing covers ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("below", "line", "total"),
    [("eighteen", "(2 sc, inc) x 6", 24), ("eight", "2 sc, inc x 6", 14)],
    ids=["all of it", "the last part"],
)
def test_a_closing_covers_what_fits_the_round_below(
    dictate: Dictate, out: Path, below: str, line: str, total: int
) -> None:
    turns = dictate(
        f"{below} single crochet in a magic ring", "next round", "single crochet two, then do increase, six times"
    )
    assert turns[-1]["stitches"] == total
    assert written(out)[-1] == f"Rnd 2: {line} [{total}]"


def test_where_neither_fits_it_asks(dictate: Dictate) -> None:
    turns = dictate(
        "ten single crochet in a magic ring", "next round", "single crochet two, then do increase, six times"
    )
    assert turns[-1]["stitches"] == 0
    assert turns[-1]["reply"] == (
        "I can take that in two ways. The first: Six times: two single crochet, then one increase. "
        "That ends the repeat. Twenty four stitches. The second: Two single crochet, then six increases. "
        "Fourteen stitches. Say the first, or the second."
    )


def test_where_both_fit_it_asks(dictate: Dictate) -> None:
    turns = dictate("nine single crochet in a magic ring", "next round", "increase two single crochet three times")
    assert turns[-1]["stitches"] == 0
    assert "Fifteen stitches. The second:" in turns[-1]["reply"]
    assert "Twelve stitches. Say the first" in turns[-1]["reply"]


def test_the_answer_to_which_is_meant(dictate: Dictate) -> None:
    start = ("ten single crochet in a magic ring", "next round", "single crochet two, then do increase, six times")
    whole, last = "the whole round", "only the last part"
    assert dictate(*start, whole)[-1]["stitches"] == 24
    turns = dictate("scratch the round", start[-1], last)
    assert turns[-1]["stitches"] == 14
    assert "That takes eight of ten, with two left." in turns[-1]["reply"]


def test_finishing_waits_for_the_answer(dictate: Dictate, pattern: Callable[[], Pattern]) -> None:
    turns = dictate(
        "six single crochet in a magic ring", "next round", "increase two single crochet", "finish", "the second"
    )
    assert not turns[-2]["accepted"]
    assert turns[-1]["stitches"] == 4
    assert totals(pattern()) == [6, 4]


def test_an_answer_nobody_asked_for(dictate: Dictate) -> None:
    turns = dictate("six single crochet in a magic ring", "the whole round", "yes")
    assert [turn["accepted"] for turn in turns] == [True, False, False]
    assert turns[-1]["stitches"] == 6


# --- corrections -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "correction", "stitches"),
    [
        ("six single crochet in a magic ring", "no, five, not six", 5),
        ("six single crochet in a magic ring", "I meant eight", 8),
        ("six single crochet in a magic ring", "no, single crochet seven in a magic ring", 7),
        ("six single crochet in a magic ring", "scratch that", 0),
    ],
)
def test_corrections(dictate: Dictate, said: str, correction: str, stitches: int) -> None:
    turns = dictate("new piece called body", said, correction)
    assert turns[-1]["accepted"]
    assert turns[-1]["stitches"] == stitches


def test_a_correction_reaches_back_over_next_round(dictate: Dictate, pattern: Callable[[], Pattern]) -> None:
    turns = dictate("six single crochet in a magic ring", "next round", "no, five, not six", "increase five times")
    assert turns[-1]["round"] == 2
    assert totals(pattern()) == [5, 10]


def test_a_decrease_instead_of_an_increase(dictate: Dictate, pattern: Callable[[], Pattern]) -> None:
    dictate("twelve single crochet in a magic ring", "next round", "increase six times", "increase not decrease")
    assert totals(pattern()) == [12, 12]
    dictate("decrease not increase")
    assert totals(pattern()) == [12, 6]


@pytest.mark.parametrize("said", ["no, nine, not eight", "no, five, not six"])
def test_a_correction_that_is_not_clear_changes_nothing(dictate: Dictate, said: str) -> None:
    turns = dictate(
        "twelve single crochet in a magic ring", "next round", "six single crochet, increase, six times", said
    )
    assert not turns[-1]["accepted"]
    assert turns[-1]["stitches"] == turns[-2]["stitches"]


def test_everything_can_be_scratched_and_said_again(dictate: Dictate, pattern: Callable[[], Pattern]) -> None:
    turns = dictate(*(said for said, _ in BALL[:8]), *["scratch that"] * 9)
    assert [turn["accepted"] for turn in turns[8:]] == [True] * 8 + [False]
    assert turns[-1]["piece"] is None
    turns = dictate(*["redo that"] * 9)
    assert [turn["accepted"] for turn in turns] == [True] * 8 + [False]
    assert totals(pattern()) == TOTALS[:4]


def test_a_total_is_held_against_what_was_worked_out(dictate: Dictate) -> None:
    turns = dictate("six single crochet in a magic ring", "that makes six", "that makes seven")
    assert [turn["accepted"] for turn in turns[1:]] == [True, False]
    assert turns[-1]["reply"] == "You said seven; I work out six."
    turns = dictate("next round", "increase six times that makes fourteen")
    assert turns[-1]["reply"].endswith("You said fourteen; I work out twelve.")
    assert turns[-1]["stitches"] == 12


# --- everything else that is written -----------------------------------------------------------------------------


def test_copies_colours_notes_and_eyes(dictate: Dictate, pattern: Callable[[], Pattern], out: Path) -> None:
    turns = dictate(
        "the pattern is called evening otter",
        "the hook is three millimetres",
        "new piece called ear",
        "make two of these",
        "work in a spiral",
        "six single crochet in a magic ring",
        "next round",
        "change to dark green",
        "increase six times",
        "note, stuff before closing",
        "eyes between rounds one and two six stitches apart",
        "finish",
    )
    assert all(turn["accepted"] for turn in turns)
    assert "small parts" in turns[-2]["reply"]
    found = pattern()
    assert (found.title, found.hook) == ("Evening otter", "3 mm")
    assert "child under three" in found.cautions[0]
    (piece,) = found.pieces
    assert (piece.name, piece.make, piece.shape) == ("EAR", 2, "spiral")
    assert totals(found) == [6, 12]
    assert written(out)[-3:] == [
        "Rnd 2: with dark green, inc x 6 [12]",
        "Note: stuff before closing",
        "Place safety eyes between rounds 1 and 2, 6 stitches apart.",
    ]
    assert [note.kind for note in piece.rounds[-1].notes] == ["stuffing", "eyes"]


def test_a_colour_is_not_repeated_with_the_stitches(dictate: Dictate, out: Path) -> None:
    dictate(
        "six single crochet in a magic ring", "next round", "change to blue", "single crochet, increase, three times"
    )
    assert written(out)[-1] == "Rnd 2: with blue, (1 sc, inc) x 3 [9]"


def test_the_same_again_goes_on_in_its_colour(dictate: Dictate, out: Path) -> None:
    dictate(
        "six single crochet in a magic ring",
        "next round",
        "change to blue",
        "single crochet in each stitch around",
        "same again twice",
        "change to red",
        "same again",
    )
    assert written(out)[-3:] == ["Rnd 2: with blue, 6 sc [6]", "Rnds 3-4: 6 sc [6]", "Rnd 5: with red, 6 sc [6]"]


def test_rounds_by_their_number(dictate: Dictate, pattern: Callable[[], Pattern]) -> None:
    turns = dictate(
        "six single crochet in a magic ring",
        "rounds two to five",
        "single crochet in each stitch around",
        "round six single crochet in each stitch around for three rounds",
        "round twelve",
    )
    assert [turn["round"] for turn in turns] == [1, 5, 5, 8, 8]
    assert not turns[-1]["accepted"]
    assert totals(pattern()) == [6] * 8


def test_a_first_round_into_nothing_that_was_said(dictate: Dictate, pattern: Callable[[], Pattern]) -> None:
    dictate("thirty single crochet", "next round", "single crochet in each stitch around")
    assert totals(pattern()) == [30, 30]
    assert not pattern().problems


def test_rows(dictate: Dictate, out: Path, pattern: Callable[[], Pattern]) -> None:
    turns = dictate(
        "chain seven",
        "next row",
        "single crochet six starting in the second chain from the hook turn",
        "next row",
        "single crochet in each stitch across turn",
    )
    assert [turn["stitches"] for turn in turns] == [0, 0, 6, 0, 6]
    assert [entry.kind for entry in pattern().pieces[0].rounds] == ["row", "row"]
    assert not pattern().problems


def test_uk_terms(dictate: Dictate, pattern: Callable[[], Pattern], out: Path) -> None:
    # Craft Yarn Council, US/UK terms: single crochet is double crochet (from memory).
    turns = dictate(
        "six double crochet in a magic ring",
        "next round",
        "double crochet one increase repeat three times",
        options=("--terms", "UK"),
    )
    assert turns[-1]["stitches"] == 9
    assert "one double crochet, then one increase" in turns[-1]["reply"]
    assert written(out)[-1] == "Rnd 2: (1 dc, inc) x 3 [9]"
    assert pattern().terms == "UK"
    assert not pattern().problems


def test_what_was_done_becomes_a_round(dictate: Dictate, pattern: Callable[[], Pattern], out: Path) -> None:
    dictate("twenty single crochet in a magic ring", "next round", "did eighteen, two increases")
    assert written(out)[-1] == "Rnd 2: 18 sc, inc x 2 [22]"


def test_runs_become_repeats_and_equal_rounds_ranges(dictate: Dictate, out: Path) -> None:
    ear = "single crochet two increase single crochet two increase single crochet two increase"
    dictate("nine single crochet in a magic ring", ear, "single crochet twelve", "single crochet in each stitch around")
    assert written(out)[-2:] == ["Rnd 2: (2 sc, inc) x 3 [12]", "Rnds 3-4: 12 sc [12]"]


# --- reading back, and names -------------------------------------------------------------------------------------


def test_reading_back(dictate: Dictate) -> None:
    turns = dictate(
        "read it back", "what have i got", *(said for said, _ in BALL[:5]), "read it back", "what have i got"
    )
    assert [turn["reply"] for turn in turns[:2]] == ["Nothing is written yet."] * 2
    assert turns[-2]["reply"] == "Round two. Two single crochet in each stitch around, twelve."
    assert turns[-1]["reply"] == ("Body, round three, nothing in it yet. The round before it has twelve stitches.")
    everything = dictate("read the whole pattern")[0]["reply"]
    assert everything.startswith("Body. Round one. Six single crochet in a magic ring.")


@pytest.mark.parametrize("name", ["round six", "left ear (make 3)", "body: 6 sc"])
def test_a_name_that_would_be_read_as_something_else(dictate: Dictate, name: str) -> None:
    turns = dictate(f"new piece called {name}", "six single crochet in a magic ring")
    assert turns[-1]["stitches"] == 6
    assert turns[0]["accepted"] == (turns[-1]["piece"] == name)


@pytest.mark.parametrize("text", ["six single crochet", "rnd 7: 40 sc", "assembly", "left ear (make 2)", "hook 3 mm"])
def test_a_note_stays_a_note(dictate: Dictate, pattern: Callable[[], Pattern], text: str) -> None:
    dictate("six single crochet in a magic ring", f"note {text}", "next round", "increase six times")
    assert len(pattern().pieces) == 1
    assert totals(pattern()) == [6, 12]


def test_two_pieces_of_one_name(dictate: Dictate) -> None:
    turns = dictate("new piece called ear", "six single crochet in a magic ring", "new piece called ear")
    assert not turns[-1]["accepted"]


def test_paused(dictate: Dictate) -> None:
    turns = dictate("six single crochet in a magic ring", "pause", "next round", "resume", "next round")
    assert [turn["accepted"] for turn in turns] == [True, True, False, True, True]
    assert turns[-1]["round"] == 2


def test_what_is_not_understood_writes_nothing(dictate: Dictate, out: Path) -> None:
    (turn,) = dictate("the kettle is on")
    assert (turn["command"], turn["accepted"]) == (None, False)
    assert not out.exists()


def test_the_end_of_the_lines_finishes_too(dictate: Dictate, pattern: Callable[[], Pattern]) -> None:
    dictate("six single crochet in a magic ring")
    assert totals(pattern()) == [6]


def test_somebody_elses_file_is_kept(dictate: Dictate, out: Path) -> None:
    out.write_text("A letter\n", encoding="utf-8")
    turns = dictate("six single crochet in a magic ring", "finish")
    assert out.with_name(f"{out.name}.aside-1").read_text(encoding="utf-8") == "A letter\n"
    assert "kept as" in turns[-1]["reply"]
    dictate("next round", "increase six times", "finish")  # its own file is replaced
    assert not out.with_name(f"{out.name}.aside-2").exists()


def test_a_line_that_was_asked_about_is_not_dropped_in_silence(dictate: Dictate) -> None:
    start = ("ten single crochet in a magic ring", "next round", "single crochet two, then do increase, six times")
    turns = dictate(*start, "single crochet in each stitch around")
    assert turns[-1]["reply"].startswith("The line I asked about is left out. Round two.")


def test_after_a_round_that_takes_too_many_comes_the_next(dictate: Dictate) -> None:
    turns = dictate("five single crochet in a magic ring", "increase six times", "single crochet in each stitch around")
    assert [(turn["round"], turn["stitches"]) for turn in turns] == [(1, 5), (2, 12), (3, 12)]


def test_what_a_pattern_says_beside_its_rounds(dictate: Dictate, pattern: Callable[[], Pattern], out: Path) -> None:
    turns = dictate(
        "designed by the sofa workshop",
        "the hook is two and a half millimetres",
        "the gauge is twenty eight stitches and thirty rounds to ten centimetres",
        "also needed stuffing",
        "also needed two buttons",
        "six single crochet in a magic ring",
        "last of all sew on the buttons",
    )
    assert all(turn["accepted"] for turn in turns)
    found = pattern()
    assert (found.designer, found.hook) == ("the sofa workshop", "2.5 mm")
    assert found.gauge == "28 stitches and 30 rounds to 10 cm"
    assert found.materials == ("stuffing", "two buttons")
    assert [note.text for note in found.assembly] == ["Sew on the buttons."]


@pytest.mark.parametrize(
    ("said", "written"),
    [
        ("three point five millimetres", "3.5 mm"),
        ("three and three quarters millimetres", "3.75 mm"),
        ("five stitches to an inch", "5 stitches to 1 inch"),
        ("one hundred and twenty eight stitches", "128 stitches"),
    ],
)
def test_spoken_measures_in_figures(said: str, written: str) -> None:
    assert in_figures(said) == written
