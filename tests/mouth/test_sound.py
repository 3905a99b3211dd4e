from __future__ import annotations

import numpy as np
import pytest

from companion.mouth.sound import Sound, joined, mixed, silence


def sine(hertz: float, seconds: float, rate: int, level: float = 0.5) -> Sound:
    return Sound((level * np.sin(2 * np.pi * hertz * np.arange(round(seconds * rate)) / rate)).astype(np.float32), rate)


def pitch(sound: Sound) -> float:
    spectrum = np.abs(np.fft.rfft(sound.samples))
    return float(np.argmax(spectrum)) * sound.rate / len(sound.samples)


@pytest.mark.parametrize(("before", "after"), [(22050, 16000), (22050, 44100), (44100, 48000), (48000, 16000)])
def test_resampling_keeps_pitch_length_and_level(before: int, after: int) -> None:
    changed = sine(1000.0, 0.5, before).at_rate(after)
    assert changed.rate == after
    assert changed.seconds == pytest.approx(0.5, abs=0.001)
    assert pitch(changed) == pytest.approx(1000.0, abs=4.0)
    middle = changed.cut(0.1, 0.4).samples
    assert float(np.sqrt(np.mean(middle**2))) == pytest.approx(0.5 / np.sqrt(2), rel=0.01)


def test_resampling_down_leaves_nothing_above_the_new_limit() -> None:
    # 11 kHz cannot be held at 16 kHz; what folds back would sound as 5 kHz.
    assert sine(11000.0, 0.5, 48000).at_rate(16000).cut(0.05, 0.45).peak < 0.001


def test_joined_sounds_follow_each_other_at_one_rate() -> None:
    whole = joined([sine(500.0, 0.2, 16000), silence(0.1, 8000), sine(500.0, 0.2, 48000)])
    assert whole.rate == 16000
    assert whole.seconds == pytest.approx(0.5, abs=0.001)
    assert whole.cut(0.21, 0.29).peak < 0.01


def test_mixed_sounds_are_added_where_asked() -> None:
    both = mixed(silence(0.3, 16000), sine(500.0, 0.2, 16000), at=0.2)
    assert both.seconds == pytest.approx(0.4)
    assert both.cut(0.0, 0.2).peak == 0.0
    assert both.cut(0.2, 0.4).peak == pytest.approx(0.5, abs=0.01)


def test_silence_at_the_ends_goes_and_silence_within_stays() -> None:
    word = sine(500.0, 0.1, 16000)
    trimmed = joined([silence(0.5, 16000), word, silence(0.3, 16000), word, silence(0.5, 16000)]).without_silent_ends()
    assert trimmed.seconds == pytest.approx(0.5 + 0.06, abs=0.005)
    assert silence(1.0, 16000).without_silent_ends().seconds == 0.0


def test_louder_by_six_decibels_is_twice_the_level() -> None:
    assert sine(500.0, 0.1, 16000, 0.25).louder(6.0206).peak == pytest.approx(0.5, rel=0.01)


def test_sound_cannot_be_changed_by_whoever_holds_it() -> None:
    with pytest.raises(ValueError, match="read-only"):
        silence(0.1, 16000).samples[0] = 1.0


def test_two_channels_are_refused() -> None:
    with pytest.raises(ValueError, match="mono"):
        Sound(np.zeros((10, 2), dtype=np.float32), 16000)
