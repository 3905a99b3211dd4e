"""What the echo filter leaves is known for echo or for somebody's voice, and blocks lost in a pause do no harm."""

from __future__ import annotations

import numpy as np
import pytest

from companion.ear.echo_left import EchoLeft
from companion.ear.recogniser import RATE, Samples
from companion.ear.voice import frames_of
from companion.mouth.voice import Voice
from tests.ear.test_echo import converse
from tests.support.rooms import Room, level_of

SECONDS = 4


@pytest.fixture(scope="module")
def companion() -> Samples:
    return _said("en-us", "Round five. Six times: three single crochet, then one increase. That ends the repeat.")


@pytest.fixture(scope="module")
def maker() -> Samples:
    return _said("en-gb+f2", "How many stitches are left in this round, and how many rounds are left after it?")


def _said(voice: str, text: str) -> Samples:
    with Voice(voice) as speaker:
        return np.resize(speaker.render(text).at_rate(RATE).samples, SECONDS * RATE)


def _shares(heard: Samples, expected: Samples) -> list[float]:
    left = EchoLeft()
    shares = []
    for one, other in zip(frames_of(heard), frames_of(expected), strict=True):
        left.add(one, other)
        if left.share is not None:
            shares.append(left.share)
    assert shares
    return shares


@pytest.mark.parametrize("above", [0.0, 12.0])
def test_a_maker_is_no_echo_however_loud(companion: Samples, maker: Samples, above: float) -> None:
    louder = maker * np.float32(10 ** (above / 20) * level_of(companion) / level_of(maker))
    assert max(_shares(companion + louder, 0.95 * companion)) < 0.1


@pytest.mark.parametrize("found", [0.3, 2.0])
def test_an_echo_of_another_level_is_left_also_beside_a_maker(companion: Samples, maker: Samples, found: float) -> None:
    assert min(_shares(companion, found * companion)) > 0.2
    louder = maker * np.float32(level_of(companion) / level_of(maker))
    assert np.median(_shares(companion + louder, found * companion)) > 0.1


def test_an_echo_expected_at_the_wrong_moment_is_left(companion: Samples) -> None:
    assert min(_shares(companion, np.roll(companion, 400))) > 0.1


def test_of_a_short_sound_nothing_is_known(companion: Samples, maker: Samples) -> None:
    short = np.zeros_like(companion)
    short[RATE : RATE + 800] = companion[RATE : RATE + 800]
    left = EchoLeft()
    for one, other in zip(frames_of(maker), frames_of(short), strict=True):
        left.add(one, other)
        assert left.share is None
    for frame in frames_of(np.zeros_like(companion)):
        left.add(frame, frame)
        assert left.share is None


@pytest.mark.parametrize("lost", [90, -260])
def test_blocks_that_a_device_drops_or_adds_in_a_pause_do_no_harm(
    companion: Samples, maker: Samples, lost: int
) -> None:
    # Six milliseconds and sixteen; no clock tells it, as the reported times wander by as much.
    played = np.concatenate([companion, companion, np.zeros(2 * RATE, dtype=np.float32), companion, companion])
    echo = Room(delay=0.05, noise=0.0001).echo(played)
    pause = 2 * len(companion) + RATE
    echo = np.concatenate([echo[:pause], echo[pause + lost :]])[: len(echo)]
    at = pause + 3 * RATE
    said = maker[:RATE]
    echo[at : at + len(said)] += said
    heard = converse(played[: len(echo)], echo, jitter=0.001)
    again = pause / RATE + 1.0
    assert heard.removed(again, again + 1.9) > 20.0, "nothing of its own gets through"
    assert heard.removed(at / RATE + 0.1, at / RATE + 0.9) < 10.0, "and a maker is heard from the beginning"
