"""The loudspeaker: plays sounds one after the other, and stops at once when told to."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any, Protocol, Self

from companion import devices
from companion.mouth.line import Line, Playback
from companion.mouth.sound import Samples, Sound

_LATENCY = 0.04  # seconds asked of the sound system; a reply cut off is heard no longer than this
_BLOCK = 0.01  # seconds handed on at a time
_DEAD_AFTER = 1.5  # seconds without being asked for sound

Tap = Callable[[Samples, float], None]
"""Told every block handed on: its samples at the loudspeaker's rate, and the stream time at which it will be heard."""


class NoLoudspeakerError(devices.DeviceError):
    """There is no loudspeaker, or it cannot be opened; the message says what to do."""


class Loudspeaker(Protocol):
    """What the session speaks through: a real loudspeaker or one that only collects."""

    volume: float

    @property
    def playing(self) -> bool: ...

    def play(self, sound: Sound) -> Playback: ...

    def stop(self) -> None: ...

    def hold(self) -> None: ...

    def go_on(self) -> None: ...

    @property
    def holding(self) -> bool: ...

    def wait(self, timeout: float | None = None) -> bool: ...

    def close(self) -> None: ...


class Player:
    """The real loudspeaker, open at its own rate from the first moment until closed. A context manager.

    The stream runs all the time and carries silence between sounds, so that a reply does not wait for a device to
    wake. The callback does nothing but hand frames on.

    device: number or (part of the) name, None for the system's default. rate: in hertz, None for the device's own.
    tap: told every block, for echo cancellation.
    volume: decibels added to every sound from the next one on.
    Raises NoLoudspeakerError, or devices.DeviceError where the sound library is missing.
    """

    def __init__(self, device: int | str | None = None, *, rate: int | None = None, tap: Tap | None = None) -> None:
        self.volume = 0.0
        self._tap = tap
        self._line = Line()
        self._last = time.monotonic()
        self._library = devices.sound_library()
        self._stream, self.rate = self._opened(device, rate)

    def __enter__(self) -> Self:
        """Gives itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """Closes the loudspeaker."""
        self.close()

    @property
    def playing(self) -> bool:
        """Whether a sound is being heard or waits to be."""
        return self._line.current is not None

    @property
    def position(self) -> float | None:
        """Seconds handed on of the sound being heard, None in silence."""
        current = self._line.current
        return None if current is None else current.position

    @property
    def latency(self) -> float:
        """Seconds from a block being handed on to it being heard, as the sound system gives it."""
        return float(self._stream.latency)

    def play(self, sound: Sound) -> Playback:
        """Plays a sound after those already waiting; returns at once."""
        return self._line.add(sound.louder(self.volume).at_rate(self.rate))

    def stop(self) -> None:
        """Silence from the next block on; what was waiting is dropped."""
        self._line.clear()

    def hold(self) -> None:
        """Silence from the next block on; what was waiting is kept for `go_on`."""
        self._line.hold()

    def go_on(self) -> None:
        """What was held is heard again, from a third of a second before where it stopped."""
        self._line.go_on()

    @property
    def holding(self) -> bool:
        """Whether something is held."""
        return self._line.holding

    @property
    def alive(self) -> bool:
        """Whether the loudspeaker still takes sound: false when it was unplugged or the sound server is gone."""
        return bool(self._stream.active) and time.monotonic() - self._last < _DEAD_AFTER

    def wait(self, timeout: float | None = None) -> bool:
        """Waits until all is played and heard, at most `timeout` seconds. True when it is silent."""
        silent = self._line.wait(timeout)
        if silent:
            time.sleep(self.latency)
        return silent

    def close(self) -> None:
        """Gives the device back. May be called twice."""
        self._line.clear()
        devices.close(self._stream)

    def _opened(self, wanted: int | str | None, rate: int | None) -> tuple[Any, int]:
        device = devices.find("output", wanted)
        if device is None:
            raise NoLoudspeakerError(_NO_LOUDSPEAKER)
        chosen = rate or device.rate
        try:
            stream = self._library.OutputStream(
                samplerate=chosen,
                blocksize=round(chosen * _BLOCK),
                device=device.index,
                # Devices opened without a sound server often refuse one channel; a mono voice comes out of both sides.
                channels=min(2, device.channels),
                dtype="float32",
                latency=_LATENCY,
                callback=self._hand_on,
            )
            stream.start()
        except self._library.PortAudioError as error:
            raise NoLoudspeakerError(f"The loudspeaker {device.name} cannot be used; {_HELP}") from error
        return stream, chosen

    def _hand_on(self, out: Any, frames: int, times: Any, status: Any) -> None:
        self._last = time.monotonic()
        block = self._line.take(frames)
        out[:] = block[:, None]
        if self._tap is not None:
            self._tap(block, times.outputBufferDacTime)


_HELP = "choose another one in the system's sound settings and start again, or add `--typed` to go on in writing."
_NO_LOUDSPEAKER = f"No loudspeaker was found; connect one, or {_HELP}"
