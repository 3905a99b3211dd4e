"""What the tests of writing down share: `companion write-down`, typed, and what it prints."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from companion.cli import main
from companion.pattern.model import Pattern
from companion.pattern.reader import read

Turns = list[dict[str, Any]]
Dictate = Callable[..., Turns]


@pytest.fixture
def out(tmp_path: Path) -> Path:
    """The file that the pattern is to be written to."""
    return tmp_path / "pocket-otter.txt"


@pytest.fixture
def dictate(out: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Dictate:
    """`companion write-down --typed --json` with these lines typed; gives the objects printed for them."""

    def run(*lines: str, options: tuple[str, ...] = ()) -> Turns:
        monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
        state = str(tmp_path / "state")
        assert main(["write-down", "--typed", "--json", "--out", str(out), "--state", state, *options]) == 0
        printed = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
        return [turn for turn in printed if "heard" in turn]

    return run


@pytest.fixture
def pattern(out: Path) -> Callable[[], Pattern]:
    """The pattern that was written, read again."""
    return lambda: read(out.read_text(encoding="utf-8"))
