"""From frames to utterances: where speech ends, what joins, what is cut, whatever speed the frames come at."""

from collections.abc import Callable, Iterator

import numpy as np
import pytest

from companion.ear import beside, stream
from companion.ear.embedded import EmbeddedRecogniser
from companion.ear.recogniser import RATE, Samples
from companion.ear.stream import Listener, Utterance
from companion.ear.voice import FRAME_SECONDS, SileroVoiceActivity, frames_of
from companion.phrases.phrasebook import Phrasebook

pytestmark = pytest.mark.speech

Speech = Callable[[str, str], Samples]
VOICE = "flite rms"


@pytest.fixture
def listener(recogniser: EmbeddedRecogniser, book: Phrasebook) -> Iterator[Listener]:
    with Listener(recogniser, book, SileroVoiceActivity(), frozenset({"idle"})) as made:
        yield made


def room(seconds: float) -> Samples:
    """A quiet room, which is never quite silent."""
    return (np.random.default_rng(2).standard_normal(int(seconds * RATE)) * 3e-4).astype(np.float32)


def spoken(speech: Speech, text: str, voice: str = VOICE) -> Samples:
    """The words alone, without the silence that synthesisers put around them."""
    sound = speech(text, voice)
    loud = np.flatnonzero(np.abs(sound) > 0.02 * np.abs(sound).max())
    return sound[loud[0] : loud[-1]]


def heard(listener: Listener, *parts: Samples) -> list[Utterance]:
    return [u for frame in frames_of(np.concatenate(parts)) for u in listener.feed(frame)]


def test_a_command_is_one_utterance_with_its_first_sound(listener: Listener, speech: Speech) -> None:
    words = spoken(speech, "how many rounds are left")
    (utterance,) = heard(listener, room(1), words, room(1))
    assert [str(c) for c in utterance.verdict.commands] == ["rounds_left()"]
    assert utterance.verdict.decision == "act"
    assert abs(utterance.began * FRAME_SECONDS - 1) < 0.15
    assert abs(utterance.ended * FRAME_SECONDS - 1 - len(words) / RATE) < 0.2
    assert len(utterance.sound) > len(words)


def test_a_complete_sentence_ends_sooner_than_one_that_can_go_on(listener: Listener, speech: Speech) -> None:
    complete, open_ = heard(
        listener, room(1), spoken(speech, "read the round"), room(2), spoken(speech, "I have done thirty"), room(2)
    )
    assert complete.decided - complete.ended == stream.END_COMPLETE
    assert open_.verdict.text == "i have done thirty"
    assert open_.decided - open_.ended == stream.END_OPEN


def test_a_pause_inside_a_number_does_not_split_it(listener: Listener, speech: Speech) -> None:
    (utterance,) = heard(
        listener, room(1), spoken(speech, "I have done thirty"), room(0.4), spoken(speech, "five"), room(1.5)
    )
    assert utterance.verdict.commands[0].slots == {"stitches": 35}


def test_speech_that_resumes_soon_takes_back_what_was_decided_too_early(listener: Listener, speech: Speech) -> None:
    first, second = heard(
        listener, room(1), spoken(speech, "read the round"), room(0.5), spoken(speech, "I have done six"), room(1.5)
    )
    assert first.verdict.commands[0].name == "read_round"
    assert second.takes_back == first.number
    assert second.began == first.began


