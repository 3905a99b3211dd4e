from __future__ import annotations

import pytest
from num2words import num2words

from companion.phrases import numbers
from companion.phrases.phrasebook import Phrasebook


def test_every_number_is_said_as_num2words_says_it() -> None:
    # Reference: num2words 0.5, languages en and en_GB; hyphens are a matter of writing, not of speaking.
    for number in numbers.RANGE:
        british = num2words(number, lang="en_GB").replace("-", " ")
        assert british in numbers.ways(number)
        assert numbers.in_words(number) == british
        assert num2words(number, lang="en_GB", to="ordinal").replace("-", " ") in numbers.ordinal_ways(number)


def test_no_words_mean_two_numbers() -> None:
    ways = [way for number in numbers.RANGE for way in numbers.ways(number)]
    assert len(ways) == len(set(ways))


@pytest.mark.parametrize(
    "text", ["105", "a hundred and five", "one hundred five", "One Hundred-and-Five", "hundred five"]
)
def test_ways_of_one_number(text: str) -> None:
    assert numbers.value(text) == 105


@pytest.mark.parametrize("text", ["0", "201", "none", "three hundred", "twenty eleven", "", "ninety ten"])
def test_what_is_no_number(text: str) -> None:
    assert numbers.value(text) is None


def test_a_number_outside_is_refused() -> None:
    with pytest.raises(ValueError, match="201"):
        numbers.ways(201)


def test_every_number_is_understood_in_words_and_in_digits(book: Phrasebook) -> None:
    for number in numbers.RANGE:
        written = num2words(number, lang="en_GB")  # with hyphens
        for way in (*numbers.ways(number), str(number), written):
            (command,) = book.parse(f"I have done {way}")
            assert (command.name, command.slots) == ("have_done", {"stitches": number}), way


def test_every_ordinal_is_understood(book: Phrasebook) -> None:
    for number in numbers.RANGE:
        for way in (*numbers.ordinal_ways(number), num2words(number, to="ordinal_num")):
            (command,) = book.parse(f"go to the {way} round")
            assert (command.name, command.slots) == ("go_to_round", {"round": number}), way


@pytest.mark.parametrize(
    "far", ["three hundred", "two hundred and one", "a thousand", "zero", "none", "0", "201", "300", "999"]
)
def test_a_number_beyond_is_in_the_grammar_and_means_nothing(book: Phrasebook, far: str) -> None:
    # So that a recogniser hears it, and does not take it for the nearest number it knows.
    assert book.grammar(["idle"]).accepts(f"i have done {far}")
    assert book.parse(f"i have done {far}") == ()
    assert book.parse(f"go back {far} rounds") == ()
