"""How loud the room is without the maker, and whether others talk in it, so that their talk does not count as voice.

A television, a radio or people at the next table are speech to a voice-activity model. Whoever speaks to the companion
is nearer, and so louder than the room has been of late. In a room without voices the model alone tells best: the last
sounds of a word are often no louder than a fan or the rain.
"""

from __future__ import annotations

from collections import deque
from typing import Final

import numpy as np

from companion.ear.recogniser import Samples

LATELY: Final = 3
"""Frames that a level is averaged over to notice that somebody begins to speak."""

A_WHILE: Final = 8
"""Frames that it is averaged over to notice that somebody has ended, and not only paused between two sounds."""

_MEMORY = 125  # frames: the last four seconds in which nobody spoke to us
_ENOUGH = 16  # frames from which on the memory can be believed
_TALKING = 0.2  # share of those frames with voice in them from which on others talk in the room
_SILENCE = 1e-6  # mean square under which any room is silent: -60 dB of full scale


class RoomLevel:
    """Follows the level of frames of 512 samples, in dB of full scale."""

    def __init__(self) -> None:
        self._recent: deque[float] = deque(maxlen=A_WHILE)
        self._memory: deque[float] = deque(maxlen=_MEMORY)
        self._voices: deque[bool] = deque(maxlen=_MEMORY)
        self._room = _decibels(_SILENCE)

    def hear(self, frame: Samples) -> None:
        """Take the newest frame."""
        self._recent.append(float(np.mean(np.square(frame))))

    def above(self, frames: int) -> float:
        """How far the sound of so many frames, LATELY or A_WHILE, lies above the room, in dB."""
        return self._level(frames) - self._room

    def learn(self, *, voice: bool) -> None:
        """Take the sound of late for the room's own: nobody is speaking to us. `voice`: there is a voice in it."""
        self._memory.append(self._level(LATELY))
        self._voices.append(voice)
        if len(self._memory) >= _ENOUGH:
            self._room = max(_decibels(_SILENCE), float(np.median(self._memory)))

    @property
    def talks(self) -> bool:
        """Whether there are other voices in the room."""
        return len(self._voices) >= _ENOUGH and sum(self._voices) > _TALKING * len(self._voices)

    def _level(self, frames: int) -> float:
        return _decibels(float(np.mean(list(self._recent)[-frames:])))


def _decibels(power: float) -> float:
    return 10 * float(np.log10(max(power, 1e-12)))
