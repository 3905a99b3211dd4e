"""Decisions: no move on a close call, notes judged by the words before their tail, decoys never acted on."""

import math

import pytest

from companion.ear import decide
from companion.ear.decide import judge
from companion.ear.recogniser import FreeTranscript, Hearing, Reading, can_go_on
from companion.phrases.command import Command
from companion.phrases.phrasebook import Phrasebook

IDLE = frozenset({"idle"})


@pytest.fixture(scope="module")
def book() -> Phrasebook:
    return Phrasebook(["Body"])


def hearing(*readings: tuple[str, float], free: str) -> Hearing:
    found = tuple(Reading.whole(text, log_prob, len(text.split()) + 1, -20.0) for text, log_prob in readings)
    return Hearing(found, FreeTranscript(free, -0.5, len(free.split()) + 1), 1.5)


def test_a_clear_sentence_is_acted_on(book: Phrasebook) -> None:
    verdict = judge(hearing(("next round", -0.1), free="Next round."), book, IDLE)
    assert (verdict.decision, verdict.commands) == ("act", (Command("next_round"),))
    assert verdict.score > 0.9


def test_two_numbers_close_to_each_other_are_asked_about_and_both_are_named(book: Phrasebook) -> None:
    close = hearing(("i have done sixteen", -0.4), ("i have done sixty", -1.5), free="I have done sixteen.")
    verdict = judge(close, book, IDLE)
    assert verdict.decision == "ask"
    said = [meaning.commands[0].slots["stitches"] for meaning in verdict.alternatives]
    assert said == [16, 60]


def test_two_wordings_of_one_meaning_are_no_close_call(book: Phrasebook) -> None:
    both = hearing(("i have done sixteen", -0.7), ("i have done 16", -0.8), free="I have done sixteen.")
    verdict = judge(both, book, IDLE)
    assert verdict.decision == "act"
    assert verdict.evidence is not None
    total = math.log(math.exp(-0.7) + math.exp(-0.8))
    assert verdict.evidence.per_token == pytest.approx(total / 5)


def test_two_names_of_one_place_are_one_meaning(book: Phrasebook) -> None:
    both = hearing(("i am at stitch nine", -0.7), ("i have done nine", -0.8), free="I am at stitch nine.")
    verdict = judge(both, book, IDLE)
    assert (verdict.decision, verdict.commands) == ("act", (Command("at_stitch", {"stitch": 9}),))
    assert verdict.evidence is not None
    assert verdict.evidence.per_token == pytest.approx(math.log(math.exp(-0.7) + math.exp(-0.8)) / 6)


def test_two_names_of_two_places_need_the_margin_of_numbers(book: Phrasebook) -> None:
    apart = decide.calibration_of("embedded").least_margin_of_numbers - 0.1
    two = hearing(("i have done nine", -0.1), ("i'm at nineteen", -0.1 - apart), free="I have done nine.")
    verdict = judge(two, book, IDLE)
    assert verdict.decision == "ask"
    assert [list(meaning.commands[0].slots.values()) for meaning in verdict.alternatives] == [[9], [19]]


def test_a_number_is_asked_about_where_the_letters_speak_for_another(book: Phrasebook) -> None:
    def decided(letters_of_the_other: float) -> str:
        best = Reading.whole("i have done sixteen", -0.1, 5, -20.0, letters=-3.0)
        other = Reading.whole("i have done sixty", -12.0, 5, -20.0, letters=letters_of_the_other)
        free = FreeTranscript("I have done sixteen.", -0.5, 5)
        return judge(Hearing((best, other), free, 1.5), book, IDLE).decision

    assert decided(-9.0) == "act"
    assert decided(-2.0) == "ask"


def test_a_decoy_is_never_acted_on_and_makes_its_neighbour_a_close_call(book: Phrasebook) -> None:
    alone = judge(hearing(("three hundred", -0.1), free="Three hundred."), book, IDLE)
    assert alone.decision in ("refuse", "ignore")
    assert alone.commands == ()
    beside = judge(hearing(("next", -0.3), ("text", -0.6), free="Next."), book, IDLE)
    assert beside.decision == "ask"
    assert [meaning.text for meaning in beside.alternatives] == ["next"]


def test_talk_that_only_begins_like_a_command_is_ignored(book: Phrasebook) -> None:
    next_ = Reading.whole("next", -12.0, 2, -20.0, letters=-60.0)
    talk = Hearing((next_,), FreeTranscript("The next round of talks is on Monday.", -0.5, 9), 2.5)
    assert judge(talk, book, IDLE).decision == "ignore"


