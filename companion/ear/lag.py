"""How late an echo comes against the one that is expected, seen in the sound itself within an eighth of a second.

No two devices have quite the same clock: where a microphone runs a ten-thousandth faster than the loudspeaker, an echo
is late by a whole millisecond after ten seconds of silence, and what is subtracted then only adds to it. A copy of the
echo is at hand, in the shape that the room gives it, so that a few syllables are enough to find it, even under a maker
who speaks as loudly.
"""

from __future__ import annotations

from collections import deque

import numpy as np

from companion.ear.delay import correlation, highest, speaks
from companion.ear.recogniser import RATE, Samples

_PLACES = ((0.01, 8.0), (0.06, 20.0))
"""Seconds by which an echo is looked for too early and too late, and how far the best place must stand out there.
Clocks run apart by little; where a device dropped some blocks it is more, and wrong places among so many stand out
more."""
_FEWEST, _MOST = 4, 8  # frames of sound that are compared


class EchoLag:
    """Compares the newest frames of the microphone with the echo expected in them."""

    def __init__(self) -> None:
        self._frames: deque[tuple[Samples, Samples]] = deque(maxlen=_MOST)

    def forget(self) -> None:
        """What was compared so far no longer counts: the companion begins to speak, or the streams were shifted."""
        self._frames.clear()

    def of(self, heard: Samples, expected: Samples) -> float | None:
        """Samples by which the echo is late (negative: early), with this frame; None where that is not sure."""
        self._frames.append((heard, expected))
        if len(self._frames) < _FEWEST:
            return None
        near, echo = (np.concatenate(parts) for parts in zip(*self._frames, strict=True))
        if not speaks(echo):
            return None
        fits = correlation(near, echo)
        for farthest, sure in _PLACES:
            found = highest(fits, earliest=-farthest, latest=farthest)
            if found.sureness > sure:
                return found.seconds * RATE
        return None
