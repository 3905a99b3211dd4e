"""A crash loses nothing that was answered, and a damaged journal is not thrown away."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from companion.dictation.log import log_name
from companion.dictation.opening import open_dictation
from companion.pattern.model import Pattern

Dictate = Callable[..., list[dict[str, Any]]]


def test_killed_after_an_answer_it_goes_on_where_it_was(out: Path, tmp_path: Path, dictate: Dictate) -> None:
    command = [sys.executable, "-m", "companion", "write-down", "--typed", "--json", "--out", str(out)]
    running = subprocess.Popen(
        [*command, "--state", str(tmp_path / "state")], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    assert running.stdin
    assert running.stdout
    answers = [json.loads(running.stdout.readline())]
    for said in ("new piece called paw", "six single crochet in a magic ring", "next round", "increase six times"):
        running.stdin.write(f"{said}\n")
        running.stdin.flush()
        answers.append(json.loads(running.stdout.readline()))
    os.kill(running.pid, signal.SIGKILL)
    running.communicate()
    assert not out.exists()

    turns = dictate("what have i got", "scratch that", "redo that", "finish")
    assert turns[0]["reply"] == "Paw. Round two. Two single crochet in each stitch around, twelve."
    assert [(turn["piece"], turn["round"], turn["stitches"]) for turn in turns] == [
        ("paw", 2, 12),
        ("paw", 2, 0),
        ("paw", 2, 12),
        ("paw", 2, 12),
    ]
    assert "Rnd 2: inc x 6 [12]" in out.read_text(encoding="utf-8")


def test_an_open_question_is_asked_again(out: Path, tmp_path: Path) -> None:
    with open_dictation(out, state=tmp_path) as dictating:
        for said in ("ten single crochet in a magic ring", "next round", "increase two single crochet"):
            dictating.typed(said)
    with open_dictation(out, state=tmp_path) as dictating:
        assert "I can take that in two ways." in dictating.opening().reply
        (turn,) = dictating.typed("the first")
        assert (turn.accepted, turn.stitches) == (True, 5)


def test_a_damaged_journal_is_kept_and_what_is_sound_taken_over(
    out: Path, tmp_path: Path, dictate: Dictate, pattern: Callable[[], Pattern]
) -> None:
    dictate("six single crochet in a magic ring", "next round", "increase six times")
    journal = tmp_path / "state" / log_name(out)
    damaged = journal.read_bytes().replace(b"1 inc, times 6", b"1 inc, times 9")
    journal.write_bytes(damaged)
    turns = dictate("what have i got")
    assert turns[0]["stitches"] == 0  # the ring and the empty second round; never nine times
    assert list(journal.parent.glob("*.aside-1"))
    assert [entry.stitches for entry in pattern().pieces[0].rounds] == [6]


def test_two_patterns_of_one_name_do_not_share_a_journal(tmp_path: Path) -> None:
    assert log_name(tmp_path / "a" / "hat.txt") != log_name(tmp_path / "b" / "hat.txt")
