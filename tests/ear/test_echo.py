"""The companion's own voice is taken out of what it hears, and a maker who speaks over it is left in."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
import soxr

from companion.ear.delay import measured_delay
from companion.ear.echo import EchoCanceller
from companion.ear.embedded import EmbeddedRecogniser
from companion.ear.played import Played, StreamClock
from companion.ear.recogniser import RATE, Samples
from companion.mouth.sound import joined, silence
from companion.mouth.tones import TONES, Tone, tone
from companion.mouth.voice import Voice
from companion.phrases.phrasebook import Phrasebook
from tests.support.rooms import Room, level_of

FRAME = 512
BLOCK = 480  # of the loudspeaker, at 48 kHz


@pytest.fixture(scope="module")
def companion() -> Samples:
    """Eighteen seconds of the companion speaking, with short pauses."""
    lines = [
        "Round five. Six times: three single crochet, then one increase. That ends the repeat. Thirty stitches.",
        "Twelve made, eighteen left.",
        "You are in round seven of the body, stitch twelve of thirty six.",
        "Stop here: put the eyes in now, before you close the head.",
    ]
    with Voice("en-us") as voice:
        parts = [part for line in lines for part in (voice.render(line), silence(0.4, 22050))]
    return joined(parts).at_rate(RATE).samples


@pytest.fixture(scope="module")
def maker() -> Samples:
    with Voice("en-gb+f2") as voice:
        return voice.render("How many stitches are left in this round?").at_rate(RATE).samples


@dataclass(frozen=True)
class Heard:
    canceller: EchoCanceller
    raw: Samples
    clean: Samples

    def removed(self, start: float, end: float) -> float:
        """Decibels by which the sound between these seconds became softer."""
        part = slice(round(start * RATE), round(end * RATE))
        return float(10 * np.log10(((self.raw[part] ** 2).mean() + 1e-12) / ((self.clean[part] ** 2).mean() + 1e-12)))


def converse(
    played: Samples,
    heard: Samples,
    *,
    jitter: float = 0.003,
    ahead: float = 0.1,
    voice_ends: float = np.inf,
    dry: tuple[float, float] = (np.inf, 0.0),
) -> Heard:
    """Runs both streams side by side, with the times that a sound library would report for them.

    ahead: seconds by which the loudspeaker is told its sound before the microphone's of the same moment is looked at.
    voice_ends: second from which on only tones are played.
    dry: second at which the loudspeaker runs dry, and for how many.
    """
    random = np.random.default_rng(1)
    reference = Played(RATE)
    canceller = EchoCanceller(reference)
    clean, at = [], 0
    for start in range(0, len(heard) - FRAME + 1, FRAME):
        while at < len(played):
            late = dry[1] if at >= dry[0] * RATE else 0.0
            if at + late * RATE >= start + FRAME + ahead * RATE:
                break
            block = played[at : at + 160]
            reference.note(block, 1000.0 + at / RATE + late + random.uniform(-jitter, jitter), at < voice_ends * RATE)
            at += 160
        clean.append(
            canceller.clean(heard[start : start + FRAME], 1000.0 + start / RATE + random.uniform(-jitter, jitter))
        )
    return Heard(canceller, heard, np.concatenate(clean))


@pytest.mark.parametrize("delay", [0.0, 0.2, 0.5])
def test_its_own_voice_is_taken_out_whatever_the_delay(companion: Samples, delay: float) -> None:
    heard = converse(companion, Room(delay=delay, reverberation=0.4).echo(companion))
    assert heard.canceller.echo == "heard"
    assert heard.canceller.delay == pytest.approx(delay, abs=0.005)
    assert heard.removed(6.0, 16.0) > 25.0
    assert heard.removed(0.0, 6.0) > 20.0, "and nothing gets through while it learns"


@pytest.mark.parametrize("level", [0.0, -8.0])
def test_a_maker_who_speaks_over_it_is_understood(
    companion: Samples, maker: Samples, level: float, recogniser: EmbeddedRecogniser, book: Phrasebook
) -> None:
    echo = Room(reverberation=0.3).echo(companion)
    at = 9 * RATE
    echo[at : at + len(maker)] += maker * np.float32(10 ** (level / 20) * level_of(companion) / level_of(maker))
    clean = converse(companion, echo).clean[at : at + len(maker) + RATE // 4]
    hearing = recogniser.hear(clean, book.grammar(None))
    heard = book.parse(hearing.readings[0].text)[0].name
    assert heard.startswith("stitches_left"), hearing.readings[0].text


@pytest.mark.parametrize("name", TONES)
def test_who_speaks_as_soon_as_a_tone_sounds_is_understood(
    companion: Samples, maker: Samples, name: Tone, recogniser: EmbeddedRecogniser, book: Phrasebook
) -> None:
    """As after the tone that answers an attention word."""
    signal = tone(name).at_rate(RATE).samples
    begins = len(companion) + RATE
    played = np.concatenate([companion, np.zeros(RATE), signal, np.zeros(3 * RATE)]).astype(np.float32)
    echo = Room(reverberation=0.3).echo(played)
    first = int(np.argmax(np.abs(maker) > 0.02))
    at = begins + RATE // 10 - first
    echo[at : at + len(maker)] += maker * np.float32(level_of(companion) / level_of(maker))
    clean = converse(played, echo, voice_ends=begins / RATE - 0.5).clean[at : at + len(maker) + RATE // 4]
    hearing = recogniser.hear(clean, book.grammar(None))
    assert hearing.readings[0].text.startswith("how many stitches"), hearing.readings[0].text


def test_with_headphones_nothing_is_changed(companion: Samples, maker: Samples) -> None:
    quiet = (0.0005 * np.random.default_rng(2).standard_normal(len(companion))).astype(np.float32)
    at = 14 * RATE
    quiet[at : at + len(maker)] += maker
    heard = converse(companion, quiet)
    assert heard.canceller.echo == "none"
    np.testing.assert_array_equal(heard.clean[at : at + len(maker)], heard.raw[at : at + len(maker)])


def test_what_is_said_in_silence_passes_from_the_first_moment(maker: Samples) -> None:
    heard = converse(np.zeros(len(maker), dtype=np.float32), maker)
    assert abs(heard.removed(0.3, 1.5)) < 1.5


def test_a_delay_that_changes_is_followed(companion: Samples) -> None:
    # A wireless loudspeaker is chosen in mid-session.
    twice = np.concatenate([companion, companion])
    near, far = Room(delay=0.04).echo(twice), Room(delay=0.4).echo(twice)
    change = 8 * RATE
    heard = converse(twice, np.concatenate([near[:change], far[change:]]))
    assert heard.canceller.delay == pytest.approx(0.4, abs=0.005)
    assert heard.removed(len(twice) / RATE - 5.0, len(twice) / RATE - 0.5) > 25.0


def test_a_loudspeaker_that_is_told_its_sound_late_does_no_harm(companion: Samples) -> None:
    # A sound system with short buffers: what is shown before its echo comes must have been handed on by then.
    heard = converse(companion, Room(delay=0.04, reverberation=0.3).echo(companion), ahead=0.03)
    assert heard.removed(3.0, 6.0) > 25.0
    assert heard.removed(6.0, 16.0) > 25.0


@pytest.mark.parametrize("jitter", [0.0003, 0.003])
@pytest.mark.parametrize("second", [8.0, 8.3, 11.2])
def test_a_loudspeaker_that_ran_dry_for_a_moment_is_found_again(
    companion: Samples, second: float, jitter: float
) -> None:
    gap = 0.16
    at = round(second * RATE)
    sounded = np.concatenate([companion[:at], np.zeros(round(gap * RATE), dtype=np.float32), companion[at:]])
    heard = converse(companion, Room(delay=0.04).echo(sounded), jitter=jitter, ahead=0.03, dry=(second, gap))
    assert heard.removed(second, second + 2.0) > 20.0, "it does not hear itself meanwhile"
    assert heard.removed(second + 3.0, 16.0) > 25.0
    assert heard.clean[round(14.0 * RATE) :].any(), "it listens again"


@pytest.mark.parametrize("fast", [1e-4, -1e-4])
def test_devices_whose_clocks_run_apart_are_kept_in_step(companion: Samples, maker: Samples, fast: float) -> None:
    # After ten minutes two such clocks differ by 60 ms; after this silence by 2 ms, enough to make an echo louder.
    silent = np.zeros(20 * RATE, dtype=np.float32)
    played = np.concatenate([companion, silent, companion])
    echo = Room(delay=0.05).echo(played)
    again = (len(companion) + len(silent)) / RATE
    at = round((again + 4.0) * RATE)
    echo[at : at + len(maker)] += maker
    heard = converse(played, soxr.resample(echo, RATE, RATE * (1.0 + fast)))
    assert heard.removed(8.0, 16.0) > 25.0
    assert heard.removed(again, again + 3.5) > 25.0, "the first words after a silence"
    end = again + 4.2 + len(maker) / RATE
    assert heard.removed(again + 4.2, end) < 10.0, "and a maker is still heard"


def test_the_measured_delay_stands_out_in_reverberation_and_only_there(companion: Samples, maker: Samples) -> None:
    part = slice(2 * RATE, 4 * RATE)
    far = Room(delay=0.3, reverberation=0.8, level=-20.0).echo(companion)
    found = measured_delay(far[part], companion[part])
    assert found is not None
    assert found.seconds == pytest.approx(0.3, abs=0.003)
    assert measured_delay(np.resize(maker, 2 * RATE), companion[part]) is None
    assert measured_delay(np.zeros(2 * RATE, dtype=np.float32), companion[part]) is None


def test_the_clock_of_a_stream_smooths_jitter_and_follows_a_jump() -> None:
    random = np.random.default_rng(3)
    clock = StreamClock(16000)
    for block in range(500):
        clock.note(block * 160, 50.0 + block * 0.01 + random.uniform(-0.005, 0.005))
    assert clock.start == pytest.approx(50.0, abs=0.004)
    for block in range(500, 510):  # the machine slept for a second
        clock.note(block * 160, 51.0 + block * 0.01)
    assert clock.start == pytest.approx(51.0, abs=0.004)


def test_what_was_played_is_found_by_time_at_any_rate() -> None:
    played = Played(48000)
    tone = np.sin(2 * np.pi * 300 * np.arange(48000) / 48000).astype(np.float32)
    for at in range(0, 48000, BLOCK):
        played.note(tone[at : at + BLOCK], 7.0 + at / 48000)
    assert played.start == pytest.approx(7.0, abs=0.001)
    number = RATE // 2
    found = played.samples(number + np.arange(1600.0))
    expected = np.sin(2 * np.pi * 300 * (0.5 + np.arange(1600) / RATE))
    assert float((found * expected).sum() / np.sqrt((found**2).sum() * (expected**2).sum())) > 0.99
    assert not played.samples(number + 20 * RATE + np.arange(512.0)).any(), "nothing is known of the future"
    assert not played.samples(-600 + np.arange(512.0)).any()
