from __future__ import annotations

import math

import numpy as np
import pytest

from companion.mouth.loudness import at_loudness, integrated_loudness
from companion.mouth.sound import Sound, joined, silence


def sine(hertz: float, seconds: float, level: float, rate: int = 48000) -> Sound:
    return Sound((level * np.sin(2 * np.pi * hertz * np.arange(round(seconds * rate)) / rate)).astype(np.float32), rate)


def test_the_reference_tone_of_the_recommendation() -> None:
    """ITU-R BS.1770-4, Annex 1: a 0 dBFS, 997 Hz sine on one front channel reads -3.01 LKFS."""
    assert integrated_loudness(sine(997.0, 5.0, 1.0)) == pytest.approx(-3.01, abs=0.02)


def test_pauses_are_gated_out() -> None:
    """After test signal 3 of EBU Tech 3341 (2016), on one channel: parts 13 LU below the loud one do not count."""
    soft, loud = sine(1000.0, 10.0, 10 ** (-36 / 20)), sine(1000.0, 60.0, 10 ** (-23 / 20))
    alone = integrated_loudness(loud)
    assert alone == pytest.approx(-26.0, abs=0.1)
    assert integrated_loudness(joined([soft, loud, soft])) == pytest.approx(alone, abs=0.1)


@pytest.mark.parametrize("rate", [16000, 22050, 44100, 48000])
def test_agrees_with_a_general_implementation(rate: int) -> None:
    """Against pyloudnorm, a general implementation of BS.1770, on noise with changing level.

    Its filters are laid out the same way only when "DeMan" is asked for; its default differs by tenths of a LU at the
    low rates.
    """
    pyloudnorm = pytest.importorskip("pyloudnorm", reason="pyloudnorm, to compare with, is not installed")
    random = np.random.default_rng(5)
    level = np.repeat([0.02, 0.3, 0.0, 0.1, 0.004], rate)
    samples = (random.standard_normal(5 * rate) * level).astype(np.float32)
    meter = pyloudnorm.Meter(rate, filter_class="DeMan")
    assert integrated_loudness(Sound(samples, rate)) == pytest.approx(meter.integrated_loudness(samples), abs=0.1)


def test_sound_of_any_level_comes_to_the_target() -> None:
    for level in (0.002, 0.05, 0.5):
        assert integrated_loudness(at_loudness(sine(400.0, 1.0, level, 22050), -20.0)) == pytest.approx(-20.0, abs=0.01)


def test_a_sound_shorter_than_a_block_is_measured_too() -> None:
    assert integrated_loudness(sine(997.0, 0.2, 1.0)) == pytest.approx(-3.01, abs=0.1)


def test_a_peaky_sound_is_not_driven_over_full_scale() -> None:
    click = joined([silence(0.3, 22050), Sound(np.array([0.5], dtype=np.float32), 22050), silence(0.3, 22050)])
    assert at_loudness(click, -20.0).peak <= 10 ** (-1 / 20) + 1e-6


def test_silence_stays_silence() -> None:
    assert integrated_loudness(silence(1.0, 22050)) == -math.inf
    assert integrated_loudness(silence(0.0, 22050)) == -math.inf
    assert at_loudness(silence(1.0, 22050), -20.0).peak == 0.0
