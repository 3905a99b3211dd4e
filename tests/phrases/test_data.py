"""The template file itself: complete, in its own terms, and heard as it is meant."""

from __future__ import annotations

import re

import pytest
from pydantic import ValidationError

from companion.phrases import listing, templates
from companion.phrases.phrasebook import Phrasebook
from companion.phrases.templates import Phrase

COMMANDS = [phrase for phrase in templates.load("commands").phrases if not phrase.decoy]
NAMED = {"go_to_piece", "open_project"}


@pytest.mark.parametrize("phrase", COMMANDS, ids=lambda phrase: phrase.name)
def test_each_command_has_three_ways_to_say_it(book: Phrasebook, phrase: Phrase) -> None:
    examples = ("go to the body", "start the body", "the body") if phrase.name == "go_to_piece" else phrase.examples
    if phrase.name == "open_project":
        examples = ("open the lantern", "load the lantern", "switch to the lantern project")
    assert len(set(examples)) >= 3
    assert phrase.description.endswith(".")
    for example in examples:
        assert [command.name for command in book.parse(example, phrase.contexts)] == [phrase.name], example


def test_templates_put_whole_words_in_their_alternatives() -> None:
    loaded = templates.load("commands")
    texts = [text for phrase in loaded.phrases for block in phrase.blocks for text in block.sentences]
    texts += [rule.text or "" for rule in loaded.intents.expansion_rules.values()]
    for text in texts:
        assert not re.search(r"[a-z'][\[(<{]|[\])>}][a-z]", text), text


def test_every_rule_is_used_and_every_used_rule_exists() -> None:
    loaded = templates.load("commands")
    rules = loaded.intents.expansion_rules
    texts = [text for phrase in loaded.phrases for block in phrase.blocks for text in (*block.sentences, phrase.tail)]
    used = set(re.findall(r"<(\w+)>", " ".join([*texts, *(rule.text or "" for rule in rules.values())])))
    assert used == set(rules)


def test_pairs_name_groups_and_commands_that_exist() -> None:
    loaded = templates.load("commands")
    known = {phrase.group for phrase in loaded.phrases} | {phrase.name for phrase in loaded.phrases}
    for first, seconds in loaded.pairs.items():
        assert {first, *seconds} <= known


def test_the_list_for_people_has_every_command() -> None:
    listed = listing.commands()
    writing = templates.load("dictation").phrases
    assert [command.name for command in listed if command.heading.startswith("Writing")] == [p.name for p in writing]
    assert {command.name for command in listed} == {phrase.name for phrase in (*COMMANDS, *writing)}
    text = "\n".join(listing.as_lines())
    document = listing.as_document()
    for command in listed:
        assert command.description in text
        assert f'"{command.examples[0]}"' in text
        assert f'"{command.examples[0]}"' in document


def test_a_fault_in_the_file_is_found_when_it_is_loaded() -> None:
    with pytest.raises(ValidationError, match="sentences"):
        templates._File.model_validate(
            {"language": "en", "intents": {"next": {"group": "move", "data": [{"sentences": []}]}}}
        )
