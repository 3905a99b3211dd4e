"""Two sound devices with clocks of their own are kept in step, and its own voice is nobody's."""

from __future__ import annotations

import numpy as np
import pytest

from companion.ear.lag import EchoLag
from companion.ear.own_voice import OthersVoice
from companion.ear.played import Played
from companion.ear.recogniser import RATE, Samples
from companion.ear.streams import Apart, Streams
from companion.ear.voice import FRAME, SileroVoiceActivity, frames_of
from companion.mouth.voice import Voice


@pytest.fixture(scope="module")
def speech() -> Samples:
    with Voice("en-gb") as voice:
        return voice.render("Round five. Six times: three single crochet, then one increase.").at_rate(RATE).samples


def test_how_fast_two_clocks_run_apart_is_learnt_and_lost_sound_is_no_clock() -> None:
    apart = Apart()
    random = np.random.default_rng(1)
    for second in range(0, 60, 2):
        lost = 300.0 if second > 30 else 0.0  # samples, once
        number = second * RATE
        apart.note(number, 5.0 - 8e-5 * number + random.normal(0.0, 0.2) - lost)
    assert apart.share == pytest.approx(-8e-5, abs=5e-6)
    apart.forget()
    assert apart.share == 0.0


def test_a_jump_of_all_clocks_is_none_that_runs_away() -> None:
    apart = Apart()
    for second in range(0, 20, 2):
        apart.note(second * RATE, -0.1 * RATE * second)
    assert apart.share == 0.0


def test_streams_follow_the_sound_and_the_times_only_where_they_jump() -> None:
    played = Played(RATE)
    streams = Streams(played)
    played.note(np.zeros(FRAME, dtype=np.float32), 10.0)
    assert streams.take(FRAME, 10.1)[0] == pytest.approx(0.1 * RATE)
    streams.in_step(2.5)
    assert streams.take(FRAME, 10.1 + FRAME / RATE)[0] == pytest.approx(0.1 * RATE + FRAME - 2.5)
    for number in range(2, 400):  # a second of what was heard is lost
        numbers = streams.take(FRAME, 11.1 + number * FRAME / RATE)
    assert numbers[0] == pytest.approx(1.1 * RATE + 399 * FRAME - 2.5, abs=2 * FRAME)


def test_a_loudspeaker_that_runs_dry_while_the_sound_is_in_step_is_followed() -> None:
    played = Played(RATE)
    streams = Streams(played)
    for number in range(100):
        late = 0.16 if number >= 50 else 0.0
        played.note(np.zeros(FRAME, dtype=np.float32), 10.0 + number * FRAME / RATE + late)
        numbers = streams.take(FRAME, 10.1 + number * FRAME / RATE)
        streams.in_step(0.0)
        if number == 49:
            assert numbers[0] == pytest.approx(0.1 * RATE + number * FRAME)
    assert numbers[0] == pytest.approx((0.1 - 0.16) * RATE + number * FRAME)


@pytest.mark.parametrize("late", [0.0, 2.25, -40.5])
def test_an_echo_that_comes_late_is_found_in_a_few_syllables_beside_a_voice_as_loud(
    speech: Samples, late: float
) -> None:
    hertz = np.fft.rfftfreq(len(speech), 1 / RATE)
    shifted = np.fft.irfft(np.fft.rfft(speech) * np.exp(-2j * np.pi * hertz * late / RATE), len(speech))
    heard = shifted + np.roll(speech, len(speech) // 2)  # somebody else, as loud
    lag = EchoLag()
    found = [
        lag.of(h, e) for h, e in zip(frames_of(heard.astype(np.float32))[4:12], frames_of(speech)[4:12], strict=True)
    ]
    sure = [value for value in found if value is not None]
    assert sure
    assert sure == pytest.approx([late] * len(sure), abs=0.3)


def test_no_echo_is_found_in_what_somebody_else_says(speech: Samples) -> None:
    with Voice("en-us+m3") as voice:
        other = voice.render("Where am I, and how many stitches are left in this round?").at_rate(RATE).samples
    lag = EchoLag()
    pairs = zip(frames_of(other), frames_of(speech), strict=False)
    assert [lag.of(heard, expected) for heard, expected in pairs].count(None) == min(
        len(frames_of(other)), len(frames_of(speech))
    )


def test_its_own_voice_is_nobodys(speech: Samples) -> None:
    only_own = True
    activity = OthersVoice(SileroVoiceActivity(), lambda: only_own)
    frames = frames_of(speech)
    assert {activity.probability(frame) for frame in frames} == {0.0}
    only_own = False
    activity.forget()
    assert max(activity.probability(frame) for frame in frames) > 0.9


def test_what_stands_out_and_may_be_a_voice_is_given_way_to_before_that_is_sure(speech: Samples) -> None:
    only_own = False
    activity = OthersVoice(SileroVoiceActivity(), lambda: only_own)
    quiet = np.random.default_rng(2).normal(0.0, 0.001, 2 * RATE).astype(np.float32)
    for frame in frames_of(quiet):
        activity.probability(frame)
        assert not activity.may_begin
    sooner = []
    for frame in frames_of(speech[:RATE]):
        sure = activity.probability(frame) >= 0.5
        sooner.append((activity.may_begin, sure))
    assert [begins for begins, _ in sooner].index(True) <= [sure for _, sure in sooner].index(True)
    only_own = True
    for frame in frames_of(speech):
        activity.probability(frame)
        assert not activity.may_begin, "it gives no way to itself"


def test_a_room_that_is_as_loud_is_not_given_way_to(speech: Samples) -> None:
    activity = OthersVoice(SileroVoiceActivity(), lambda: False)
    held = []
    for frame in frames_of(np.concatenate([speech, speech, speech])):
        activity.probability(frame)
        held.append(activity.may_begin)
    assert not any(held[-len(held) // 3 :])
