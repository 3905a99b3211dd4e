"""`companion work --practise`: ten lines, which are heard badly, and what would help."""

from __future__ import annotations

import io
import json
import subprocess
from pathlib import Path

import pytest

from companion.cli import main
from companion.ear.practise import PHRASES, Attempt
from companion.phrases.phrasebook import Phrasebook
from companion.practice import Practice


def heard(practice: Practice, result: str, *, level: float = -20.0) -> Attempt:
    return Attempt(practice.phrase, result, "undo that", 0.5, level, -60.0, False)  # type: ignore[arg-type]


def test_ten_lines_are_asked_for_and_the_badly_heard_ones_are_told() -> None:
    practice = Practice(Phrasebook())
    words = practice.begin()
    assert "ten short lines" in words
    for number, phrase in enumerate(PHRASES):
        assert practice.phrase == phrase
        assert words.lower().endswith(f"say: {phrase}.")
        if number == 3:
            assert practice.take(heard(practice, "other")).startswith("I took that for: undo that. Once more: ")
            words = practice.take(heard(practice, "other"))
        else:
            words = practice.take(heard(practice, "good"))
            assert words.startswith("Understood.")
    assert practice.over
    closing = practice.closing()
    assert closing.startswith("That is all. Nine of ten understood. Heard badly: go back two rounds. ")
    assert "Instead of go back two rounds you can say: " in closing


def test_a_second_try_counts() -> None:
    practice = Practice(Phrasebook())
    practice.begin()
    practice.take(heard(practice, "unsure"))
    practice.take(heard(practice, "good"))
    assert "One of one understood." in practice.closing()


def test_a_microphone_that_gives_nothing_ends_it_soon() -> None:
    practice = Practice(Phrasebook())
    practice.begin()
    tries = 0
    while not practice.over:
        practice.take(heard(practice, "not heard", level=-float("inf")))
        tries += 1
    assert tries <= 4
    assert practice.closing().startswith("I hear no speech at all.")


def test_in_writing(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("next round\nhow many stitches are left\ni have done sixty\n16\n"))
    assert main(["work", "--practise", "--typed"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[1] == "Understood. Say: how many stitches are left."
    assert lines[3] == "I took that for: I have done sixty. Once more: I have done sixteen."
    assert lines[-1].startswith("That is all. Two of three understood. Heard badly: I have done sixteen.")


@pytest.mark.speech
def test_over_recordings(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    right, wrong = tmp_path / "right.wav", tmp_path / "wrong.wav"
    for path, words in ((right, PHRASES[0]), (wrong, "where am i")):
        subprocess.run(["flite", "-voice", "rms", "-t", words, "-o", str(path)], check=True)
    assert main(["work", "--practise", "--json", "--hear", str(right), str(wrong)]) == 0
    first, second, report = map(json.loads, capsys.readouterr().out.splitlines())
    assert (first["phrase"], first["result"]) == (PHRASES[0], "good")
    assert (second["phrase"], second["result"], second["heard"]) == (PHRASES[1], "other", "where am i")
    assert report["badly_heard"] == [PHRASES[1]]
    assert "other words" in report["advice"]
