"""The rehearsed session, heard by the real ear from real rendered speech: no part of it is pretended.

Every number in every reply is held to the pattern, worked out by hand beside each line. Numbers are read out of the
sentences by num2words, a reference of general use (PyPI, LGPL).
"""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from num2words import num2words

from companion.mouth.soundfile import read_sound
from companion.rehearsal import Exchange, perform, script
from companion.session import Turn

pytestmark = pytest.mark.speech

_WORDS = {num2words(n).replace("-", " ").replace(" and ", " "): n for n in range(201)}
_NUMBER = re.compile(r"\b(" + "|".join(sorted(_WORDS, key=len, reverse=True)) + r")\b")

# What is said, and every number of the reply in order.
NUMBERS = {
    "next": [1, 6, 2, 1, 6],  # round 1 done, 6; round 2: 1 in each around, 6
    # 6 times: 2 sc, then 1 increase (and "one of", "ends the repeat" say none); 6 x 4 = 24
    "start round seven": [7, 6, 2, 1, 24],
    "how many stitches are left": [24, 7, 24],  # none of 24 made
    "I have done twelve": [12, 12],  # 24 - 12
    "three more": [3, 15, 9, 1],  # in the middle of one increase
    "which repeat am I on": [4, 6],  # each repeat gives 4: 15 are three repeats and 3 stitches
    "how many are left": [9, 7, 15, 24],
    "undo that": [3, 7, 12, 12],
    "what is the total for this round": [24, 7],
    "start round thirteen": [13, 6, 1, 24],  # the last of 6 alike, rounds 8 to 13
    # the eyes between rounds 6 and 7, five apart, before round 14 narrows; children under 3
    "next round": [13, 24, 6, 7, 5, 14, 3],
    "done that": [14, 6, 2, 1, 18],  # 6 x (2 + 1) = 18
    "where am I": [1, 6],
    "that's all for today": [1, 6],
}


def numbers(sentence: str) -> list[int]:
    """The numbers said in a sentence, in order. "One" that counts nothing ("count one loop") counts as a number too."""
    return [_WORDS[found] for found in _NUMBER.findall(sentence.lower().replace("-", " "))]


@pytest.fixture(scope="module")
def rehearsal(tmp_path_factory: pytest.TempPathFactory) -> tuple[list[Exchange], Path]:
    """The rehearsal, performed once."""
    sound_file = tmp_path_factory.mktemp("rehearsal") / "rehearsal.wav"
    opening, *rest = list(perform(script(), sound_file=sound_file))
    assert isinstance(opening, Turn)
    assert numbers(opening.reply) == [1, 6, 6], opening.reply
    return [event for event in rest if isinstance(event, Exchange)], sound_file


def test_every_line_is_heard_acted_on_and_leads_to_the_right_place(rehearsal: tuple[list[Exchange], Path]) -> None:
    for exchange in rehearsal[0]:
        assert exchange.utterance is not None, exchange.line.say
        assert exchange.utterance.verdict.decision == "act", exchange.line.say
        place = exchange.turns[-1].place
        assert place is not None
        assert exchange.line.expect.items() <= place.as_json().items(), exchange.line.say


def test_every_number_in_every_reply_is_right(rehearsal: tuple[list[Exchange], Path]) -> None:
    said = {exchange.line.say: numbers(exchange.turns[-1].reply) for exchange in rehearsal[0]}
    assert {line: said[line] for line in NUMBERS} == NUMBERS


def test_the_count_that_is_off_by_one_is_told(rehearsal: tuple[list[Exchange], Path]) -> None:
    (reply,) = (e.turns[-1].reply for e in rehearsal[0] if e.line.say == "I counted twenty three stitches")
    # 12 were reported made in round 7, so 23 are 11 more.
    assert numbers(reply)[:2] == [23, 11]


def test_the_whole_is_written_as_one_sound_that_can_be_played(rehearsal: tuple[list[Exchange], Path]) -> None:
    sound = read_sound(rehearsal[1])
    assert sound.seconds > 60
    assert 0.05 < float(np.abs(sound.samples).max()) <= 1.0
