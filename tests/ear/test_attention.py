"""An attention word in a room with other talk: rendered speech through the listener that a microphone feeds."""

from collections.abc import Callable, Iterator

import numpy as np
import pytest

from companion.ear.attention import LISTENS_FOR
from companion.ear.embedded import EmbeddedRecogniser
from companion.ear.recogniser import RATE, Samples
from companion.ear.stream import Listener, Utterance
from companion.ear.voice import FRAME_SECONDS, SileroVoiceActivity, frames_of
from companion.phrases.phrasebook import Phrasebook

pytestmark = pytest.mark.speech

WORD = "clementine"
VOICES = ("en-us", "en-gb", "flite rms")


class Room:
    """A quiet room with a listener in it, and a voice."""

    def __init__(self, listener: Listener, speech: Callable[[str, str], Samples]) -> None:
        self.listener = listener
        self._speech = speech

    def hear(self, *parts: str | float, voice: str = "en-us") -> list[Utterance]:
        """The utterances in these words and seconds of quiet."""
        sound = [self._quiet(1.0), *(self._part(part, voice) for part in parts), self._quiet(1.5)]
        return [u for frame in frames_of(np.concatenate(sound)) for u in self.listener.feed(frame)]

    def _part(self, part: str | float, voice: str) -> Samples:
        if isinstance(part, float):
            return self._quiet(part)
        sound = self._speech(part, voice)
        loud = np.flatnonzero(np.abs(sound) > 0.02 * np.abs(sound).max())
        return sound[loud[0] : loud[-1]]

    @staticmethod
    def _quiet(seconds: float) -> Samples:
        return (np.random.default_rng(2).standard_normal(int(seconds * RATE)) * 3e-4).astype(np.float32)


@pytest.fixture
def room(recogniser: EmbeddedRecogniser, book: Phrasebook, speech: Callable[[str, str], Samples]) -> Iterator[Room]:
    with Listener(recogniser, book.called(WORD), SileroVoiceActivity(), frozenset({"idle"})) as listener:
        yield Room(listener, speech)


def told(utterances: list[Utterance]) -> list[tuple[str, tuple[str, ...]]]:
    return [(u.verdict.decision, tuple(map(str, u.verdict.commands))) for u in utterances]


@pytest.mark.parametrize("voice", VOICES)
def test_a_command_is_taken_only_with_the_word(room: Room, voice: str) -> None:
    with_word = room.hear(f"{WORD}, I have done thirty five", voice=voice)
    assert told(with_word) == [("act", ("have_done(stitches=35)",))]
    without = room.hear("I have done thirty five", voice=voice)
    assert [u.verdict.decision for u in without] == ["ignore"]


@pytest.mark.parametrize("voice", VOICES)
def test_the_word_alone_opens_the_ear_for_one_command(room: Room, voice: str) -> None:
    heard = room.hear(WORD, 1.5, "next round", 1.5, "next round", voice=voice)
    assert told(heard)[:2] == [("act", ("attention()",)), ("act", ("next_round()",))]
    assert [u.verdict.decision for u in heard[2:]] == ["ignore"]


def test_the_ear_closes_again_after_some_seconds(room: Room) -> None:
    heard = room.hear(WORD, LISTENS_FOR * FRAME_SECONDS + 1.0, "next round")
    assert told(heard)[0] == ("act", ("attention()",))
    assert [u.verdict.decision for u in heard[1:]] == ["ignore"]


def test_a_breath_after_the_word_makes_no_difference(room: Room) -> None:
    heard = room.hear(WORD, 0.5, "how many rounds are left")
    assert told(heard)[-1] == ("act", ("rounds_left()",))


@pytest.mark.parametrize("text", ["stop", "wait", "quiet", "turn off the attention word"])
def test_silence_and_its_own_end_need_no_word(room: Room, text: str) -> None:
    (utterance,) = room.hear(text, voice="flite rms")
    assert utterance.verdict.decision == "act", utterance.verdict
    assert len(utterance.verdict.commands) == 1


def test_of_stop_and_a_command_in_one_breath_only_stop_is_taken(room: Room) -> None:
    (utterance,) = room.hear("stop, next round", voice="flite rms")
    assert told([utterance]) == [("act", ("stop()",))]


def test_an_open_question_is_answered_without_the_word(room: Room) -> None:
    room.listener.contexts = frozenset({"idle", "asking"})
    assert told(room.hear("yes please")) == [("act", ("yes()",))]
    assert [u.verdict.decision for u in room.hear("go back two rounds")] == ["ignore"]


@pytest.mark.parametrize("voice", VOICES)
def test_talk_is_let_pass_without_a_word(room: Room, voice: str) -> None:
    """Sentences that hold commands, and one that begins like the word."""
    for text in (
        "the next round is on me",
        "go back two rounds",
        "we went to clement's, next round corner",
        "undo that",
    ):
        assert [u.verdict.decision for u in room.hear(text, voice=voice) if u.verdict.decision != "ignore"] == []


def test_the_word_can_change_while_it_listens(room: Room, book: Phrasebook) -> None:
    room.listener.phrasebook = book
    assert told(room.hear("next round")) == [("act", ("next_round()",))]
    room.listener.phrasebook = book.called("petunia")
    assert told(room.hear("petunia, next round", voice="flite rms")) == [("act", ("next_round()",))]
