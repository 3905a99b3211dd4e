"""How loud the room is without the maker, so that talk in the background does not count as voice.

A television, a radio or people at the next table are speech to a voice-activity model. Whoever speaks to the companion
is nearer, and so louder than the room has been of late.
"""

from __future__ import annotations

from collections import deque

import numpy as np

from companion.ear.recogniser import Samples

_MEMORY = 125  # frames: the last four seconds in which nobody spoke to us
_ENOUGH = 16  # frames from which on the memory can be believed
_SMOOTH = 3  # frames that a level is averaged over
_SILENCE = 1e-6  # mean square under which any room is silent: -60 dB of full scale


class RoomLevel:
    """Follows the level of frames of 512 samples, in dB of full scale."""

    def __init__(self) -> None:
        self._recent: deque[float] = deque(maxlen=_SMOOTH)
        self._memory: deque[float] = deque(maxlen=_MEMORY)
        self._room = _decibels(_SILENCE)

    def above(self, frame: Samples) -> float:
        """How far the sound of late lies above the room, in dB, with this frame as the newest."""
        self._recent.append(float(np.mean(np.square(frame))))
        return self._level() - self._room

    def learn(self) -> None:
        """Take the sound of late for the room's own: nobody is speaking to us."""
        self._memory.append(self._level())
        if len(self._memory) >= _ENOUGH:
            self._room = max(_decibels(_SILENCE), float(np.median(self._memory)))

    def _level(self) -> float:
        return _decibels(float(np.mean(self._recent)))


def _decibels(power: float) -> float:
    return 10 * float(np.log10(max(power, 1e-12)))
