from __future__ import annotations

import json
from pathlib import Path

import pytest

from companion import settings
from companion.cli import main
from companion.mouth.voice import VoiceName, next_voice
from companion.settings import Settings, SettingsError
from tests.conftest import Typed


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(settings, "settings_file", lambda: tmp_path / "config" / "live.json")


def test_what_was_set_is_remembered() -> None:
    settings.save(Settings(voice="en-gb", plain=True, answers="tones"))
    assert settings.load() == Settings(voice="en-gb", plain=True, answers="tones")


def test_with_no_file_the_usual_ones_hold() -> None:
    assert settings.load() == Settings()
    assert not settings.load().keep_recordings, "no sound is kept unless asked"


@pytest.mark.parametrize(
    ("content", "said"), [("{", "mend or delete"), ('{"plain": 3}', "at plain"), ('{"loud": true}', "at loud")]
)
def test_a_damaged_file_is_told_in_one_sentence(content: str, said: str) -> None:
    file = settings.settings_file()
    file.parent.mkdir()
    file.write_text(content, encoding="utf-8")
    with pytest.raises(SettingsError, match=said):
        settings.load()


def test_changes_from_the_command_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["settings", "plain=yes", "voice=en-gb", "keys.f=next round"]) == 0
    shown = capsys.readouterr().out.splitlines()
    assert "plain=yes" in shown
    assert "keys.f=next round" in shown
    kept = json.loads(settings.settings_file().read_text(encoding="utf-8"))
    assert kept["voice"] == "en-gb"
    assert main(["settings", "voice="]) == 0
    assert settings.load().voice is None


@pytest.mark.parametrize("change", ["plain", "no_such=1", "answers=loudly"])
def test_a_wrong_change_is_told_and_changes_nothing(change: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["settings", change]) == 2
    assert capsys.readouterr().err.count("\n") == 1
    assert settings.load() == Settings()


def test_what_is_asked_for_by_word_is_remembered(
    typed: Typed, pattern: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    settings.save(Settings(voice="en-gb"))
    off, beeps, _ = typed(pattern, "turn the beeps off", "beeps only", "how many are left")
    assert (off["command"], off["accepted"], off["reply"]) == ("tones_off", True, "Beeps off.")
    assert "Say talk to me" in beeps["reply"]
    assert settings.load() == Settings(voice="en-gb", tones=False, answers="tones")
    typed(pattern, "talk to me", "turn the beeps on")
    assert settings.load() == Settings(voice="en-gb")


def test_the_next_voice_is_the_one_after_the_present_and_english() -> None:
    voices = [VoiceName(id=f"x/{name}", name=name, languages=(name,)) for name in ("de", "en-gb", "en-us", "fr")]
    assert next_voice(voices, None) == "x/en-gb"
    assert next_voice(voices, "en-gb") == "x/en-us"
    assert next_voice(voices, "x/en-us") == "x/en-gb"
    assert next_voice(voices[:2], "en-gb") is None
