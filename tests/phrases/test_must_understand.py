from __future__ import annotations

from typing import Any

import pytest
import yaml

from companion.phrases import numbers
from companion.phrases.command import Command
from companion.phrases.phrasebook import Phrasebook
from companion.resources import shared_folder

TABLE: dict[str, Any] = yaml.safe_load((shared_folder() / "phrases" / "must_understand.yaml").read_text("utf-8"))
ROWS: list[dict[str, Any]] = [row for part in ("moves", "questions", "talk") for row in TABLE[part]]


@pytest.fixture(scope="module")
def nuts() -> Phrasebook:
    return Phrasebook(TABLE["pieces"], projects=["Lantern"])


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["say"])
def test_word_for_word(nuts: Phrasebook, row: dict[str, Any]) -> None:
    expected = (Command(row["command"], row.get("slots", {})),)
    contexts = row.get("contexts", ["idle"])
    assert nuts.parse(row["say"], contexts) == expected
    assert nuts.parse(row["say"]) == expected, "also where everything may be said"
    assert nuts.grammar(contexts).accepts(row["say"])


WITH_A_NUMBER = [
    row
    for row in ROWS
    if any(isinstance(value, int) and numbers.in_words(value) in row["say"] for value in row.get("slots", {}).values())
]


@pytest.mark.parametrize("row", WITH_A_NUMBER, ids=lambda row: row["say"])
def test_with_other_numbers(nuts: Phrasebook, row: dict[str, Any]) -> None:
    ((slot, value),) = row["slots"].items()
    for number in (1, 2, 13, 30, 99, 100, 117, 200):
        said = row["say"].replace(numbers.in_words(value), numbers.in_words(number))
        assert nuts.parse(said, ["idle"]) == (Command(row["command"], {slot: number}),)