def test_speech_that_joins_what_was_heard_beside_its_own_voice_must_be_as_sure(
    listener: Listener, speech: Speech, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(beside, "_SURE", 1.1)  # so that nothing is
    listener.beside_own_voice = True
    heard(listener, room(1), spoken(speech, "how many rounds"))
    listener.beside_own_voice = False
    joined = heard(listener, room(0.5), spoken(speech, "are left"), room(1.5))[-1]
    assert joined.verdict.text == "how many rounds are left"
    assert joined.verdict.decision == "ask"


def test_who_cuts_in_and_silences_it_at_once_still_began_beside_its_voice(
    listener: Listener, speech: Speech, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(beside, "_SURE", 1.1)  # so that nothing is
    listener.beside_own_voice = True
    decided: list[Utterance] = []
    for frame in frames_of(np.concatenate([room(1), spoken(speech, "how many rounds are left"), room(1.5)])):
        decided += listener.feed(frame)
        listener.beside_own_voice &= not listener.notices_voice
    assert [utterance.verdict.decision for utterance in decided] == ["ask"]


def test_speech_after_a_real_pause_stands_alone(listener: Listener, speech: Speech) -> None:
    first, second = heard(
        listener, room(1), spoken(speech, "read the round"), room(1.3), spoken(speech, "go back two rounds"), room(1.5)
    )
    assert second.takes_back is None
    assert second.began > first.ended
    assert [u.verdict.commands[0].name for u in (first, second)] == ["read_round", "back_rounds"]


def test_long_talk_is_cut_and_the_next_command_is_heard(listener: Listener, speech: Speech) -> None:
    talk = spoken(
        speech,
        "nobody told me how many were left and then he put the next book back on the shelf and went to the market "
        "where the farmers were selling apples and pears and told the driver to stop",
    )
    assert len(talk) > stream.LONGEST * FRAME_SECONDS * RATE
    *before, last = heard(listener, room(1), talk, room(1.5), spoken(speech, "how many rounds are left"), room(1))
    assert all(u.verdict.decision == "ignore" for u in before)
    assert max(len(u.sound) for u in before) <= (stream.LONGEST + 1) * FRAME_SECONDS * RATE
    assert last.verdict.commands[0].name == "rounds_left"
    assert last.verdict.decision == "act"


def test_the_same_frames_give_the_same_utterances(
    recogniser: EmbeddedRecogniser, book: Phrasebook, speech: Speech
) -> None:
    sound = (room(0.7), spoken(speech, "go back two rounds"), room(0.3), spoken(speech, "stop"), room(1.2))

    def once() -> list[tuple[str, int, int, int, int | None]]:
        with Listener(recogniser, book, SileroVoiceActivity(), frozenset({"idle"})) as made:
            found = heard(made, *sound)
        return [(u.verdict.text, u.began, u.ended, u.decided, u.takes_back) for u in found]

    assert once() == once()


def test_sound_that_stops_with_the_last_word_is_still_decided(listener: Listener, speech: Speech) -> None:
    assert heard(listener, room(1), spoken(speech, "read the round")) == []
    (utterance,) = listener.finish()
    assert utterance.verdict.commands[0].name == "read_round"


def test_a_knock_and_a_quiet_room_are_no_utterance(listener: Listener) -> None:
    knock = np.random.default_rng(3).standard_normal(1_600) * np.exp(-np.arange(1_600) / 150)
    assert heard(listener, room(2), knock.astype(np.float32), room(2)) == []


def noisy(words: Samples, decibels: float) -> Samples:
    """The words in a room with a steady rush, so many dB below them, from a second and a half before them on."""
    chance = np.random.default_rng(4)
    rush = np.convolve(chance.standard_normal(len(words) + 3 * RATE), np.ones(24) / 24, "same")
    rush *= np.sqrt(np.mean(words**2) / np.mean(rush**2)) * 10 ** (-decibels / 20)
    rush[3 * RATE // 2 : 3 * RATE // 2 + len(words)] += words
    return np.asarray(rush, np.float32)


def test_a_last_syllable_no_louder_than_the_room_belongs_to_the_sentence(listener: Listener, speech: Speech) -> None:
    words = spoken(speech, "I have done one hundred and seventeen")
    words[-int(0.42 * RATE) :] *= 0.5  # "-teen"
    (utterance,) = heard(listener, noisy(words, 7))
    assert abs(utterance.ended * FRAME_SECONDS - 1.5 - len(words) / RATE) < 0.15


def test_a_command_ends_with_its_last_word_where_others_talk_on(
    recogniser: EmbeddedRecogniser, book: Phrasebook, speech: Speech
) -> None:
    said = (
        "the people at the next table talk about the weather and the garden and the long way home",
        "and nobody knows how many of them will come back for dinner on the day after tomorrow",
        "because the road over the hill is closed and the old bridge is not safe",
    )
    others = np.concatenate([spoken(speech, text, "flite kal16") for text in said])
    words = spoken(speech, "how many rounds are left")
    begin, end = 6 * RATE, 6 * RATE + len(words)
    sound = (others[: end + 3 * RATE] * np.sqrt(np.mean(words**2) / np.mean(others**2)) * 0.22).astype(np.float32)
    sound[begin:end] += words  # 13 dB louder
    with Listener(recogniser, book, SileroVoiceActivity(), frozenset({"idle"}), settling=1.0) as listener:
        utterance = next(u for u in heard(listener, sound) if u.began * FRAME_SECONDS > 5.5)
    assert utterance.verdict.text == "how many rounds are left"
    assert abs(utterance.ended * FRAME_SECONDS - end / RATE) < 0.3
