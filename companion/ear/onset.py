"""The first moment of a sound that is no echo: some hundredths of a second before a voice can be told from it.

What the adaptive filter leaves of an echo stands in some proportion to the echo. That proportion is followed slowly;
what suddenly lies far above it is somebody, or something, else.
"""

from __future__ import annotations

import math

import numpy as np

from companion.ear.recogniser import Samples

_SUDDEN = 12.0
"""Decibels above what was to be left of the echo. Measured in ten simulated rooms: at 15 no false one in four minutes
of the companion speaking, at 11 one a minute, and a maker is noticed a hundredth of a second sooner."""
_BESIDE = -18.0  # decibels: what is softer than that beside the companion is no maker, but a syllable's ragged edge
_DIES_AWAY = 0.7  # decibels from block to block of 16 ms by which an echo is followed as it dies away
_FORGOTTEN = 0.05  # decibels from block to block by which the companion's own level is forgotten
_LEFT = 0.0  # decibels of the echo that are left, to begin with: all of it, as the filter has yet to learn
_UP, _DOWN = 0.03, 0.01  # how fast more, and less, being left is believed
_FAINT = -45.0  # decibels of full scale: a softer echo teaches nothing about what is left of it
_ROOM = -55.0  # decibels of full scale of a quiet room, to begin with
_ROOM_UP, _ROOM_DOWN = 0.01, 0.1
_LOWEST = -75.0
_LEARNS_NOTHING = 30  # blocks, half a second, after something was noticed: it may be going on


class Onset:
    """Follows blocks of 16 ms of one stream; only while the companion speaks."""

    def __init__(self) -> None:
        self._echo = self._companion = _LOWEST
        self._left = _LEFT
        self._room = _ROOM
        self._pauses = 0

    def notices(self, expected: Samples, left: Samples, *, settled: bool) -> bool:
        """Whether the block holds more than echo.

        expected: the echo that was subtracted; left: what remained. settled: whether the filter knows its way; before,
        it only learns how much is left.
        """
        echo, level = _decibels(expected), _decibels(left)
        self._echo = max(echo, self._echo - _DIES_AWAY, _LOWEST)
        self._companion = max(echo, self._companion - _FORGOTTEN)
        self._pauses = max(0, self._pauses - 1)
        due = max(self._echo + self._left, self._room)
        sudden = settled and level > due + _SUDDEN and level > self._companion + _BESIDE
        if sudden:
            self._pauses = _LEARNS_NOTHING
        if not self._pauses:
            self._learn(level)
        return sudden

    def _learn(self, level: float) -> None:
        if self._echo > _FAINT:
            share = level - self._echo
            self._left += (_UP if share > self._left else _DOWN) * (share - self._left)
        else:
            self._room += (_ROOM_UP if level > self._room else _ROOM_DOWN) * (level - self._room)


def _decibels(sound: Samples) -> float:
    return 10.0 * math.log10(float(np.mean(np.square(sound))) + 1e-12)
