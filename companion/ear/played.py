"""What the loudspeaker plays and when it is heard, kept for a while: the reference of the echo canceller."""

from __future__ import annotations

from collections import deque

import numpy as np

from companion.ear.recogniser import RATE, Samples

_KEPT = 4 * RATE  # samples kept, four seconds
_STEP = 0.02  # share of a difference that is followed at once: smooths the jitter of reported times
_ASTRAY = 0.008  # seconds of difference that are no jitter any more
_AGREE = 0.004  # seconds within which times must agree with each other
_BLOCKS = 3  # so many blocks on end that are astray and agree: sound was lost, or the machine slept


class StreamClock:
    """When sample number n of a running stream was heard, from the times reported for its blocks, which jitter."""

    def __init__(self, rate: int) -> None:
        self._rate = rate
        self._start: float | None = None
        self._astray: deque[float] = deque(maxlen=_BLOCKS)

    def note(self, number: int, time: float) -> None:
        """Sample `number` is reported for `time`, in seconds."""
        start = time - number / self._rate
        if self._start is None:
            self._start = start
        elif abs(start - self._start) <= _ASTRAY:
            self._start += _STEP * (start - self._start)
            self._astray.clear()
        else:
            self._astray.append(start)
            if len(self._astray) == _BLOCKS and max(self._astray) - min(self._astray) < _AGREE:
                self._start = start
                self._astray.clear()

    @property
    def start(self) -> float | None:
        """The time of sample 0; None before anything was noted."""
        return self._start


class Played:
    """The last seconds of what was played, at 16 kHz, found by the time at which they are heard.

    `note` may be called from the loudspeaker's callback: it only puts the block aside. All else belongs to one thread.

    rate: of the blocks, in hertz.
    """

    def __init__(self, rate: int) -> None:
        import soxr

        self._blocks: deque[tuple[Samples, float]] = deque(maxlen=1000)
        self._resampler = soxr.ResampleStream(rate, RATE, 1, dtype="float32", quality="MQ")
        self._clock = StreamClock(rate)
        self._taken = 0  # samples taken in, at the loudspeaker's rate
        self._end = 0  # samples at 16 kHz so far; the last _KEPT of them are kept
        self._samples = np.zeros(_KEPT, dtype=np.float32)

    def note(self, block: Samples, time: float) -> None:
        """A block was handed to the loudspeaker and will be heard at `time`, the sound library's stream time."""
        self._blocks.append((block, time))

    def number_at(self, time: float) -> int | None:
        """The number of the sample heard at that time, at 16 kHz from the first one on; None before the first."""
        self._gather()
        return None if self._clock.start is None else round((time - self._clock.start) * RATE)

    def samples(self, first: int, count: int) -> Samples:
        """`count` samples from number `first` on; zeros where nothing is known to have been played."""
        self._gather()
        found = np.zeros(count, dtype=np.float32)
        low, high = max(first, 0, self._end - _KEPT), min(first + count, self._end)
        if low < high:
            start = _KEPT - self._end
            found[low - first : high - first] = self._samples[start + low : start + high]
        return found

    def _gather(self) -> None:
        new = []
        while self._blocks:
            block, time = self._blocks.popleft()
            self._clock.note(self._taken, time)
            self._taken += len(block)
            new.append(np.asarray(self._resampler.resample_chunk(block), dtype=np.float32))
        if new:
            self._samples = np.concatenate([self._samples, *new])[-_KEPT:]
            self._end += sum(len(part) for part in new)
