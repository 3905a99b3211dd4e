from __future__ import annotations

import pytest

from companion.phrases.phrasebook import Phrasebook


def names(book: Phrasebook, text: str, *contexts: str) -> list[str]:
    return [command.name for command in book.parse(text, contexts)]


@pytest.mark.parametrize("said", ["yes", "no", "yes do it", "yes rip it", "go ahead"])
def test_yes_and_no_only_while_a_question_is_open(book: Phrasebook, said: str) -> None:
    assert names(book, said, "idle") == []
    assert not book.grammar(["idle"]).accepts(said)
    assert names(book, said, "idle", "asking")


@pytest.mark.parametrize("said", ["done that", "skip it", "later"])
def test_answers_to_a_hold_only_while_held(book: Phrasebook, said: str) -> None:
    assert names(book, said, "idle") == []
    assert names(book, said, "idle", "held")


def test_done_is_the_round_even_while_held(book: Phrasebook) -> None:
    assert names(book, "done", "idle", "held") == ["done"]


@pytest.mark.parametrize("said", ["go", "know", "oh", "guess", "i know", "oh no", "nobody"])
def test_decoys_compete_with_yes_and_no(book: Phrasebook, said: str) -> None:
    assert book.grammar(["idle", "asking"]).accepts(said)
    assert names(book, said, "idle", "asking") == []


def test_any_command_may_be_said_while_a_question_is_open(book: Phrasebook) -> None:
    for said in ("next", "i have done twelve", "where am i", "undo that"):
        assert names(book, said, "idle", "asking"), said


def test_a_pause_lets_through_only_what_ends_it_or_asks_the_place(book: Phrasebook) -> None:
    through = {
        phrase.name for phrase in book.phrases if any(names(book, example, "paused") for example in phrase.examples)
    }
    assert through == {"resume", "where_am_i", "goodbye", "stop", "wait", "quiet"}


def test_a_bare_number_only_when_asked_which(book: Phrasebook) -> None:
    assert names(book, "sixteen", "idle") == []
    assert book.grammar(["idle"]).accepts("sixteen"), "heard, so that it is taken for nothing else"
    assert names(book, "sixteen", "idle", "choosing") == ["choose"]
