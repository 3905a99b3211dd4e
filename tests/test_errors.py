"""Errors that a maker meets: one clear sentence with the next step on standard error, exit 2, never a traceback."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from companion import resources
from companion.cli import main
from tests.conftest import Typed

Fails = Callable[..., str]


@pytest.fixture
def fails(capsys: pytest.CaptureFixture[str]) -> Fails:
    """Runs a command that cannot be done; gives its one sentence."""

    def run(*arguments: str) -> str:
        assert main(list(arguments)) == 2
        printed = capsys.readouterr()
        sentence = printed.err.strip()
        assert "Traceback" not in printed.err + printed.out
        assert len(sentence.splitlines()) == 1, sentence
        return sentence

    return run


@pytest.mark.parametrize("command", ["check", "work"])
def test_a_pattern_that_is_not_there(fails: Fails, command: str) -> None:
    assert "no-such-pattern.txt" in fails(command, "no-such-pattern.txt")


@pytest.mark.parametrize("command", ["check", "work"])
def test_a_folder_instead_of_a_pattern(fails: Fails, command: str, tmp_path: Path) -> None:
    assert "folder" in fails(command, str(tmp_path))


@pytest.mark.parametrize("command", ["check", "work"])
@pytest.mark.parametrize("text", ["", "  \n\n"])
def test_an_empty_pattern(fails: Fails, command: str, text: str, tmp_path: Path) -> None:
    path = tmp_path / "empty.txt"
    path.write_text(text, encoding="utf-8")
    assert "empty" in fails(command, str(path))


def test_a_text_with_nothing_to_work(fails: Fails, tmp_path: Path) -> None:
    path = tmp_path / "letter.txt"
    path.write_text("Dear aunt,\n\nthe weather is fine.\n", encoding="utf-8")
    assert "no rounds" in fails("work", str(path), "--typed", "--state", str(tmp_path / "state"))


@pytest.fixture
def models(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A models folder of its own."""
    folder = tmp_path / "models"
    folder.mkdir()
    monkeypatch.setattr(resources, "models_folder", lambda: folder)
    return folder


def test_the_speech_model_is_missing(fails: Fails, models: Path, tmp_path: Path) -> None:
    assert "companion models" in fails("hear", str(tmp_path / "any.wav"))


def test_the_speech_model_is_damaged(fails: Fails, models: Path, tmp_path: Path) -> None:
    here = Path(resources.__file__).parent.parent / "models" / "english-tiny"
    shutil.copytree(here, models / "english-tiny")
    (models / "english-tiny" / "tokenizer.bin").write_bytes(b"no tokens")
    sentence = fails("hear", str(tmp_path / "any.wav"))
    assert "damaged" in sentence
    assert "companion models" in sentence


def test_a_recording_that_is_not_sound(fails: Fails, tmp_path: Path) -> None:
    path = tmp_path / "letter.wav"
    path.write_text("not sound", encoding="utf-8")
    assert "letter.wav" in fails("hear", str(path))


def test_a_piece_that_is_not_there_is_refused_and_the_pieces_are_named(pattern: Path, typed: Typed) -> None:
    (turn,) = typed(pattern, "go to the wing")
    assert not turn["accepted"]
    assert turn["place"]["piece"] == "BALL"


def test_a_round_that_does_not_exist_is_refused_with_the_last_one(pattern: Path, typed: Typed) -> None:
    (turn,) = typed(pattern, "go to round ninety")
    assert (turn["command"], turn["accepted"]) == ("go_to_round", False)
    assert "seven" in turn["reply"]
