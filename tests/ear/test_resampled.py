"""A stream at any rate becomes one of 16 kHz, without seams, without a shift in time and without delay to speak of."""

from __future__ import annotations

from math import gcd

import numpy as np
import pytest
from scipy.signal import butter, resample_poly, sosfiltfilt

from companion.ear.recogniser import RATE
from companion.ear.resampled import Resampled

SECONDS = 3


@pytest.mark.parametrize("rate", [16000, 22050, 44100, 48000])
def test_it_is_what_a_reference_library_makes_of_the_whole_sound(rate: int) -> None:
    """The polyphase resampling of scipy 1.17 (Crochiere and Rabiner's method), up to 6.5 kHz."""
    noise = np.random.default_rng(1).standard_normal(SECONDS * rate)
    sound = sosfiltfilt(butter(8, 6500, fs=rate, output="sos"), noise).astype(np.float32)
    stream = Resampled(rate)
    block = rate // 100
    found = np.concatenate([stream.feed(sound[at : at + block]) for at in range(0, len(sound), block)])
    common = gcd(rate, RATE)
    expected = resample_poly(sound, RATE // common, rate // common)[: len(found)]
    middle = slice(RATE // 10, len(found) - RATE // 10)
    wrong = float(((found - expected)[middle] ** 2).sum() / (expected[middle] ** 2).sum())
    assert 10 * np.log10(wrong + 1e-12) < -35.0


@pytest.mark.parametrize("rate", [44100, 48000])
def test_it_holds_back_a_few_milliseconds_and_never_more(rate: int) -> None:
    stream = Resampled(rate)
    given = 0
    for blocks in range(1, 60 * 100):  # a minute
        given += len(stream.feed(np.zeros(rate // 100, dtype=np.float32)))
        assert 0 <= blocks * RATE // 100 - given <= 0.004 * RATE
