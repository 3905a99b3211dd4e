"""`companion work --typed --json`: the contract key for key, and the table of moves to the letter."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from companion.cli import main
from tests.conftest import Typed

TURN_KEYS = {"heard", "command", "slots", "accepted", "reply", "place", "state"}
PLACE_KEYS = ["piece", "copy", "round", "stitch", "stitches", "left", "repeat", "repeats"]


def at(turn: dict[str, Any]) -> tuple[int, int, int]:
    """Round, stitch, left."""
    place = turn["place"]
    return place["round"], place["stitch"], place["left"]


def test_a_turn_has_the_keys_of_the_contract(pattern: Path, typed: Typed) -> None:
    (turn,) = typed(pattern, "i have done three")
    assert set(turn) == TURN_KEYS
    assert list(turn["place"]) == PLACE_KEYS
    assert turn["heard"] == "i have done three"
    assert turn["slots"] == {"stitches": 3}
    assert turn["place"] == {
        "piece": "BALL", "copy": 1, "round": 1, "stitch": 3, "stitches": 6, "left": 3, "repeat": None, "repeats": None,
    }  # fmt: skip


def test_a_new_project_opens_at_the_first_stitch_and_reads_the_round(
    pattern: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.stdin", [])
    main(["work", str(pattern), "--typed", "--json", "--state", str(tmp_path / "state")])
    news = json.loads(capsys.readouterr().out.splitlines()[0])
    assert "heard" not in news
    assert at(news) == (1, 0, 6)
    assert "six single crochet" in news["reply"].lower()


def test_a_pattern_without_a_title_is_called_by_its_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "grey-pocket_mouse.txt"
    file.write_text("Round 1: 6 sc in MR (6)\nRound 2: inc around (12)\n")
    monkeypatch.setattr("sys.stdin", ["which projects have I\n", "open the grey pocket mouse\n"])
    main(["work", str(file), "--typed", "--json", "--state", str(tmp_path / "state")])
    opened, listed, asked, again = (json.loads(line) for line in capsys.readouterr().out.splitlines())
    assert opened["reply"].startswith("Grey pocket mouse. Say help at any time.")
    assert "grey pocket mouse" in listed["reply"]
    assert asked["accepted"]
    assert again["reply"].startswith("Grey pocket mouse.")


# Said, from (what is typed before), to (round, stitch, left), accepted. The rows of the design's table of moves.
MOVES = [
    ("next", ["go to round three", "i have done five"], (4, 0, 24), True),
    ("next round", ["go to round three", "i have done five"], (4, 0, 24), True),
    ("i have done five", ["go to round three"], (3, 5, 13), True),
    ("i'm at stitch five", ["go to round three"], (3, 5, 13), True),
    ("three more", ["go to round three", "i have done five"], (3, 8, 10), True),
    ("i have done eighteen", ["go to round three"], (3, 18, 0), True),
    ("i have done forty", ["go to round three", "i have done five"], (3, 5, 13), False),
    ("twenty more", ["go to round three", "i have done five"], (3, 5, 13), False),
    ("go back two rounds", ["go to round seven", "i have done twelve"], (5, 0, 30), True),
    ("rip back two rounds", ["go to round seven", "i have done twelve"], (7, 12, 18), True),
    ("yes", ["go to round seven", "i have done twelve", "rip back two rounds"], (5, 0, 30), True),
    ("no", ["go to round seven", "i have done twelve", "rip back two rounds"], (7, 12, 18), True),
    ("i counted thirty five", ["go to round five"], (5, 0, 30), True),
    ("how many rounds are left", ["go to round four"], (4, 0, 24), True),
    ("undo that", ["go to round three", "i have done five"], (3, 0, 18), True),
    ("redo that", ["go to round three", "i have done five", "undo that"], (3, 5, 13), True),
    ("stop", ["go to round three", "i have done five"], (3, 5, 13), True),
    ("wait", ["go to round three", "i have done five"], (3, 5, 13), True),
    ("quiet", ["go to round three", "i have done five"], (3, 5, 13), True),
    ("yes", ["go to round three"], (3, 0, 18), False),
    ("no", ["go to round three"], (3, 0, 18), False),
    ("the weather is fine", ["go to round three", "i have done five"], (3, 5, 13), False),
    ("next", ["go to round three", "pause"], (3, 0, 18), False),
    ("where am i", ["go to round three", "pause"], (3, 0, 18), True),
    ("next", ["go to round three", "pause", "resume"], (4, 0, 24), True),
    ("go to round ninety", ["go to round three"], (3, 0, 18), False),
]  # fmt: skip


@pytest.mark.parametrize(("said", "before", "to", "accepted"), MOVES)
def test_the_table_of_moves(
    said: str, before: list[str], to: tuple[int, int, int], accepted: bool, pattern: Path, typed: Typed
) -> None:
    turn = typed(pattern, *before, said)[-1]
    assert (at(turn), turn["accepted"]) == (to, accepted), turn["reply"]


# Said, from, and the words that the reply must hold.
REPLIES = [
    ("i have done twelve", ["go to round five"], ["twelve made", "eighteen left"]),
    ("i have done forty", ["go to round three"], ["forty", "eighteen"]),
    ("how many stitches are left", ["go to round five", "i have done twelve"], ["eighteen left"]),
    ("how many rounds are left", ["go to round four"], ["three", "after this"]),
    ("how many repeats are left", ["go to round five", "i have done twelve"], ["four left", "counting the one"]),
    ("which repeat am i on", ["go to round five", "i have done twelve"], ["three of six"]),
    ("what is the total for this round", ["go to round five"], ["thirty"]),
    ("what was the total of the last round", ["go to round five"], ["twenty four"]),
    ("rip back two rounds", ["go to round seven", "i have done twelve"], ["round five", "seventy two"]),
    ("that's all for today", ["go to round five", "i have done twelve"], ["saved", "round five", "twelve"]),
    ("next", ["go to round four"], ["round four done", "twenty four", "round five", "thirty stitches"]),
    ("i counted thirty five", ["go to round five", "i have done thirty"], ["thirty five", "five", "thirty"]),
    ("go to round ninety", [], ["ninety", "seven"]),
]  # fmt: skip


@pytest.mark.parametrize(("said", "before", "words"), REPLIES)
@pytest.mark.parametrize("verbosity", ["in full", "brief"])
def test_a_reply_says_the_numbers(
    said: str, before: list[str], words: list[str], verbosity: str, pattern: Path, typed: Typed
) -> None:
    reply = typed(pattern, verbosity, *before, said)[-1]["reply"].lower()
    if verbosity == "in full":
        assert all(word in reply for word in words), reply
    else:
        assert words[0].split()[0] in reply, reply


def test_the_place_and_the_conversation_survive_a_restart(pattern: Path, typed: Typed, tmp_path: Path) -> None:
    state = tmp_path / "kept"
    typed(pattern, "go to round five", "i have done twelve", "pause", state=state)
    still_paused = typed(pattern, "next", state=state)[-1]
    assert (at(still_paused), still_paused["accepted"], still_paused["state"]) == ((5, 12, 18), False, "paused")
    assert at(typed(pattern, "resume", "three more", state=state)[-1]) == (5, 15, 15)


def test_a_second_copy_starts_by_itself(pattern: Path, typed: Typed) -> None:
    turn = typed(pattern, "go to the nut", "next", "next", "skip it")[-1]
    assert (turn["place"]["piece"], turn["place"]["copy"], turn["place"]["round"]) == ("NUT", 2, 1)


def test_the_second_one(pattern: Path, typed: Typed) -> None:
    turn = typed(pattern, "go to the nut", "the second one")[-1]
    assert (turn["place"]["piece"], turn["place"]["copy"]) == ("NUT", 2)


def test_two_commands_in_one_breath_are_two_turns(pattern: Path, typed: Typed) -> None:
    first, second = typed(pattern, "next round, how many stitches are left")
    assert (first["command"], second["command"]) == ("next_round", "stitches_left")
    assert at(second) == (2, 0, 12)


def test_goodbye_ends_the_session(pattern: Path, typed: Typed) -> None:
    turns = typed(pattern, "that's all for today", "next")
    assert len(turns) == 1
    assert turns[0]["state"] == "off"


def test_another_project_is_opened_by_its_name(pattern: Path, typed: Typed, tmp_path: Path) -> None:
    other = tmp_path / "cloth.txt"
    other.write_text(
        "Small Cloth\nTerms: US\n\nCLOTH\nRow 1: ch 11, sc in 2nd ch from hook and in each ch across [10]\n"
    )
    state = tmp_path / "kept"
    typed(other, "i have done four", state=state)
    turns = typed(pattern, "open the small cloth", "where am i", state=state)
    assert turns[0]["command"] == "open_project"
    assert (turns[1]["place"]["piece"], turns[1]["place"]["stitch"], turns[1]["place"]["left"]) == ("CLOTH", 4, 6)
