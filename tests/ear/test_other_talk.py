"""Just after other talk only what is surely heard is acted on; later, or after a short sound, nothing changes."""

import pytest

from companion.ear.decide import Decision, Interpretation, Verdict
from companion.ear.other_talk import OtherTalk
from companion.ear.recogniser import Reading
from companion.phrases.phrasebook import Phrasebook

IDLE = frozenset({"idle"})
TALK = Verdict("", (), "ignore", 0.02)
BOOK = Phrasebook(["Body"])


def heard(said: str, score: float, decision: Decision = "act") -> Verdict:
    return Verdict(said, BOOK.parse(said, IDLE), decision, score)


@pytest.mark.parametrize(
    ("said", "score", "began", "decision"),
    [
        ("next round", 0.85, 130, "ask"),
        ("next round", 0.97, 130, "act"),
        ("done", 0.97, 130, "ask"),
        ("stop", 0.85, 130, "act"),
        ("next round", 0.85, 260, "act"),
    ],
)
def test_what_moves_must_be_sure_just_after_talk(said: str, score: float, began: int, decision: Decision) -> None:
    other_talk = OtherTalk()
    other_talk.weigh(TALK, BOOK, 10, 110)
    assert other_talk.weigh(heard(said, score), BOOK, began, began + 40).decision == decision


def test_a_short_sound_was_no_talk() -> None:
    other_talk = OtherTalk()
    other_talk.weigh(TALK, BOOK, 100, 112)
    assert other_talk.weigh(heard("next round", 0.85), BOOK, 130, 170).decision == "act"


def test_the_first_part_of_a_sentence_is_not_talk_before_it() -> None:
    other_talk = OtherTalk()
    other_talk.weigh(TALK, BOOK, 100, 140)
    assert other_talk.weigh(heard("how many rounds are left", 0.85), BOOK, 100, 170).decision == "act"


def test_talk_before_a_sentence_counts_though_its_first_part_was_not_made_out() -> None:
    other_talk = OtherTalk()
    other_talk.weigh(TALK, BOOK, 10, 90)
    other_talk.weigh(TALK, BOOK, 100, 140)
    assert other_talk.weigh(heard("go to the next round", 0.85), BOOK, 100, 170).decision == "ask"


def test_free_words_that_are_not_sure_are_let_pass() -> None:
    other_talk = OtherTalk()
    other_talk.weigh(TALK, BOOK, 10, 110)
    said = "note not today"
    reading = Reading(said, -4.0, 6, bound=5, bound_log_prob=-1.0, bound_tokens=2)
    commands = BOOK.parse(said, IDLE)
    asked = Verdict(said, commands, "ask", 0.8, (Interpretation(said, commands, -4.0, -4.0, reading),))
    assert other_talk.weigh(asked, BOOK, 130, 170).decision == "ignore"


def test_with_an_attention_word_nothing_changes() -> None:
    other_talk = OtherTalk()
    book = BOOK.called("petunia")
    other_talk.weigh(TALK, book, 10, 110)
    assert other_talk.weigh(heard("next round", 0.85), book, 130, 170).decision == "act"
