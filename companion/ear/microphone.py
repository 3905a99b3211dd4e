"""The microphone: frames of 16 kHz, whatever rate the device itself has."""

from __future__ import annotations

import queue
import time
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Self

import numpy as np
import numpy.typing as npt

from companion import devices

RATE = 16000
FRAME = 512
"""Samples in a frame: 32 ms at 16 kHz."""

Samples = npt.NDArray[np.float32]

_BLOCK = 0.01  # seconds the device hands over at a time
_LATENCY = 0.03  # seconds asked of the sound system
_DEAD_AFTER = 1.5  # seconds without a block
_QUEUE_SECONDS = 10.0  # what may wait while the recogniser is busy; beyond it the oldest is dropped


class NoMicrophoneError(devices.DeviceError):
    """There is no microphone, or it cannot be opened; the message says what to do."""


@dataclass(frozen=True, slots=True)
class Frame:
    """32 ms of sound: float32, shape (512,), 16 kHz. time: the stream time, in seconds, of its first sample."""

    samples: Samples
    time: float


class Framer:
    """Blocks of any length at the device's rate in, frames of 512 samples at 16 kHz out.

    Resampled while streaming, with no seam between blocks. The filter holds sound back by a few milliseconds; `time` of
    a frame takes that into account.
    """

    def __init__(self, rate: int) -> None:
        import soxr

        self._resampler = soxr.ResampleStream(rate, RATE, 1, dtype="float32", quality="MQ") if rate != RATE else None
        self._rest = np.zeros(0, dtype=np.float32)
        self._rate = rate
        self._taken = 0  # samples taken in, at the device's rate
        self._given = 0  # samples given out, at 16 kHz

    def feed(self, block: Samples, time: float) -> Iterator[Frame]:
        """Frames that are complete now. time: of the block's first sample."""
        start = time - self._taken / self._rate  # of the whole stream, by this block's clock
        self._taken += len(block)
        new = block if self._resampler is None else np.asarray(self._resampler.resample_chunk(block))
        self._rest = np.concatenate([self._rest, new])
        while len(self._rest) >= FRAME:
            frame, self._rest = self._rest[:FRAME], self._rest[FRAME:]
            yield Frame(frame, start + self._given / RATE)
            self._given += FRAME


class Microphone:
    """The real microphone, open at its own rate. A context manager.

    The callback does nothing but put blocks on a queue; resampling happens where frames are read.

    device: number or (part of the) name, None for the system's default. rate: in hertz, None for the device's own.
    overflows: how many blocks were lost, because the reader or the machine was too slow.
    Raises NoMicrophoneError, or devices.DeviceError where the sound library is missing.
    """

    def __init__(self, device: int | str | None = None, *, rate: int | None = None) -> None:
        self.overflows = 0
        self._last = time.monotonic()
        self._library = devices.sound_library()
        self._blocks: queue.Queue[tuple[Samples, float]] = queue.Queue(maxsize=round(_QUEUE_SECONDS / _BLOCK))
        self._ready: list[Frame] = []
        self._stream, self.rate = self._opened(device, rate)
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
        return float(self._stream.latency)

    @property
    def alive(self) -> bool:
        """Whether the microphone still gives sound: false when it was unplugged or the sound server is gone."""
        return bool(self._stream.active) and time.monotonic() - self._last < _DEAD_AFTER

    def age(self, frame: Frame) -> float:
        """Seconds since the frame's first sample reached the microphone."""
        return float(self._stream.time) - frame.time

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
        devices.close(self._stream)

    def _opened(self, wanted: int | str | None, rate: int | None) -> tuple[Any, int]:
        device = devices.find("input", wanted)
        if device is None:
            raise NoMicrophoneError(f"No microphone was found; connect one, or {_HELP}")
        chosen = rate or device.rate
        try:
            stream = self._library.InputStream(
                samplerate=chosen,
                blocksize=round(chosen * _BLOCK),
                device=device.index,
                channels=1,
                dtype="float32",
                latency=_LATENCY,
                callback=self._hand_over,
            )
            stream.start()
        except self._library.PortAudioError as error:
            raise NoMicrophoneError(f"The microphone {device.name} cannot be used; {_HELP}") from error
        return stream, chosen

    def _hand_over(self, data: Any, frames: int, times: Any, status: Any) -> None:
        self._last = time.monotonic()
        if status.input_overflow:
            self.overflows += 1
        if self._blocks.full():
            self.overflows += 1
            self._blocks.get_nowait()
        self._blocks.put_nowait((data[:, 0].copy(), times.inputBufferAdcTime))


_HELP = "choose another one in the system's sound settings and start again, or add `--typed` to go on in writing."
