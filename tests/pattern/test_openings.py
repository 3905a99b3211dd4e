"""Chains over skipped stitches: buttonholes, armholes. The printed total shows whether their chains are counted."""

from pathlib import Path
from typing import Any

import pytest
import yaml

from companion.pattern.reader import read
from companion.pattern.writing import write

OPENINGS = yaml.safe_load((Path(__file__).parent / "openings.yaml").read_text(encoding="utf-8"))


def text_of(rows: list[str]) -> str:
    numbered = [f"Row {n}: ch 1, {words}, turn" for n, words in enumerate(rows, 2)]
    first = "Row 1: ch 13, sc in 2nd ch from hook and in each ch across, turn (12)"
    return "\n".join(["Thing", "Terms: US", "Ch 1 does not count as a stitch.", first, *numbered, ""])


@pytest.mark.parametrize("case", OPENINGS, ids=[" / ".join(case["rows"]) for case in OPENINGS])
def test_an_opening_is_counted_as_its_total_counts_it(case: dict[str, Any]) -> None:
    pattern = read(text_of(case["rows"]))
    rows = pattern.pieces[0].rounds[1:]
    assert [row.stitches for row in rows] == case["made"]
    assert [sum(step.gives for step in row.steps) for row in rows] == case["made"]
    assert [p.kind for p in pattern.problems if p.severity == "error"] == case.get("errors", [])
    again = read(write(pattern)).pieces[0].rounds[1:]
    assert [row.stitches for row in again] == case["made"]
