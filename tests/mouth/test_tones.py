from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from companion.mouth.loudness import integrated_loudness
from companion.mouth.sound import Sound
from companion.mouth.tones import TONES, Tone, tone


def notes(sound: Sound) -> list[float]:
    """The pitches of a tone, found from the sound alone: the spectral peak of each stretch above a hundredth."""
    window = round(0.01 * sound.rate)
    loud = [np.abs(sound.samples[i : i + window]).max() > 0.01 for i in range(0, len(sound.samples), window)]
    found, start = [], None
    for i, on in enumerate([*loud, False]):
        if on and start is None:
            start = i
        elif not on and start is not None:
            part = sound.samples[start * window : i * window]
            found.append(float(np.argmax(np.abs(np.fft.rfft(part, sound.rate)))))
            start = None
    return found


def shape(name: Tone) -> tuple[int, int]:
    """How many notes, and whether they rise (1), fall (-1) or stay (0)."""
    heard = notes(tone(name))
    return len(heard), int(np.sign(round(heard[-1] - heard[0], -1)))


def test_tones_can_be_told_apart_by_number_of_notes_or_direction() -> None:
    for one, other in combinations(TONES, 2):
        assert shape(one) != shape(other), f"{one} and {other} sound alike"


@pytest.mark.parametrize("name", TONES)
def test_tones_are_short_quiet_and_do_not_click(name: Tone) -> None:
    sound = tone(name)
    assert sound.seconds < 0.5
    assert integrated_loudness(sound) < -26.0, "well under speech at -20"
    assert sound.samples[0] == 0.0
    assert abs(sound.samples[-1]) < 0.001
    assert np.abs(np.diff(sound.samples)).max() < 0.02


@pytest.mark.parametrize("name", TONES)
def test_no_note_is_out_of_reach_of_ears_that_hear_little_at_the_top(name: Tone) -> None:
    assert all(400.0 < pitch < 1100.0 for pitch in notes(tone(name)))
