"""Sound that a loudspeaker's process was given and has not handed to the device yet.

The session gives a little in advance, so that a moment in which it is busy is not heard. What it takes back is silent
at once all the same, because it waits here, next to the device.
"""

from __future__ import annotations

import threading
from array import array
from collections import deque
from dataclasses import dataclass

SAMPLE = 4
"""Bytes of a sample, a 32-bit float."""


@dataclass(frozen=True, slots=True)
class Taken:
    """A block for the device: data, as long as asked for; frames, how many of it were given, the rest is silence;
    spoken, whether there is a voice in it; cuts, how often the reserve had been cut off by then."""

    data: bytes
    frames: int
    spoken: bool
    cuts: int


class Reserve:
    """Thread-safe. A frame is the samples of all channels at one moment.

    fade: frames in which sound that is cut off goes to silence, so that it does not click.
    """

    def __init__(self, channels: int, fade: int) -> None:
        self._channels = channels
        self._frame = channels * SAMPLE
        self._fade = fade
        self._pieces: deque[tuple[bytes, bool]] = deque()
        self._heard = False  # whether the block taken last ended in something given
        self._cuts = 0
        self._lock = threading.Lock()

    def give(self, data: bytes, *, spoken: bool) -> None:
        """Puts sound behind what waits. spoken: whether there is a voice in it."""
        with self._lock:
            self._pieces.append((data, spoken))

    def cut(self) -> None:
        """Drops what waits; what is being heard fades out."""
        with self._lock:
            data, spoken = self._next(self._fade * self._frame if self._heard else 0)
            self._pieces.clear()
            if data:
                self._pieces.append((self._faded(data), spoken))
            self._cuts += 1

    def take(self, frames: int) -> Taken:
        """The next frames, silence where too few wait."""
        with self._lock:
            wanted = frames * self._frame
            data, spoken = self._next(wanted)
            self._heard = len(data) == wanted
            return Taken(data.ljust(wanted, b"\0"), len(data) // self._frame, spoken, self._cuts)

    def _next(self, size: int) -> tuple[bytes, bool]:
        found, spoken = b"", False
        while len(found) < size and self._pieces:
            data, voice = self._pieces.popleft()
            part, rest = data[: size - len(found)], data[size - len(found) :]
            found += part
            spoken |= voice
            if rest:
                self._pieces.appendleft((rest, voice))
        return found, spoken

    def _faded(self, data: bytes) -> bytes:
        samples = array("f", data)
        last = max(1, len(samples) // self._channels - 1)
        for i in range(len(samples)):
            samples[i] *= max(0.0, 1.0 - (i // self._channels) / last)
        return samples.tobytes()