def test_sound_with_no_reading_is_ignored(book: Phrasebook) -> None:
    verdict = judge(hearing(free="Hm."), book, IDLE)
    assert (verdict.decision, verdict.text, verdict.commands, verdict.score) == ("ignore", "", (), 0.0)


def test_a_note_is_judged_by_the_word_note_and_not_by_its_tail(book: Phrasebook) -> None:
    def note(bound_log_prob: float, free: str) -> decide.Verdict:
        tail = Reading("note Changed to a smaller hook", bound_log_prob - 3, 8, 4, bound_log_prob, 1)
        other = Reading("note changed to the smaller hook", bound_log_prob - 3.2, 8, 4, bound_log_prob, 1)
        return judge(Hearing((tail, other), FreeTranscript(free, -3, 8), 2.5), book, IDLE)

    meant = note(-0.1, "Note, changed to a smaller hook.")
    assert meant.decision == "act"
    assert meant.commands == (Command("note", {"text": "Changed to a smaller hook"}),)
    assert note(-9.0, "Nobody changed to a smaller hook.").decision == "ignore"


def test_a_single_word_that_nobody_would_write_down_so_is_asked_about(book: Phrasebook) -> None:
    assert judge(hearing(("back", -0.1), free="Back."), book, IDLE).decision == "act"
    assert judge(hearing(("back", -0.1), free="Uh?"), book, IDLE).decision == "ask"


def test_free_words_must_be_surer_than_other_sentences(book: Phrasebook) -> None:
    """Others' "no, not today" sounds much like "note not today"."""

    def decided(reading: Reading) -> decide.Verdict:
        return judge(Hearing((reading,), FreeTranscript("No changed to a smaller hook", -3, 8), 2.5), book, IDLE)

    unsure = decided(Reading("note changed to a smaller hook", -3.3, 8, 4, -0.3, 1, -9.0, -70.0))
    assert unsure.score > decide.calibration_of("embedded").act_at
    assert unsure.decision == "ask"
    sure = decided(Reading("note changed to a smaller hook", -3.3, 8, 4, -0.3, 1, -9.0, -20.0))
    assert sure.decision == "act"
    talk = decided(Reading("note changed to a smaller hook", -3.3, 8, 4, -0.3, 1, -9.0, -112.0))
    assert talk.score > decide.calibration_of("embedded").refuse_at
    assert talk.decision == "ignore"


def test_talk_that_a_decoy_with_free_words_takes_is_not_answered(book: Phrasebook) -> None:
    talk = Reading("my Sister will be back on Monday", -0.4, 8, 2, -0.1, 1, -9.0)
    verdict = judge(Hearing((talk,), FreeTranscript("My sister will be back on Monday.", -0.4, 8), 2.5), book, IDLE)
    assert (verdict.decision, verdict.commands) == ("ignore", ())


@pytest.mark.parametrize(
    ("text", "more_may_come"),
    [
        ("i have done thirty", True),
        ("i have done sixteen", False),
        ("next", False),
        ("go back", True),
        ("note red", True),
    ],
)
def test_which_sentences_can_go_on(book: Phrasebook, text: str, more_may_come: bool) -> None:
    assert can_go_on(text, book.grammar(IDLE)) is more_may_come


@pytest.mark.parametrize(("one", "other", "distance"), [("", "abc", 3), ("kitten", "sitting", 3), ("same", "same", 0)])
def test_edit_distance(one: str, other: str, distance: int) -> None:
    """Kitten to sitting is the textbook example of Levenshtein distance: two changes and one letter more."""
    assert decide.edits(one, other) == distance


def test_a_sentence_is_told_in_words_where_it_was_heard_in_digits_too(book: Phrasebook) -> None:
    both = hearing(("i have done 16", -0.2), ("i have done sixteen", -3.0), free="I have done 16.")
    verdict = judge(both, book, IDLE)
    assert (verdict.text, verdict.commands) == ("i have done sixteen", (Command("have_done", {"stitches": 16}),))


def test_letters_that_speak_against_a_sentence_turn_acting_into_asking_or_less(book: Phrasebook) -> None:
    def decided(letters: float) -> str:
        reading = Reading.whole("brief", -0.8, 3, -12.0, letters=letters)
        return judge(Hearing((reading,), FreeTranscript("Press.", -0.5, 3), 0.7), book, IDLE).decision

    assert decided(0.0) == "act"
    assert decided(-17.5) == "ask"
    assert decided(-20.0) in ("refuse", "ignore")
