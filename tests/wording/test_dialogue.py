"""What a maker hears, from the written pattern to the sentence: real reader, real place, no sound."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from companion.pattern.model import Terms
from companion.pattern.reader import read
from companion.phrases.templates import load
from companion.place.answers import OpenProject, Silenced, Spelled
from companion.place.work import Work
from companion.wording.odd import odd_words
from companion.wording.sentences import sentences
from companion.wording.speaker import Verbosity, Wording

PATTERN = """Pin Cushion Pear
Terms: US
Hook: 2.5 mm

PEAR (make 1)
Worked in a spiral.
Rnd 1: 6 sc in a magic ring [6]
Rnd 2: inc x 6 [12]
Rnd 3: (sc, inc) x 6 [18]
Rnd 4: (2 sc, inc) x 6 [24]
Rnds 5-7: sc in each st around [24]
Rnd 8: (2 sc, dec) x 6 [18]
Stuff the pear firmly.
Rnd 9: (sc, dec) x 6 [12]
Rnd 10: dec x 6 [6]
"""

UNSURE = """Knob
Terms: US

KNOB
Worked in a spiral.
Rnd 1: 6 sc in a magic ring [6]
Rnd 2: inc x 6 [12]
Rnd 3: 12 sc, wibble the edge [14]
"""

WING = """Felt Owl
Terms: US

WING
Worked in a spiral.
Rnd 1: 8 sc in a magic ring [8]
Rnd 2: sc around [8]
Flatten and sc through both layers [4]. Fasten off leaving a long tail. Fold the tip down.
"""

TUBE = """Rug Peg
Terms: US

