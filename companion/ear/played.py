"""What the loudspeaker plays and when it is heard, kept for a while: the reference of the echo canceller."""

from __future__ import annotations

from collections import deque

import numpy as np
import numpy.typing as npt

from companion.ear.recogniser import RATE, Samples
from companion.ear.resampled import Resampled

_KEPT = 4 * RATE  # samples kept, four seconds
_TAPS = 16  # samples from which one between two is worked out
_REMEMBERED = 64  # blocks whose times are weighed against each other
_LATEST = 5  # blocks that are enough to see a jump, where they agree
_AGREE = 0.002  # seconds within which they must agree with each other
_JUMP = 0.004  # seconds by which they must differ from what was so far


class StreamClock:
    """When sample number n of a running stream was heard, from the times reported for its blocks.

    Most are right within a millisecond; while a stream starts or the machine is busy, single ones are off by tens: the
    median of the last blocks is taken. Where sound was lost or the machine slept, all later ones differ by the same.
    """

    def __init__(self, rate: int) -> None:
        self._rate = rate
        self._starts: deque[float] = deque(maxlen=_REMEMBERED)

    def note(self, number: int, time: float) -> None:
        """Sample `number` is reported for `time`, in seconds."""
        self._starts.append(time - number / self._rate)
        latest = list(self._starts)[-_LATEST:]
        agree = len(latest) == _LATEST and max(latest) - min(latest) < _AGREE
        if agree and abs(float(np.median(latest)) - float(np.median(self._starts))) > _JUMP:
            self._starts = deque(latest, maxlen=_REMEMBERED)

    @property
    def start(self) -> float | None:
        """The time of sample 0; None before anything was noted."""
        return float(np.median(self._starts)) if self._starts else None


class Played:
    """The last seconds of what was played, at 16 kHz, found by the time at which they are heard.

    `note` may be called from the loudspeaker's callback: it only puts the block aside. All else belongs to one thread.

    rate: of the blocks, in hertz.
    """

    def __init__(self, rate: int) -> None:
        self._blocks: deque[tuple[Samples, float, bool]] = deque(maxlen=1000)
        self._resampled = Resampled(rate)
        self._clock = StreamClock(rate)
        self._taken = 0  # samples taken in, at the loudspeaker's rate
        self._end = 0  # samples at 16 kHz so far; the last _KEPT of them are kept
        self._spoken = 0  # how many of them there were when a voice was heard last
        self._samples = np.zeros(_KEPT, dtype=np.float32)

    def note(self, block: Samples, time: float, spoken: bool = True) -> None:
        """A block was handed to the loudspeaker and will be heard at `time`, the sound library's stream time.

        spoken: whether there is a voice in it.
        """
        self._blocks.append((block, time, spoken))

    @property
    def start(self) -> float | None:
        """The stream time of sample 0; None before anything was played."""
        self._gather()
        return self._clock.start

    def knows(self, numbers: npt.NDArray[np.float64]) -> bool:
        """Whether all the samples up to the last of these numbers were handed on already."""
        self._gather()
        return bool(numbers[-1] + _TAPS // 2 < self._end)

    def loudest(self, first: float) -> float:
        """The highest level from this number on to the newest that was handed on, and of the last tenth of a second."""
        self._gather()
        return float(np.abs(self._samples[self._since(first) :]).max(initial=0.0))

    def speaks(self, first: float) -> bool:
        """Whether there is a voice in the same stretch, and not a tone at most."""
        self._gather()
        return self._spoken > self._end + self._since(first)

    def _since(self, first: float) -> int:
        return min(round(first) - self._end, -RATE // 10)

    def samples(self, numbers: npt.NDArray[np.float64]) -> Samples:
        """The samples of these numbers, also between two; zeros where nothing is known to have been played."""
        self._gather()
        whole = np.floor(numbers).astype(np.int64)
        if not self._any(int(whole[0]) - _TAPS, int(whole[-1]) + _TAPS):
            return np.zeros(len(numbers), dtype=np.float32)  # most of an evening is silence
        around = np.arange(1 - _TAPS // 2, 1 + _TAPS // 2)
        away = (numbers - whole)[:, None] - around
        # The ideal interpolation, cut off softly (a raised cosine).
        weights = np.sinc(away) * np.cos(np.pi * away / (_TAPS + 2)) ** 2
        places = whole[:, None] + around + _KEPT - self._end
        known = (places >= 0) & (places < _KEPT)
        found = np.where(known, self._samples[np.clip(places, 0, _KEPT - 1)], 0.0)
        return np.asarray((weights * found).sum(axis=1), dtype=np.float32)

    def _any(self, first: int, last: int) -> bool:
        """Whether anything but silence is known to have been played between these numbers, which rise."""
        start = _KEPT - self._end
        return bool(self._samples[max(first + start, 0) : max(last + start, 0)].any())

    def _gather(self) -> None:
        new = []
        while self._blocks:
            block, time, spoken = self._blocks.popleft()
            self._clock.note(self._taken, time)
            self._taken += len(block)
            new.append(self._resampled.feed(block))
            self._end += len(new[-1])
            if spoken:
                self._spoken = self._end
        if new:
            self._samples = np.concatenate([self._samples, *new])[-_KEPT:]
