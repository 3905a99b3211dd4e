from __future__ import annotations

import random
from itertools import islice

import pytest
from hassil.parse_expression import parse_sentence
from hassil.sample import sample_expression

from companion.phrases import templates
from companion.phrases.graph import Grammar, Node
from companion.phrases.normal import plain
from companion.phrases.phrasebook import Phrasebook

STATES = (["idle"], ["idle", "asking"], ["idle", "held"], ["idle", "choosing"], ["paused"], None)


def a_sentence(grammar: Grammar, chance: random.Random) -> str | None:
    """A random walk from the start of the grammar to an end; None where it got lost in free words."""
    node: Node | None = grammar.start
    text = ""
    while node is not None and len(text) < 120:
        if node.ends and (node.free or not node.chars or chance.random() < 0.4):
            return text
        text += chance.choice("ab ") if node.free else chance.choice(sorted(node.chars))
        node = grammar.start.walk(text)
    return None


@pytest.mark.parametrize("contexts", STATES, ids=str)
def test_every_sentence_of_the_grammar_has_one_meaning_or_is_a_decoy(
    book: Phrasebook, contexts: list[str] | None
) -> None:
    chance = random.Random(7)
    grammar = book.grammar(contexts)
    understood = 0
    for _ in range(150):
        sentence = a_sentence(grammar, chance)
        if sentence is None:
            continue
        assert grammar.readings(sentence), sentence
        meanings = book.meanings(sentence, contexts)
        fewest = min(map(len, meanings), default=0)
        assert len([m for m in meanings if len(m) == fewest]) <= 1 or " text=" in str(meanings[0][0]), sentence
        understood += bool(meanings)
    assert understood > 30


@pytest.mark.parametrize("contexts", STATES, ids=str)
def test_what_the_grammar_does_not_accept_is_not_understood(book: Phrasebook, contexts: list[str] | None) -> None:
    chance = random.Random(11)
    grammar = book.grammar(contexts)
    for _ in range(150):
        sentence = a_sentence(grammar, chance) or "note"
        place = chance.randrange(len(sentence))
        spoilt = plain(sentence[:place] + chance.choice("abcdefghijklmnopqrstuvwxyz ") + sentence[place + 1 :])
        if not grammar.accepts(spoilt):
            assert book.parse(spoilt, contexts) == ()
        else:
            assert grammar.readings(spoilt)


def test_hassil_reads_the_templates_as_we_do(book: Phrasebook) -> None:
    # Reference: hassil's own sampler, which spells sentences out of the same templates.
    loaded = templates.load("commands")
    lists, rules = loaded.intents.slot_lists, loaded.intents.expansion_rules
    tried = 0
    for phrase in loaded.phrases:
        if phrase.decoy:
            continue
        for block in phrase.blocks:
            for template in block.sentences:
                if any(name in template for name in ("{words", "{piece", "{project", "{ordinal")):
                    continue  # free words, names, and ordinals, which hassil has no words for
                expression = parse_sentence(template).expression
                samples = sample_expression(expression, lists, rules, expand_ranges=False)
                for sample in (text.replace("{number}", "twelve") for text in islice(samples, 5)):
                    names = [c.name for c in book.parse(sample, phrase.contexts)]
                    assert names == [phrase.name], f"{sample!r} of {template!r}"
                    tried += 1
    assert tried > 1000


def test_a_state_is_always_the_same_object(book: Phrasebook) -> None:
    grammar = book.grammar(["idle"])
    assert grammar is book.grammar(["idle"])
    assert grammar.start.walk("next round") is grammar.start.walk("next round")
    assert grammar.start.walk("go to round six") is grammar.start.walk("jump to round six")


@pytest.mark.parametrize(
    ("said", "goes_on"),
    [
        ("i have done thirty", True),  # ... five
        ("i have done thirty five", False),
        ("i have done twelve", False),  # "more" is said without a pause
        ("i have done three", False),  # "three hundred" is a decoy
        ("go to round twenty", True),
        ("go to round six", False),  # a pause within "sixteen" there is not
        ("next", False),  # "round" is said without a pause; if it comes after one, the move is taken back unspoken
        ("next round", False),
        ("go back", True),  # ... two rounds
        ("how many are left", False),  # "in this repeat" after a pause cuts the answer short, and nothing has moved
        ("where am i", False),
        ("undo that", False),
        ("note changed the hook", True),
        ("i counted twelve", False),  # "stitches" would say no more
    ],
)
def test_the_end_of_speech_knows_what_may_follow(book: Phrasebook, said: str, goes_on: bool) -> None:
    node = book.grammar(["idle"]).start.walk(said)
    assert node is not None
    assert node.ends
    assert node.goes_on is goes_on


def test_a_second_command_is_told_apart_from_a_longer_sentence(book: Phrasebook) -> None:
    node = book.grammar(["idle"]).start.walk("next round")
    assert node is not None
    assert node.second
    assert " " in node.chars
    question = book.grammar(["idle"]).start.walk("where am i")
    assert question is not None
    assert not question.second
    both = node.walk(" how many stitches are left in this round")
    assert both is not None
    assert both.ends
    assert not both.second, "two commands a breath, not three"


def test_free_words_are_open_to_anything(book: Phrasebook) -> None:
    node = book.grammar(["idle"]).start.walk("note ")
    assert node is not None
    assert node.free
    assert not node.ends
    tail = node.walk("Zürich, 3.5!")
    assert tail is not None
    assert tail.ends
    assert tail.free


def test_spaces_come_single_and_never_last(book: Phrasebook) -> None:
    grammar = book.grammar(["idle"])
    assert grammar.accepts("on to the next")
    for text in ("on to the next ", " next", "next  round", ""):
        assert not grammar.accepts(text), text


@pytest.mark.parametrize("text", ["i have done twenty-three", "i have done 23", "im at stitch 12", "whats next"])
def test_other_ways_of_writing_are_in_the_grammar(book: Phrasebook, text: str) -> None:
    assert book.grammar(["idle"]).accepts(text)


def test_two_numbers_in_one_template_do_not_multiply() -> None:
    # Only what is walked is made: a few dozen nodes for one sentence, not one for each pair of numbers.
    grammar = Phrasebook(["Body"], projects=["Lantern"]).grammar(["idle"])
    assert grammar.start.walk("go to round one hundred and six i have done one hundred and twelve") is not None
    assert len(grammar._nodes) < 100


def test_nothing_may_be_said_when_it_is_over(book: Phrasebook) -> None:
    assert book.parse("next", []) == ()
    assert not book.grammar([]).start.chars


def test_a_grammar_that_forgot_what_it_worked_out_accepts_the_same() -> None:
    grammar = Phrasebook(["Body"]).grammar(frozenset({"idle"}))
    before = grammar.start
    assert grammar.accepts("go back two rounds")
    grown = grammar.known_nodes
    grammar.forget()
    assert grammar.known_nodes < grown
    assert grammar.accepts("go back two rounds")
    assert before.walk("next round") is not None
    assert not grammar.accepts("go back the round two")
