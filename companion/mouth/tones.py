"""Short quiet tones: heard, not understood, paused, turning point.

They differ in number of notes and in direction, not only in pitch, so that they can be told apart without looking, by
ears that hear little at the top, and over a small loudspeaker: one note, two falling, two the same and long, three
rising. All lie between 440 and 1,047 Hz.
"""

from __future__ import annotations

from functools import cache
from typing import Literal, get_args

import numpy as np

from companion.mouth.sound import Sound, joined, silence

Tone = Literal["heard", "not_understood", "paused", "turning_point"]
TONES: tuple[Tone, ...] = get_args(Tone)

_RATE = 22050
_LEVEL = 0.05  # of full scale: about -29 dB, well under a voice at -20 LUFS
_GAP = 0.04  # seconds between two notes
# Notes as (hertz, seconds): A4 440, C5 523.25, E5 659.26, A5 880, C6 1046.5 of the equal-tempered scale at A4 = 440 Hz.
_NOTES: dict[Tone, tuple[tuple[float, float], ...]] = {
    "heard": ((880.0, 0.07),),
    "not_understood": ((659.26, 0.09), (440.0, 0.14)),
    "paused": ((523.25, 0.16), (523.25, 0.16)),
    "turning_point": ((523.25, 0.09), (659.26, 0.09), (1046.5, 0.16)),
}


@cache
def tone(name: Tone) -> Sound:
    """The tone of that name, under half a second long. Raises KeyError for an unknown name."""
    parts: list[Sound] = []
    for pitch, seconds in _NOTES[name]:
        if parts:
            parts.append(silence(_GAP, _RATE))
        parts.append(_note(pitch, seconds))
    return joined(parts)


def _note(pitch: float, seconds: float) -> Sound:
    """A sine with a soft beginning and end, so that it does not click."""
    count = round(seconds * _RATE)
    edge = round(0.012 * _RATE)
    shape = np.ones(count)
    shape[:edge] = np.sin(np.linspace(0.0, np.pi / 2, edge)) ** 2
    shape[-edge:] = shape[:edge][::-1]
    wave = np.sin(2 * np.pi * pitch * np.arange(count) / _RATE)
    return Sound((_LEVEL * shape * wave).astype(np.float32), _RATE, spoken=False)
