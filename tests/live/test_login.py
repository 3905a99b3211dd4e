from __future__ import annotations

import plistlib
import sys
from configparser import RawConfigParser
from pathlib import Path

import pytest

from companion.login import LoginError, login_file, not_at_login, start_at_login


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.delenv("XDG_CONFIG_HOME", raising=False)
    monkeypatch.delenv("APPDATA", raising=False)
    return tmp_path / "home"


@pytest.fixture
def written(tmp_path: Path) -> Path:
    path = tmp_path / "my 100% first mouse.txt"
    path.write_text("Rnd 1: 6 sc in a magic ring [6]", encoding="utf-8")
    return path


def test_a_desktop_finds_an_entry_that_keeps_to_the_specification(home: Path, written: Path) -> None:
    """Desktop Entry Specification 1.5: group, required keys, % doubled, arguments with spaces in double quotes."""
    file = start_at_login(written, platform="linux", home=home)
    assert file == home / ".config" / "autostart" / "companion-crochet.desktop"
    entry = RawConfigParser()
    entry.optionxform = str  # type: ignore[assignment,method-assign]
    entry.read(file, encoding="utf-8")
    values = dict(entry["Desktop Entry"])
    assert values["Type"] == "Application"
    assert values["Exec"].startswith(sys.executable)
    assert values["Exec"].endswith(f'work "{str(written).replace("%", "%%")}" --plain')


def test_macos_finds_an_agent_that_runs_at_login(home: Path, written: Path) -> None:
    agent = plistlib.loads(start_at_login(written, platform="darwin", home=home).read_bytes())
    assert agent["RunAtLoad"] is True
    assert agent["ProgramArguments"][-2:] == [str(written), "--plain"]


def test_windows_finds_a_batch_file_in_the_startup_folder(home: Path, written: Path) -> None:
    file = start_at_login(written, platform="win32", home=home)
    assert file.parent.name == "Startup"
    assert f'"{written}"' in file.read_text(encoding="utf-8")


def test_it_can_be_taken_back(home: Path, written: Path) -> None:
    file = start_at_login(written, home=home)
    assert not_at_login(home=home)
    assert not file.exists()
    assert not not_at_login(home=home), "twice does no harm"


def test_a_pattern_that_is_not_there_is_told(home: Path) -> None:
    with pytest.raises(LoginError, match="There is no pattern"):
        start_at_login(home / "none.txt", home=home)
    assert not login_file(home=home).exists()
