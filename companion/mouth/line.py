"""The sounds waiting to be heard, handed on block by block to a loudspeaker, which tells what it has played."""

from __future__ import annotations

import threading
import time
from collections import deque

import numpy as np

from companion.mouth.sound import Samples, Sound

_BACK = 0.3  # seconds by which a sound that was held begins again earlier, so that no word is lost


class Playback:
    """One sound on its way to the ear: first handed on, a little in advance, then played.

    started_at: `time.monotonic()` when its first frame was played, None before.
    over: set once its last frame was played, or it was stopped.
    """

    def __init__(self, sound: Sound) -> None:
        self.sound = sound
        self.started_at: float | None = None
        self.started = threading.Event()
        self.over = threading.Event()
        self.stopped = False
        self._handed = 0
        self._played = 0

    @property
    def position(self) -> float:
        """Seconds of it that were played."""
        return self._played / self.sound.rate

    @property
    def ahead(self) -> int:
        """Frames that were handed on and not played yet."""
        return self._handed - self._played

    def take(self, frames: int) -> Samples:
        """The next frames to be handed on, fewer at the end."""
        part = self.sound.samples[self._handed : self._handed + frames]
        self._handed += len(part)
        return part

    def played(self, frames: int) -> int:
        """So many of the frames handed on were played; gives how many of them were its own."""
        own = min(frames, self.ahead)
        self._played += own
        if self.started_at is None:
            self.started_at = time.monotonic()
            self.started.set()
        if self._played == len(self.sound.samples):
            self.over.set()
        return own

    def stop(self) -> None:
        """Ends it where it is."""
        self.stopped = not self.over.is_set()
        self.over.set()
        self.started.set()

    def back(self, seconds: float) -> None:
        """Goes back to so long before what was played last, to be heard again from there."""
        self._handed = self._played = max(0, self._played - round(seconds * self.sound.rate))


class Line:
    """Sounds one after the other. Thread-safe.

    spoken: whether there was a voice in the block taken last.
    """

    def __init__(self) -> None:
        self.spoken = False
        self._waiting: deque[Playback] = deque()
        self._held: deque[Playback] = deque()
        self._last: Playback | None = None
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
                playback.played(0)
        return playback

    def clear(self) -> None:
        """Drops everything, also what is held."""
        with self._lock:
            for playback in (*self._waiting, *self._held):
                playback.stop()
            self._waiting.clear()
            self._held.clear()

    def hold(self) -> None:
        """What was waiting, or handed on and not played, is kept for `go_on`."""
        with self._lock:
            for number, playback in enumerate(self._waiting):
                playback.back(_BACK if number == 0 else 0.0)
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

    @property
    def ahead(self) -> int:
        """Frames that were handed on and not played yet."""
        with self._lock:
            return sum(playback.ahead for playback in self._waiting)

    def wait(self, timeout: float | None = None) -> bool:
        """Waits until the sound added last was played, at most `timeout` seconds. True when it was."""
        return self._last is None or self._last.over.wait(timeout)

    @property
    def current(self) -> Playback | None:
        """What is being heard, None for nothing."""
        with self._lock:
            return self._waiting[0] if self._waiting else None

    def take(self, frames: int) -> Samples:
        """The next frames to be handed on, fewer where no more wait."""
        parts: list[Samples] = []
        with self._lock:
            self.spoken = False
            for playback in self._waiting:
                part = playback.take(frames - sum(map(len, parts)))
                if len(part):
                    parts.append(part)
                    self.spoken |= playback.sound.spoken
        return np.concatenate(parts) if parts else np.zeros(0, dtype=np.float32)

    def played(self, frames: int) -> None:
        """So many of the frames handed on were played."""
        with self._lock:
            while frames > 0 and self._waiting:
                frames -= self._waiting[0].played(frames)
                if not self._waiting[0].over.is_set():
                    return
                self._waiting.popleft()
