from __future__ import annotations

import time
from collections.abc import Iterator

import pytest

from companion.mouth.replies import Replies, sentences
from companion.mouth.silent import SilentPlayer
from companion.mouth.tones import tone
from companion.mouth.voice import MouthError, Voice

pytestmark = pytest.mark.speech

REPLY = "Round five. Six times: three single crochet, then one increase. That ends the repeat. Thirty stitches."


@pytest.fixture(scope="module")
def voice() -> Iterator[Voice]:
    with Voice("en-us") as voice:
        yield voice


def settled(replies: Replies, player: SilentPlayer, count: int) -> None:
    end = time.monotonic() + 5.0
    while time.monotonic() < end and (replies.unfinished or len(player.played) < count):
        time.sleep(0.01)


def test_a_reply_is_cut_at_the_ends_of_sentences() -> None:
    assert sentences(REPLY) == (
        "Round five.",
        "Six times: three single crochet, then one increase.",
        "That ends the repeat.",
        "Thirty stitches.",
    )
    assert sentences("Use a 3.5 millimetre hook? Yes!") == ("Use a 3.5 millimetre hook?", "Yes!")
    assert sentences("  ") == ()


def test_all_sentences_are_said_in_order(voice: Voice) -> None:
    player = SilentPlayer()
    with Replies(voice, player) as replies:
        first = replies.say(REPLY)
        assert first.sound.seconds < 1.5, "the first sentence alone does not wait for the rest"
        settled(replies, player, 4)
    lengths = [sound.seconds for sound in player.played]
    alone = [voice.render(sentence).seconds for sentence in sentences(REPLY)]
    assert lengths[0] == pytest.approx(alone[0], abs=0.01)
    assert lengths[1:] == pytest.approx([seconds + 0.25 for seconds in alone[1:]], abs=0.01)


def test_a_new_reply_takes_the_place_of_the_old_one(voice: Voice) -> None:
    player = SilentPlayer()
    with Replies(voice, player) as replies:
        replies.say(REPLY.replace("Thirty", "Thirty one"))
        replies.say("Stopped.")
        settled(replies, player, 2)
        time.sleep(0.2)
    assert player.played[-1].seconds == pytest.approx(voice.render("Stopped.").seconds, abs=0.01)


def test_what_is_likely_next_is_made_ready(voice: Voice) -> None:
    with Replies(voice, SilentPlayer()) as replies:
        replies.expect(["Twenty four made, six left. More follows.", "Round eleven."])
        end = time.monotonic() + 5.0
        while time.monotonic() < end and not voice.has("Round eleven."):
            time.sleep(0.01)
    assert voice.has("Twenty four made, six left.")
    assert voice.has("Round eleven.")


def test_a_tone_comes_before_the_words(voice: Voice) -> None:
    player = SilentPlayer()
    with Replies(voice, player) as replies:
        replies.say("Here.", before=tone("turning_point"))
    expected = tone("turning_point").seconds + voice.render("Here.").seconds
    assert player.played[0].seconds == pytest.approx(expected, abs=0.01)


def test_a_voice_that_fails_is_told_once(voice: Voice) -> None:
    with Voice("no such voice") as broken, Replies(broken, SilentPlayer()) as replies, pytest.raises(MouthError):
        replies.say("Hello.")
