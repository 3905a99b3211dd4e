"""What tests of the whole program share: a pattern to work, and the typed session as a maker has it."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from companion.cli import main

PATTERN = """\
Test Piece
Terms: US

BALL
Worked in a spiral.
Rnd 1: 6 sc in a magic ring [6]
Rnd 2: inc x 6 [12]
Rnd 3: (sc, inc) x 6 [18]
Rnd 4: (2 sc, inc) x 6 [24]
Rnd 5: (3 sc, inc) x 6 [30]
Rnds 6-7: sc in each st around [30]

NUT (make 2)
Worked in a spiral.
Rnd 1: 6 sc in a magic ring [6]
Rnd 2: inc x 6 [12]
"""

Typed = Callable[..., list[dict[str, Any]]]


@pytest.fixture
def pattern(tmp_path: Path) -> Path:
    """A pattern file whose ball has seven rounds: 6, 12, 18, 24, 30, 30, 30; and a nut to make twice."""
    path = tmp_path / "test-piece.txt"
    path.write_text(PATTERN, encoding="utf-8")
    return path


@pytest.fixture
def typed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Typed:
    """`companion work PATTERN --typed --json` with these lines typed; gives the objects printed for them."""

    def run(pattern: Path, *lines: str, state: Path | None = None) -> list[dict[str, Any]]:
        monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
        folder = state or tmp_path / "state"
        assert main(["work", str(pattern), "--typed", "--json", "--state", str(folder)]) == 0
        printed = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
        return [turn for turn in printed if "heard" in turn]

    return run
