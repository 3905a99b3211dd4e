from __future__ import annotations

import random
from pathlib import Path
from typing import Any

import pytest
import yaml
from num2words import num2words

from companion.phrases import line_text, numbers
from companion.phrases.command import Command
from companion.phrases.dictation import Dictation
from companion.phrases.graph import Grammar, Node
from companion.resources import shared_folder

MUST: list[dict[str, Any]] = yaml.safe_load(
    (shared_folder() / "phrases" / "must_understand.yaml").read_text(encoding="utf-8")
)["writing"]
SAID = [
    (meaning, sentence)
    for meaning, sentences in yaml.safe_load(
        Path(__file__).with_name("dictation_natural.yaml").read_text(encoding="utf-8")
    ).items()
    for sentence in sentences
]
UK = {"sl st": ["slip stitch"], "sc": ["double crochet"], "hdc": ["half treble"], "dc": ["treble"], "inc": ["increase"]}


@pytest.fixture(scope="module")
def dictation() -> Dictation:
    return Dictation()


@pytest.mark.parametrize("row", MUST, ids=lambda row: row["say"])
def test_word_for_word(dictation: Dictation, row: dict[str, Any]) -> None:
    assert dictation.parse(row["say"], ["writing"]) == (Command(row["command"], row.get("slots", {})),)
    assert dictation.grammar(["writing"]).accepts(row["say"])


@pytest.mark.parametrize(("meaning", "sentence"), SAID, ids=[sentence for _, sentence in SAID])
def test_natural_sentence(dictation: Dictation, meaning: str, sentence: str) -> None:
    found = " + ".join(
        " ".join([command.name, *(f"{slot}={value}" for slot, value in sorted(command.slots.items()))])
        for command in dictation.parse(sentence, ["writing"])
    )
    assert found == ("" if meaning == "nothing" else meaning)


def test_every_count_is_understood_on_either_side_of_the_stitch(dictation: Dictation) -> None:
    for number in numbers.RANGE:
        words = num2words(number, lang="en_GB")
        expected = (Command("stitches", {"line": f"{number} sc"}),)
        assert dictation.parse(f"{words} single crochet", ["writing"]) == expected
        assert dictation.parse(f"single crochet {words}", ["writing"]) == expected
        assert dictation.parse(f"increase {words} times", ["writing"])[0].slots == {"line": f"1 inc, times {number}"}


def test_uk_names_stand_for_the_same_stitches() -> None:
    # Craft Yarn Council, US/UK terms: single crochet is double crochet, double crochet is treble (from memory).
    british = Dictation(UK)
    for said, line in {
        "double crochet two increase six times": "2 sc, 1 inc, times 6",
        "three half trebles two trebles": "3 hdc, 2 dc",
        "five double crochet stitches": "5 sc",
    }.items():
        assert british.parse(said, ["writing"]) == (Command("stitches", {"line": line}),)
    assert british.parse("single crochet two", ["writing"]) == ()


def test_a_long_round_in_one_breath(dictation: Dictation) -> None:
    said = "single crochet two increase " * 8 + "single crochet in each stitch around"
    (command,) = dictation.parse(said, ["writing"])
    assert command.slots["line"] == "2 sc, 1 inc, " * 8 + "1 sc; each"


def test_every_sentence_has_one_meaning(dictation: Dictation) -> None:
    chance = random.Random(3)
    grammar = dictation.grammar(["writing"])
    understood = 0
    for _ in range(200):
        sentence = _a_sentence(grammar, chance)
        meanings = dictation.meanings(sentence, ["writing"]) if sentence else []
        fewest = min(map(len, meanings), default=0)
        assert len([m for m in meanings if len(m) == fewest]) <= 1, sentence
        for commands in meanings:
            for command in commands:
                assert "doubtful" not in command.slots
                if "line" in command.slots:
                    assert line_text.write(line_text.read(str(command.slots["line"]))) == command.slots["line"]
        understood += bool(meanings)
    assert understood > 60


def _a_sentence(grammar: Grammar, chance: random.Random) -> str | None:
    node: Node | None = grammar.start
    text = ""
    while node is not None and len(text) < 200:
        if node.ends and (node.free or not node.chars or chance.random() < (0.3 if len(text) < 60 else 0.8)):
            return text
        char = chance.choice("ab ") if node.free else chance.choice(sorted(node.chars))
        text, node = text + char, node.follow(char)
    return None


def test_answers_only_while_asked(dictation: Dictation) -> None:
    assert dictation.parse("the whole round", ["writing"]) == ()
    assert dictation.parse("the whole round", ["writing", "choosing"])[0].name == "choose_all"
    assert dictation.parse("only the last part", ["writing", "choosing"])[0].name == "choose_last"
    assert dictation.parse("yes", ["writing", "asking"])[0].name == "yes"


def test_each_command_has_three_ways_to_say_it(dictation: Dictation) -> None:
    for phrase in dictation.phrases:
        if phrase.decoy:
            continue
        assert len(phrase.examples) >= 3, phrase.name
        for example in phrase.examples:
            assert phrase.name in [c.name for c in dictation.parse(example, phrase.contexts)], example
