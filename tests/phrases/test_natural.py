"""What makers say beside the list: a table of sentences by command, tried as typed text."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from companion.phrases.phrasebook import Phrasebook

SAID = [
    (meaning, sentence)
    for meaning, sentences in yaml.safe_load(Path(__file__).with_name("natural.yaml").read_text("utf-8")).items()
    for sentence in sentences
]


@pytest.mark.parametrize(("meaning", "sentence"), SAID, ids=[sentence for _, sentence in SAID])
def test_natural_sentence(book: Phrasebook, meaning: str, sentence: str) -> None:
    found = " + ".join(
        " ".join([command.name, *(f"{slot}={value}" for slot, value in sorted(command.slots.items()))])
        for command in book.parse(sentence)
    )
    assert found == ("" if meaning == "nothing" else meaning)
