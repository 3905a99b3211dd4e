"""The sounds waiting to be heard, handed out block by block: what a loudspeaker's callback reads from."""

from __future__ import annotations

import threading
import time
from collections import deque

import numpy as np

from companion.mouth.sound import Samples, Sound

_BACK = 0.3  # seconds by which a sound that was held begins again earlier, so that no word is lost
_FADE = 0.005  # seconds in which speech that is cut off goes to silence, so that it does not click


class Playback:
    """One sound on its way to the ear.

    started_at: `time.monotonic()` when its first frame was handed on, None before.
    over: set once its last frame was handed on, or it was stopped.
    """

    def __init__(self, sound: Sound) -> None:
        self.sound = sound
        self.started_at: float | None = None
        self.started = threading.Event()
        self.over = threading.Event()
        self.stopped = False
        self._handed = 0

    @property
    def position(self) -> float:
        """Seconds of it that were handed on."""
        return self._handed / self.sound.rate

    def take(self, frames: int) -> Samples:
        """The next frames, fewer at the end."""
        part = self.sound.samples[self._handed : self._handed + frames]
        if self.started_at is None:
            self.started_at = time.monotonic()
            self.started.set()
        self._handed += len(part)
        if self._handed == len(self.sound.samples):
            self.over.set()
        return part

    def stop(self) -> None:
        """Ends it where it is."""
        self.stopped = not self.over.is_set()
        self.over.set()
        self.started.set()

    def fading(self) -> Samples:
        """The few samples that lead from where it is to silence; none where it has not begun."""
        tail = self.sound.samples[self._handed : self._handed + round(_FADE * self.sound.rate)]
        if self._handed == 0:
            tail = tail[:0]
        return tail * np.linspace(1.0, 0.0, len(tail), dtype=np.float32)

    def rewind(self) -> None:
        """Goes back a little, to be heard again from there."""
        self._handed = max(0, self._handed - round(_BACK * self.sound.rate))


class Line:
    """Sounds one after the other. Thread-safe; the lock is held only while a block is copied.

    spoken: whether there was a voice in the block taken last.
    """

    def __init__(self) -> None:
        self.spoken = False
        self._waiting: deque[Playback] = deque()
        self._held: deque[Playback] = deque()
        self._last: Playback | None = None
        self._fading = np.zeros(0, dtype=np.float32)
        self._lock = threading.Lock()

    def add(self, sound: Sound) -> Playback:
        """Puts a sound, already at the loudspeaker's rate, behind those waiting."""
        playback = Playback(sound)
        with self._lock:
            if len(sound.samples):
                # While a reply is held, what is added to it waits with it.
                (self._held or self._waiting).append(playback)
                self._last = playback
            else:
                playback.take(0)
        return playback

    def clear(self) -> None:
        """Drops everything, also what is held; the next block fades what was being heard to silence."""
        with self._lock:
            self._fade()
            for playback in (*self._waiting, *self._held):
                playback.stop()
            self._waiting.clear()
            self._held.clear()

    def hold(self) -> None:
        """Silence from the next block on; what was waiting is kept for `go_on`."""
        with self._lock:
            self._fade()
            if self._waiting:
                self._waiting[0].rewind()
            self._held.extend(self._waiting)
            self._waiting.clear()

    def go_on(self) -> None:
        """What was held is heard again, from a little before where it stopped."""
        with self._lock:
            self._waiting.extendleft(reversed(self._held))
            self._held.clear()

    @property
    def holding(self) -> bool:
        """Whether something is held."""
        return bool(self._held)

    def _fade(self) -> None:
        if self._waiting:
            self._fading = self._waiting[0].fading()

    def wait(self, timeout: float | None = None) -> bool:
        """Waits until the sound added last was handed on, at most `timeout` seconds. True when it was."""
        return self._last is None or self._last.over.wait(timeout)

    @property
    def current(self) -> Playback | None:
        """What is being heard, None for nothing."""
        with self._lock:
            return self._waiting[0] if self._waiting else None

    def take(self, frames: int) -> Samples:
        """The next `frames` samples, silence where there is nothing to hear."""
        block = np.zeros(frames, dtype=np.float32)
        with self._lock:
            filled = min(frames, len(self._fading))
            block[:filled] = self._fading[:filled]
            self._fading = self._fading[filled:]
            self.spoken = filled > 0 and self.spoken
            while filled < frames and self._waiting:
                self.spoken |= self._waiting[0].sound.spoken
                part = self._waiting[0].take(frames - filled)
                block[filled : filled + len(part)] = part
                filled += len(part)
                if self._waiting[0].over.is_set():
                    self._waiting.popleft()
        return block
