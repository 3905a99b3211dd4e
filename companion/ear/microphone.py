"""The microphone: frames of 16 kHz, whatever rate the device itself has."""

from __future__ import annotations

import queue
import time
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Self

import numpy as np
import numpy.typing as npt

from companion import devices
from companion.ear.resampled import Resampled

RATE = 16000
FRAME = 512
"""Samples in a frame: 32 ms at 16 kHz."""

Samples = npt.NDArray[np.float32]

_LATENCY = 0.03  # seconds asked of the sound system
_QUEUED = 1000  # blocks, ten seconds, that may wait while the recogniser is busy; beyond it the oldest is dropped


@dataclass(frozen=True, slots=True)
class Frame:
    """32 ms of sound: float32, shape (512,), 16 kHz. time: the stream time, in seconds, of its first sample."""

    samples: Samples
    time: float


class Framer:
    """Blocks of any length at the device's rate in, frames of 512 samples at 16 kHz out.

    `time` of a frame takes into account that resampling holds sound back.
    """

    def __init__(self, rate: int) -> None:
        self._resampled = Resampled(rate)
        self._rest = np.zeros(0, dtype=np.float32)
        self._rate = rate
        self._taken = 0  # samples taken in, at the device's rate
        self._given = 0  # samples given out, at 16 kHz

    def feed(self, block: Samples, time: float) -> Iterator[Frame]:
        """Frames that are complete now. time: of the block's first sample."""
        start = time - self._taken / self._rate  # of the whole stream, by this block's clock
        self._taken += len(block)
        self._rest = np.concatenate([self._rest, self._resampled.feed(block)])
        while len(self._rest) >= FRAME:
            frame, self._rest = self._rest[:FRAME], self._rest[FRAME:]
            yield Frame(frame, start + self._given / RATE)
            self._given += FRAME


class Microphone:
    """The real microphone, open at its own rate. A context manager.

    Blocks are put on a queue as they come; resampling happens where frames are read.

    device: number or (part of the) name, None for the system's default. rate: in hertz, None for the device's own.
    overflows: how many blocks were lost, because the reader or the machine was too slow.
    Raises devices.NoMicrophoneError, or devices.DeviceError where the sound library is missing.
    """

    def __init__(self, device: int | str | None = None, *, rate: int | None = None) -> None:
        self.overflows = 0
        self._blocks: queue.Queue[tuple[Samples, float]] = queue.Queue(maxsize=_QUEUED)
        self._ready: list[Frame] = []
        self._lag = 0.0  # by which `time.monotonic()` is ahead of the sound library's clock
        self._device = devices.InputDevice(device, rate, _LATENCY, self._hand_over)
        self.rate = self._device.rate
        self._framer = Framer(self.rate)

    def __enter__(self) -> Self:
        """Gives itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """Closes the microphone."""
        self.close()

    @property
    def latency(self) -> float:
        """Seconds from a sound reaching the microphone to its block being handed over, as the sound system gives it."""
        return self._device.latency

    @property
    def alive(self) -> bool:
        """Whether the microphone still gives sound: false when it was unplugged or the sound server is gone."""
        return self._device.alive

    def age(self, frame: Frame) -> float:
        """Seconds since the frame's first sample reached the microphone."""
        return time.monotonic() - self._lag - frame.time

    def read(self, timeout: float | None = None) -> Frame | None:
        """The next frame, or None where none came within `timeout` seconds."""
        while not self._ready:
            try:
                block, heard_at = self._blocks.get(timeout=timeout)
            except queue.Empty:
                return None
            self._ready.extend(self._framer.feed(block, heard_at))
        return self._ready.pop(0)

    def frames(self) -> Iterator[Samples]:
        """Frames as they come, without end. Waits for each."""
        while True:
            frame = self.read()
            if frame is not None:
                yield frame.samples

    def close(self) -> None:
        """Gives the device back. May be called twice."""
        self._device.close()

    def _hand_over(self, block: Samples, first: float, now: float, lost: bool) -> None:
        self._lag = time.monotonic() - now
        if lost:
            self.overflows += 1
        if self._blocks.full():
            self.overflows += 1
            self._blocks.get_nowait()
        self._blocks.put_nowait((block, first))
