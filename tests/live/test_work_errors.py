"""`companion work` where something is missing: one clear sentence with the next step, exit 2, and the place is kept."""

from __future__ import annotations

import functools
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from companion import aloud, resources
from companion.cli import main
from companion.mouth.voice import Voice
from tests.conftest import Typed
from tests.support.soundserver import SoundServer, missing, no_devices

pytestmark = pytest.mark.live

NO_SYNTHESISER = (sys.executable, "-c", """print('{"error": "no library", "kind": "missing"}')""")


@pytest.fixture
def sound() -> Iterator[None]:
    reason = missing()
    if reason:
        pytest.skip(f"the live tests need a private sound server: {reason}")
    with SoundServer(48000):
        yield


def told(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert main(["work", *arguments]) == 2
    printed = capsys.readouterr()
    assert "Traceback" not in printed.err + printed.out
    assert len(printed.err.strip().splitlines()) == 1, printed.err
    return printed.err.strip()


def test_no_pattern(capsys: pytest.CaptureFixture[str]) -> None:
    assert told(capsys) == "Name the pattern to work from, such as `companion work my-pattern.txt`."


def test_no_devices_and_the_place_is_kept(
    pattern: Path, tmp_path: Path, typed: Typed, capsys: pytest.CaptureFixture[str]
) -> None:
    reason = missing()
    if reason:
        pytest.skip(f"the live tests need a private sound server: {reason}")
    typed(pattern, "go to round three", "i have done five")
    with no_devices():
        sentence = told(capsys, str(pattern), "--state", str(tmp_path / "state"))
        assert "No microphone was found; connect one" in sentence
        assert "`--typed`" in sentence
        assert "No microphone was found" in told(capsys, "--practise")
    (turn,) = typed(pattern, "where am i")
    assert (turn["place"]["round"], turn["place"]["stitch"]) == (3, 5)


@pytest.mark.usefixtures("sound")
def test_no_speech_model(
    pattern: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(resources, "models_folder", lambda: tmp_path / "models")
    sentence = told(capsys, str(pattern), "--state", str(tmp_path / "state"))
    assert "run `companion models` to fetch it" in sentence
    sentence = told(capsys, str(pattern), "--state", str(tmp_path / "state"), "--ear", "vosk")
    assert "run `companion models vosk`" in sentence


@pytest.mark.usefixtures("sound")
def test_no_voice(
    pattern: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(aloud, "Voice", functools.partial(Voice, child=NO_SYNTHESISER))
    sentence = told(capsys, str(pattern), "--state", str(tmp_path / "state"))
    assert sentence.startswith("There is no voice")
    if sys.platform == "linux":
        assert "sudo apt-get install espeak-ng" in sentence


def test_practising_over_recordings_that_are_not_there(capsys: pytest.CaptureFixture[str]) -> None:
    assert "no-such.wav" in told(capsys, "--practise", "--hear", "no-such.wav")
