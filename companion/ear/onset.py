"""The first moment of a sound that is no echo: some hundredths of a second before a voice can be told from it.

What the adaptive filter leaves of an echo stands in some proportion to the echo. That proportion is followed slowly;
what suddenly lies far above it is somebody, or something, else.
"""

from __future__ import annotations

import math

import numpy as np

from companion.ear.recogniser import Samples

_SUDDEN = 13.0
"""Decibels above what was to be left of the echo. Measured in ten simulated rooms: at 15 no false one in four minutes
of the companion speaking, at 10 one or two a minute; a maker is noticed 10 ms later at 15 than at 10."""
_DIES_AWAY = 0.85  # from block to block of 16 ms, of the power of an echo that is followed: 0.7 dB
_LEFT = 0.0  # decibels of the echo that are left, to begin with: all of it, as the filter has yet to learn
_UP, _DOWN = 0.1, 0.01  # how fast more, and less, being left is believed
_FAINT = -45.0  # decibels of full scale: a softer echo teaches nothing about what is left of it
_ROOM = -55.0  # decibels of full scale of a quiet room, to begin with
_LOWEST = -75.0


class Onset:
    """Follows blocks of 16 ms of one stream; only while the companion speaks."""

    def __init__(self) -> None:
        self._echo = _LOWEST
        self._left = _LEFT
        self._room = _ROOM

    def notices(self, expected: Samples, left: Samples) -> bool:
        """Whether the block holds more than echo. expected: the echo that was subtracted; left: what remained."""
        self._echo = max(_decibels(expected), self._echo + 10.0 * math.log10(_DIES_AWAY), _LOWEST)
        due = self._echo + self._left
        level = _decibels(left)
        if level - max(due, self._room) > _SUDDEN:
            return True
        if self._echo > _FAINT:
            share = level - self._echo
            self._left += (_UP if share > self._left else _DOWN) * (share - self._left)
        else:
            self._room += (_DOWN if level > self._room else _UP) * (level - self._room)
        return False


def _decibels(sound: Samples) -> float:
    return 10.0 * math.log10(float(np.mean(np.square(sound))) + 1e-12)
