"""The second opinion: letters are weighed by all their alignments, and lead to the sentences that they spell."""

from collections.abc import Callable
from itertools import groupby, product
from pathlib import Path

import numpy as np
import pytest

from companion.ear.decide import edits
from companion.ear.letter_search import LetterTree, spelled_best
from companion.ear.letters import ALPHABET, CLASS_OF, Floats, Letters, disagreement, in_letters
from companion.ear.models import EMBEDDED, require
from companion.ear.network import Network
from companion.ear.recogniser import RATE
from companion.ear.recording import read_recording
from companion.phrases.phrasebook import Phrasebook

IDLE = frozenset({"idle"})


def spelled(row: tuple[int, ...]) -> str:
    """What a row of classes spells: runs of one class are one, and class 0 is nothing."""
    return "".join(ALPHABET[number - 1] for number, _ in groupby(row) if number)


def test_all_alignments_of_a_text_count() -> None:
    """Against the definition in Graves et al. 2006, section 3: the sum over all rows of classes that spell the text."""
    few = [0, CLASS_OF["o"], CLASS_OF["n"]]
    chances = np.random.default_rng(3).dirichlet([1, 1, 1], 6)
    heard = np.full((6, len(ALPHABET) + 1), -1e9, np.float32)
    heard[:, few] = np.log(chances)
    for text in ("on", "no", "noon", "o", "oo", "noo"):
        rows = [row for row in product(range(3), repeat=6) if spelled(tuple(few[i] for i in row)) == text]
        total = sum(np.prod([chances[frame, i] for frame, i in enumerate(row)]) for row in rows)
        expected = np.log(total) - np.log(chances.max(axis=1)).sum()
        assert disagreement(heard, [text])[0] == pytest.approx(min(0, expected), abs=1e-4)


def test_texts_of_all_lengths_are_weighed_together_as_alone() -> None:
    heard = np.log(np.random.default_rng(5).dirichlet(np.ones(len(ALPHABET) + 1), 40)).astype(np.float32)
    texts = ["next", "i have done one hundred", "no", "a long sentence that has no room in so few frames at all"]
    alone = [disagreement(heard, [text])[0] for text in texts]
    assert disagreement(heard, texts) == pytest.approx(alone)


@pytest.mark.parametrize(
    ("text", "letters"),
    [
        ("I have done 105.", "i have done one hundred and five"),
        ("the 23rd round", "the twenty third round"),
        ("twenty-three", "twenty three"),
        ("don't stop!", "don't stop"),
    ],
)
def test_a_text_is_spelled_as_it_is_spoken(text: str, letters: str) -> None:
    assert in_letters(text) == letters


def sound_of(text: str, mistaken: dict[int, str]) -> Floats:
    """Letters that are all but certain, each followed by a frame without one; some are taken for another."""
    said = [mistaken.get(at, letter) for at, letter in enumerate(text)]
    heard = np.full((2 * len(said), len(ALPHABET) + 1), np.log(0.1 / len(ALPHABET)), np.float32)
    for at, letter in enumerate(said):
        heard[2 * at, CLASS_OF[letter]] = heard[2 * at + 1, 0] = np.log(0.9)
    return heard


def test_the_sentence_that_the_letters_spell_is_found_though_one_is_misheard() -> None:
    tree = LetterTree(Phrasebook(["Body"]).grammar(IDLE))
    found = spelled_best(sound_of("how many stitches are left", {1: "e", 12: "d"}), tree)
    assert found[0][0] == "how many stitches are left"
    assert [score for _, score in found] == sorted((score for _, score in found), reverse=True)


def test_an_open_tail_holds_any_letters() -> None:
    tree = LetterTree(Phrasebook(["Body"]).grammar(IDLE))
    found = [text for text, _ in spelled_best(sound_of("note bring a smaller hook", {}), tree)]
    assert "note " in found


@pytest.mark.speech
def test_letters_of_a_spoken_sentence_are_heard(say: Callable[[str, str], Path]) -> None:
    sound = np.pad(read_recording(say("how many rounds are left", "en-gb")), (RATE // 2, RATE // 4))
    _, layers = Network(require(EMBEDDED)).listen(sound)
    classes = Letters().heard(layers).argmax(axis=-1)
    assert edits(spelled(tuple(classes.tolist())), "how many rounds are left") <= 3