PEG
Worked in a spiral.
Rnd 1: 8 sc in a magic ring [8]
Rnd 2: sc around [8]
Rnd 3: in BLO sc around [8]
Rnds 4-7: Repeat rounds 2 and 3 [8]
Rnd 8: sc around [8]. FO
"""

Turn = tuple[str, dict[str, int | str], str]


def hear(text: str, turns: list[Turn], folder: Path, terms: Terms | None = None, verbosity: Verbosity = "full") -> None:
    """Plays the turns and holds each reply against what is expected; a reply may be given by its beginning only."""
    pattern = read(text)
    wording = Wording(pattern, terms, verbosity)
    with Work.open(pattern, folder) as work:
        for command, slots, expected in turns:
            said = wording.say(work.handle(command, slots).answer)
            if expected.endswith("…"):
                assert said.startswith(expected[:-1]), command
            else:
                assert said == expected, command


def test_an_evening_in_full(tmp_path: Path) -> None:
    turns: list[Turn] = [
        ("next", {}, "Round one done, six stitches. Round two. Two single crochet in each stitch around, twelve."),
        (
            "next_round",
            {},
            "Round two done, twelve stitches. Round three. Six times: one single crochet, then one increase. That ends "
            "the repeat. Eighteen stitches.",
        ),
        ("have_done", {"stitches": 6}, "Six made, twelve left."),
        ("more", {"stitches": 3}, "Three more: nine made, nine left."),
        ("stitches_left", {}, "Nine left in round three, nine of eighteen made."),
        ("which_repeat", {}, "Repeat four of six."),
        ("repeats_left", {}, "Three left, counting the one you are on; this is four of six."),
        ("what_stitch", {}, "One single crochet."),
        ("what_next", {}, "Next, one single crochet. Then one increase."),
        ("total_round", {}, "Eighteen stitches in round three."),
        ("total_last", {}, "Twelve stitches in round two."),
        ("rounds_left", {}, "Seven rounds left after this one."),
        (
            "have_done",
            {"stitches": 40},
            "Forty will not fit: round three has eighteen stitches, nine made and nine left. Nothing was moved; count "
            "from the marker and tell me.",
        ),
        ("undo", {}, "Taken back: three more. Round three, six made, twelve left."),
        ("have_done", {"stitches": 3}, "Three made, fifteen left. That is three fewer than before."),
        ("where_am_i", {}, "Round three: three of eighteen made, fifteen left. Repeat two of six."),
        (
            "go_to_round",
            {"round": 6},
            "Round six, the second of three alike. One single crochet in each stitch around, twenty four.",
        ),
        (
            "back_rounds",
            {"rounds": 2},
            "Back two rounds. Round four. Six times: two single crochet, then one increase…",
        ),
        ("which_hook", {}, "The pattern says: two point five millimetres."),
        ("goodbye", {}, "Saved: round four, at its start, twenty four to make. Goodbye, rest your hands."),
    ]
    hear(PATTERN, turns, tmp_path)


def test_a_turning_point_is_told_with_its_reason(tmp_path: Path) -> None:
    turns: list[Turn] = [
        ("go_to_round", {"round": 8}, "Round eight. Six times: two single crochet, then one decrease…"),
        (
            "done",
            {},
            "Round eight done, eighteen stitches. Stuff it now, before the opening gets too small. The pattern "
            "says: Stuff "
            "the pear firmly. After round ten it is too late. Say done that, skip it or later.",
        ),
        ("done_that", {}, "Good. Round nine. Six times: one single crochet, then one decrease. That ends the repeat…"),
    ]
    hear(PATTERN, turns, tmp_path)


def test_what_comes_before_a_turning_point_in_the_pattern_is_said_before_it(tmp_path: Path) -> None:
    turns: list[Turn] = [
        ("next", {}, "Round one done, eight stitches. Round two. One single crochet in each stitch around, eight."),
        (
            "next",
            {},
            "Round two done, eight stitches. The pattern says: Flatten and single crochet through both layers, total "
            "four. Leave a long tail before you fasten off. The pattern says: Fasten off leaving a long tail. Say done "
            "that, skip it or later.",
        ),
        (
            "next",
            {},
            "This comes first. Leave a long tail before you fasten off. The pattern says: Fasten off leaving a long "
            "tail. Say done that, skip it or later.",
        ),
        (
            "done_that",
            {},
            "Good. The pattern says: Fold the tip down. The wing finished: two rounds, sixteen stitches. Everything is "
            "done: one piece, sixteen stitches in all. Well made.",
        ),
    ]
    hear(WING, turns, tmp_path)


def test_that_rounds_are_repeated_is_said_before_the_first_of_them(tmp_path: Path) -> None:
    plain, back = (
        "One single crochet in each stitch around, eight.",
        "in the back loops only. One single crochet in each stitch around, eight.",
    )
    turns: list[Turn] = [
        ("go_to_round", {"round": 3}, f"Round three, {back}"),
        (
            "next",
            {},
            f"Round three done, eight stitches. The pattern says: Repeat rounds two and three, total eight. Round "
            f"four. {plain}",
        ),
        ("next", {}, f"Round four done, eight stitches. Round five, {back}"),
        ("next", {}, f"Round five done, eight stitches. Round six. {plain}"),
        ("next", {}, f"Round six done, eight stitches. Round seven, {back}"),
        ("next", {}, f"Round seven done, eight stitches. Round eight. {plain} Fasten off."),
    ]
    hear(TUBE, turns, tmp_path)


def test_uk_terms_and_numbers_only(tmp_path: Path) -> None:
    turns: list[Turn] = [
        ("next", {}, "Round one done, six. Round two. Two double crochet in each stitch around, twelve."),
        (
            "next",
            {},
            "Round two done, twelve. Round three. Six times: one double crochet, then one increase. Eighteen.",
        ),
        ("have_done", {"stitches": 5}, "Five made, thirteen left. In the middle of stitches into one place."),
        ("stitches_left", {}, "Thirteen."),
        ("where_am_i", {}, "Round three, five of eighteen. Repeat two of six."),
    ]
    hear(PATTERN, turns, tmp_path, "UK", "numbers")


def test_a_total_that_was_not_worked_out_is_the_patterns(tmp_path: Path) -> None:
    turns: list[Turn] = [
        ("next", {}, "Round one done, six stitches…"),
        (
            "next",
            {},
            "Round two done, twelve stitches. There are words here I cannot work out; I read them as written. "
            "Round three. "
            "Twelve single crochet. The pattern says, and I cannot work it out: wibble the edge. The pattern "
            "says fourteen "
            "stitches.",
        ),
        ("stitches_left", {}, "Fourteen left, if the pattern is right: it says fourteen."),
        ("have_done", {"stitches": 4}, "Four made. The pattern says fourteen stitches, so ten left."),
        ("where_am_i", {}, "Round three: four made; the pattern says fourteen."),
    ]
    hear(UNSURE, turns, tmp_path)


def test_the_first_words_of_a_session_and_those_after_a_break(tmp_path: Path) -> None:
    pattern = read(PATTERN)
    wording = Wording(pattern)
    now = 1_000_000.0
    with Work.open(pattern, tmp_path, clock=lambda: now) as work:
        said = wording.say(work.opening().answer)
        assert said.startswith(
            "Pin Cushion Pear. Say help at any time. Now the pear. It is worked in a spiral: no join,"
        )
        assert said.endswith("Round one. Six single crochet in a magic ring. Six stitches.")
        work.handle("next")
        work.handle("have_done", {"stitches": 5})
    now += 86_400
    with Work.open(pattern, tmp_path, clock=lambda: now) as work:
        assert wording.say(work.opening().answer) == (
            "Pin Cushion Pear. You last told me five of twelve in round two; count from the marker and tell me if it "
            "differs."
        )


@pytest.mark.parametrize(
    ("commands", "asked"),
    [
        ([("have_done", {"stitches": 16}), ("have_done", {"stitches": 60})], "Sixteen or sixty?"),
        ([("next", {}), ("next_stitch", {})], "Next or next stitch?"),
        ([("have_done", {"stitches": 16})], "Did you say: I have done sixteen?"),
        ([("back_rounds", {"rounds": 2}), ("rip_back", {"rounds": 2})], "Go back two rounds or rip back two rounds?"),
        ([("go_to_piece", {"piece": "LEG"}), ("go_to_piece", {"piece": "EGG"})], "Go to leg or go to egg?"),
        ([("more", {"stitches": n}) for n in (3, 13, 30)], "Three, thirteen or thirty?"),
    ],
)
def test_what_is_unsure_is_asked_back(commands: list[tuple[str, dict[str, int | str]]], asked: str) -> None:
    assert Wording(read(PATTERN)).ask_back(commands) == asked


def test_lines_outside_the_work() -> None:
    wording = Wording(read(PATTERN))
    assert wording.not_understood() == "I did not understand that; nothing was moved."
    assert "Say help" in wording.not_understood(2)
    assert wording.line("microphone_lost").startswith("The microphone is gone. Your place is saved;")
    assert wording.line("practice_end", right="eight", all="nine") == "That is all. Eight of nine understood."


def test_names_of_the_pattern_are_spelled_and_plain_words_are_not() -> None:
    pattern = read("Skep Cosy\n\nLID\nRnd 1: 6 sc in a magic ring [6]\n")
    wording = Wording(pattern)
    assert odd_words("Skep Cosy. Round one. Six single crochet in a magic ring.", pattern) == ("Skep", "Cosy")
    assert wording.say(Spelled(OpenProject("Skep Cosy", ""))) == "Skep: S, K, E, P. Cosy: C, O, S, Y."
    assert wording.say(Spelled(Silenced())) == "There is no odd word in what I said last."


def test_lines_and_commands_are_filled_without_a_slot_left() -> None:
    wording = Wording(read(PATTERN))
    table = sentences()
    for key in table:
        group, _, name = key.partition(".")
        slots = dict.fromkeys(re.findall(r"{(\w+)}", table[key].full.lower()), "something")
        if group == "session":
            assert re.fullmatch(r"[A-Z].*[.?]", wording.line(name, **slots)), key
        if group == "commands":
            said = wording.command(name, {"stitches": 3} if slots else {})
            assert said, key
            assert not re.search(r"[{}\d]|  ", said), key


def test_every_command_can_be_named() -> None:
    named = {key.removeprefix("commands.") for key in sentences() if key.startswith("commands.")}
    assert {phrase.name for phrase in load("commands").phrases if not phrase.decoy} <= named


STRIP = """Strip
Terms: US
Ch 1 does not count as a stitch.

