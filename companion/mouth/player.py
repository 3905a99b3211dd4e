"""The loudspeaker: plays sounds one after the other, and stops at once when told to."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from typing import Protocol, Self

from companion import devices
from companion.mouth.line import Line, Playback
from companion.mouth.sound import Samples, Sound

_LATENCY = 0.025  # seconds asked of the sound system; a reply cut off is heard no longer than this
_AHEAD = 0.08  # seconds handed on before they are played: a session that is busy for less is not heard

Tap = Callable[[Samples, float, bool], None]
"""Told every block that is played, silence as well: its samples at the loudspeaker's rate, the stream time at which it
will be heard, and whether there is a voice in it."""


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
    wake.

    device: number or (part of the) name, None for the system's default. rate: in hertz, None for the device's own.
    tap: told every block, for echo cancellation; None for nobody.
    volume: decibels added to every sound from the next one on.
    Raises devices.NoLoudspeakerError, or devices.DeviceError where the sound library is missing.
    """

    def __init__(self, device: int | str | None = None, *, rate: int | None = None) -> None:
        self.volume = 0.0
        self.tap: Tap | None = None
        self._line = Line()
        # A block that is taken from the line and not given to the device yet must not outlive a cut.
        self._lock = threading.Lock()
        self._cuts = self._cuts_done = 0
        with self._lock:  # the first block is told before all is there to take note of it
            self._device = devices.OutputDevice(device, rate, _LATENCY, self._note_played)
            self.rate = self._device.rate

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
        """Seconds played of the sound being heard, None in silence."""
        current = self._line.current
        return None if current is None else current.position

    @property
    def latency(self) -> float:
        """Seconds from a block being played to it being heard, as the sound system gives it."""
        return self._device.latency

    def play(self, sound: Sound) -> Playback:
        """Plays a sound after those already waiting; returns at once."""
        ready = sound.louder(self.volume).at_rate(self.rate)
        with self._lock:
            playback = self._line.add(ready)
            self._hand_on()
        return playback

    def stop(self) -> None:
        """Silence from the next block on; what was waiting is dropped."""
        with self._lock:
            self._cut()
            self._line.clear()

    def hold(self) -> None:
        """Silence from the next block on; what was waiting is kept for `go_on`."""
        with self._lock:
            self._cut()
            self._line.hold()

    def go_on(self) -> None:
        """What was held is heard again, from a third of a second before where it stopped."""
        with self._lock:
            self._line.go_on()
            self._hand_on()

    @property
    def holding(self) -> bool:
        """Whether something is held."""
        return self._line.holding

    @property
    def alive(self) -> bool:
        """Whether the loudspeaker still takes sound: false when it was unplugged or the sound server is gone."""
        return self._device.alive

    def wait(self, timeout: float | None = None) -> bool:
        """Waits until all is played and heard, at most `timeout` seconds. True when it is silent."""
        silent = self._line.wait(timeout)
        if silent:
            time.sleep(self.latency)
        return silent

    def close(self) -> None:
        """Gives the device back. May be called twice."""
        self._line.clear()
        self._device.close()

    def _hand_on(self) -> None:
        # Before it has fallen silent it is given nothing: a process that hangs would read none of it, and the pipe to
        # it would fill up and keep this thread waiting.
        if self._cuts_done != self._cuts:
            return
        while self._line.ahead < _AHEAD * self.rate:
            block = self._line.take(round(devices.BLOCK * self.rate))
            if not len(block):
                return
            self._device.give(block, spoken=self._line.spoken)

    def _cut(self) -> None:
        if self._line.ahead:
            self._device.cut()
            self._cuts += 1

    def _note_played(self, block: Samples, heard_at: float, spoken: bool, given: int, cuts: int) -> None:
        if self.tap is not None:
            self.tap(block, heard_at, spoken)
        with self._lock:
            self._cuts_done = cuts
            if cuts == self._cuts:  # else it was given before a cut, and is no longer of what waits
                self._line.played(given)
            self._hand_on()
