"""An earlier round is split or joined: those after it are worked out again and told, and notes keep to their rounds."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from companion.dictation.draft import Draft, DraftPiece, DraftRound
from companion.dictation.renumber import Shift, renumber
from companion.pattern.model import Pattern

Dictate = Callable[..., list[dict[str, Any]]]

TUBE = (
    "new piece called tube",
    "twelve single crochet in a magic ring",
    "single crochet in each stitch around",
    "single crochet in each stitch around",
    "same again two times",
    "next round",
    "decrease six times",
)
"""Twelve in five rounds, then six."""


def totals(pattern: Pattern) -> list[int | None]:
    return [entry.stitches for piece in pattern.pieces for entry in piece.rounds for _ in range(entry.times)]


def test_a_split_tells_every_total_that_it_changes(dictate: Dictate, pattern: Callable[[], Pattern]) -> None:
    *_, split = dictate(*TUBE, "split round two after nine")
    assert split["reply"].startswith("Round two has nine stitches, round three has the other three.")
    assert "Rounds four to six have three stitches each now, not twelve." in split["reply"]
    assert "Round seven does not fit now: it takes twelve, and there are three." in split["reply"]
    assert totals(pattern())[:6] == [12, 9, 3, 3, 3, 3]


def test_a_join_tells_every_total_that_it_changes(dictate: Dictate, pattern: Callable[[], Pattern]) -> None:
    *_, join = dictate(*TUBE, "put rounds three and four together")
    assert join["reply"].startswith("Rounds three and four are one, of twenty four stitches.")
    assert "Round three does not fit now: it takes twenty four, and there are twelve." in join["reply"]
    assert "Round four has twenty four stitches now, not twelve." in join["reply"]
    assert "Round five does not fit now: it takes twelve, and there are twenty four." in join["reply"]
    assert totals(pattern())[:4] == [12, 12, 24, 24]


def test_a_change_taken_back_is_told_as_well(dictate: Dictate, pattern: Callable[[], Pattern]) -> None:
    *_, back = dictate(*TUBE, "split round two after nine", "scratch that")
    assert "Rounds three to five have twelve stitches each now, not three." in back["reply"]
    assert "Round six fits now, with six stitches." in back["reply"]
    assert totals(pattern()) == [12] * 5 + [6]


def test_what_fits_only_now_is_told(dictate: Dictate) -> None:
    turns = dictate("twelve single crochet in a magic ring", "next round", "did six", "split round one after six")
    assert turns[-1]["reply"] == (
        "Round one has six stitches, round two has the other six. "
        "There are three rounds now; what came after has a number one higher. Round three fits now, with six stitches."
    )


def test_what_is_split_off_a_ring_goes_into_its_stitches(dictate: Dictate, out: Path) -> None:
    dictate("twelve single crochet in a magic ring", "the round ended after six")
    assert out.read_text(encoding="utf-8").splitlines()[-2:] == ["Rnd 1: 6 sc in magic ring [6]", "Rnd 2: 6 sc [6]"]


def test_notes_keep_to_their_rounds(dictate: Dictate, out: Path) -> None:
    said = (
        "note stuff before round three",
        "next round",
        "eyes between rounds three and four",
        "assembly sew the band over rounds 5 and 6",
    )
    turns = dictate(*TUBE, *said, "split round two after nine")
    for note in ("Stuff before round four.", "Place safety eyes between rounds four and five.", "rounds six and seven"):
        assert note in turns[-1]["reply"]
    text = out.read_text(encoding="utf-8")
    assert "stuff before round four" in text
    assert "between rounds 4 and 5" in text
    assert "over rounds 6 and 7" in text
    dictate("scratch that")
    assert "between rounds 3 and 4" in out.read_text(encoding="utf-8")


def test_a_note_on_what_is_gone_is_told_and_left(dictate: Dictate, out: Path) -> None:
    turns = dictate(*TUBE, "eyes between rounds three and four", "put rounds three and four together")
    assert "Look at this note, which names rounds by their old numbers: Place safety eyes" in turns[-1]["reply"]
    assert "between rounds 3 and 4" in out.read_text(encoding="utf-8")


def test_a_scratched_round_takes_its_note_along_and_says_so(dictate: Dictate, out: Path) -> None:
    turns = dictate(*TUBE, "note stuff it now", "scratch the round")
    assert turns[-1]["reply"] == "Round six is empty again. The note that stood there is gone too: Stuff it now."
    assert "stuff" not in out.read_text(encoding="utf-8")


INSERTED_AFTER_4 = Shift(5, 4, 1, written=9)
SPLIT_5 = Shift(5, 5, 1, written=9)
JOIN_5_6 = Shift(5, 6, -1, written=9)


def _renumbered(text: str, shift: Shift) -> str | None:
    """The note after the shift; None where it is to be looked at."""
    piece = DraftPiece("body", rounds=(DraftRound(notes=(text,)),))
    found = renumber(Draft("x", pieces=(piece,)), shift)
    return None if found.doubtful else found.draft.pieces[0].rounds[0].notes[0]


@pytest.mark.parametrize(
    ("note", "split", "join"),
    [
        ("stuff before round 5", "stuff before round 5", "stuff before round 5"),
        ("stuff after round 5", "stuff after round 6", None),
        ("stuff after round six", "stuff after round seven", "stuff after round five"),
        ("mark rounds 3 to 8", "mark rounds 3 to 9", "mark rounds 3 to 7"),
        ("mark rounds 5 to 8", "mark rounds 5 to 9", "mark rounds 5 to 7"),
        ("mark round 5", None, None),
        ("between rounds 5 and 6, 6 stitches apart", "between rounds 6 and 7, 6 stitches apart", None),
        ("in Rnd 7 twenty six sts apart", "in Rnd 8 twenty six sts apart", "in Rnd 6 twenty six sts apart"),
        ("into round 7 and 3 sts on", "into round 8 and 3 sts on", "into round 6 and 3 sts on"),
        ("rounds 1, 2 and 8", None, None),
        ("in the fourth round", "in the fourth round", "in the fourth round"),
        ("in the eighth round", None, None),
        ("before round twenty", None, None),
        ("round it off with 7 knots", "round it off with 7 knots", "round it off with 7 knots"),
    ],
)  # fmt: skip
def test_which_round_a_note_means(note: str, split: str | None, join: str | None) -> None:
    assert (_renumbered(note, SPLIT_5), _renumbered(note, JOIN_5_6)) == (split, join)


@pytest.mark.parametrize(
    ("note", "now"),
    [
        ("after round 4", "after round 4"),
        ("before round 5", "before round 6"),
        ("between rounds 4 and 5", None),
        ("between rounds 5 and 6", "between rounds 6 and 7"),
    ],
)
def test_which_round_a_note_means_after_one_was_inserted(note: str, now: str | None) -> None:
    assert _renumbered(note, INSERTED_AFTER_4) == now


def test_a_step_that_may_mean_another_piece_is_told() -> None:
    ear, body = DraftPiece("ear"), DraftPiece("body")
    steps = ("Sew on at round 7.", "Sew the ear to round 7.", "Sew the cord to round 7 of the body.")
    found = renumber(Draft("x", pieces=(ear, body), assembly=steps), SPLIT_5)
    assert found.doubtful == steps[:2]
    assert found.draft.assembly == (*steps[:2], "Sew the cord to round 8 of the body.")


def test_an_earlier_round_is_taken_out(dictate: Dictate, pattern: Callable[[], Pattern], out: Path) -> None:
    grow = ("six single crochet in a magic ring", "increase six times", "single crochet in each stitch around")
    said = (*grow, "note stuff it here", "decrease six times", "note close before round five", "scratch round two")
    turns = dictate("new piece called bud", *said)
    reply = turns[-1]["reply"]
    assert reply.startswith(
        "Round two is taken out. There are three rounds now; what came after has a number one lower."
    )
    assert "Round two has six stitches now, not twelve." in reply
    assert "Round three does not fit now: it takes twelve, and there are six." in reply
    assert "Close before round four." in reply
    assert totals(pattern()) == [6, 6, 6]
    turns = dictate("scratch that", "scratch round three", "scratch round nine")
    assert "The note that stood there is gone too: Stuff it here." in turns[1]["reply"]
    assert turns[2]["reply"] == "There is no round nine; the last one is round three."
    assert totals(pattern()) == [6, 12, 6]


def test_the_present_round_is_scratched_by_its_number_too(dictate: Dictate) -> None:
    turns = dictate("six single crochet in a magic ring", "increase six times", "scratch round two")
    assert turns[-1]["reply"] == "Round two is empty again."
    assert (turns[-1]["round"], turns[-1]["stitches"]) == (2, 0)


def test_a_round_is_inserted_once_more(dictate: Dictate, pattern: Callable[[], Pattern], out: Path) -> None:
    turns = dictate(
        "six single crochet in a magic ring",
        "increase six times",
        "single crochet in each stitch around",
        "next round",
        "eyes between rounds two and three",
        "note stuff after round three",
        "insert round two again",
    )
    reply = turns[-1]["reply"]
    assert reply.startswith("Round three is round two once more, with twelve stitches.")
    assert "Round three does not fit now: it takes six, and there are twelve." in reply
    assert "Look at this note, which names rounds by their old numbers: Place safety eyes" in reply
    assert "Stuff after round four." in reply
    assert totals(pattern()) == [6, 12, 12, 12]
