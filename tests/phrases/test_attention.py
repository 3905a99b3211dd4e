"""The attention word: which words can serve, which serve badly, and how a sentence that begins with it is read."""

import pytest

from companion.phrases.attention import chosen, syllables
from companion.phrases.command import Command
from companion.phrases.phrasebook import Phrasebook

ATTENTION = Command("attention")


@pytest.mark.parametrize("word", ["Clementine", "petunia", "hey friend", "O'Malley", "tangerine!"])
def test_any_word_or_two_may_be_chosen(book: Phrasebook, word: str) -> None:
    choice = chosen(word, book)
    assert (choice.fault, choice.doubt) == (None, "")
    assert book.called(choice.word).parse(f"{word}, next round") == (ATTENTION, Command("next_round"))


@pytest.mark.parametrize(
    ("word", "fault"),
    [
        ("", "none"),
        ("?!", "none"),
        ("my dear old friend", "many"),
        ("r2", "letters"),
        ("next", "command"),
        ("okay", "command"),
        ("go back", "command"),
        ("twelve", "command"),
    ],
)
def test_what_cannot_be_told_from_a_command_cannot_serve(book: Phrasebook, word: str, fault: str) -> None:
    assert chosen(word, book).fault == fault


@pytest.mark.parametrize(
    ("word", "doubt"), [("bob", "short"), ("house", "short"), ("stopp", "near"), ("ready", "near"), ("reed", "near")]
)
def test_a_poor_choice_is_told(book: Phrasebook, word: str, doubt: str) -> None:
    choice = chosen(word, book)
    assert (choice.fault, choice.doubt) == (None, doubt)


@pytest.mark.parametrize(
    ("word", "count"), [("bob", 1), ("house", 1), ("table", 2), ("sofa", 2), ("clementine", 3), ("marmalade", 3)]
)
def test_syllables_as_a_dictionary_counts_them(word: str, count: int) -> None:
    """Counts as in CMUdict 0.7b (Carnegie Mellon University), from memory."""
    assert syllables(word) == count


def test_everything_may_still_be_said_without_the_word(book: Phrasebook) -> None:
    called = book.called("clementine")
    for phrase in book.phrases:
        for example in phrase.examples:
            assert called.parse(example) == book.parse(example), example
            if not phrase.decoy:
                assert called.parse(f"clementine {example}") == (ATTENTION, *book.parse(example)), example


def test_the_word_alone_and_two_commands_after_it(book: Phrasebook) -> None:
    called = book.called("clementine")
    assert called.parse("Clementine!") == (ATTENTION,)
    assert [command.name for command in called.parse("clementine, next round, how many stitches are left")] == [
        "attention",
        "next_round",
        "stitches_left",
    ]
    assert called.grammar({"idle"}).accepts("clementine text"), "decoys compete after the word too"
    assert called.parse("clementine text") == ()


def test_without_a_word_nothing_is_changed(book: Phrasebook) -> None:
    book.called("clementine").parse("clementine next")
    assert book.parse("clementine next") == ()
    assert not book.grammar().accepts("clementine")
    assert book.grammar({"idle"}) is book.grammar({"idle"})


def test_silence_answers_and_the_end_of_it_need_no_word(book: Phrasebook) -> None:
    needless = book.unaddressed
    assert {"stop", "wait", "quiet", "attention_off", "yes", "no", "choose"} <= needless
    assert needless.isdisjoint({"next", "have_done", "undo", "rip_back", "done_that", "beat", "resume", "goodbye"})