STRIP
Row 1: ch 11, sc in 2nd ch from hook and in each ch across, turn (10)
Row 2: ch 1, sc in each st across, turn (10)
Edging: sc evenly around{total}
Border: sc in each st around
"""


def test_an_edging_whose_total_nobody_knows_is_worked_through(tmp_path: Path) -> None:
    turns: list[Turn] = [
        ("next", {}, "Row one done, ten stitches. Row two. …"),
        ("next", {}, "Row two done, ten stitches. There are words here I cannot work out; I read them as written. …"),
        ("total_round", {}, "The total of Edging is not known."),
        ("stitches_left", {}, "I cannot say how many are left: the total of Edging is not known. None made."),
        ("have_done", {"stitches": 12}, "Twelve made. How many are left I cannot say, the total is not known."),
        (
            "counted",
            {"stitches": 30},
            "Thirty is eighteen more than you last told me, twelve in Edging. If you only worked on, say I have done "
            "thirty. First count again from edge to edge: …",
        ),
        (
            "stitches_left_project",
            {},
            "At least none left; two rows not counted, since the totals are not known.",
        ),
        ("next", {}, "Edging done. There are words here I cannot work out; I read them as written. Border. …"),
        ("next", {}, "Border done. The strip finished: two rows. Everything is done: one piece."),
    ]
    hear(STRIP.format(total=""), turns, tmp_path)


def test_an_edging_whose_total_is_only_printed_is_said_to_be_the_patterns(tmp_path: Path) -> None:
    turns: list[Turn] = [
        ("next", {}, "Row one done, ten stitches. Row two. …"),
        ("next", {}, "Row two done, ten stitches. There are words here I cannot work out; I read them as written. …"),
        ("total_round", {}, "The pattern says thirty six stitches in Edging; I could not work it out."),
        ("have_done", {"stitches": 12}, "Twelve made. The pattern says thirty six stitches, so twenty four left."),
        ("next", {}, "Edging done; the pattern says thirty six stitches. Border. Thirty six single crochet. …"),
        ("next", {}, "Border done, thirty six stitches. …"),
    ]
    hear(STRIP.format(total=" (36)"), turns, tmp_path)
