"""Which played sample belongs to which heard one: two streams of two devices, each with a clock of its own."""

from __future__ import annotations

from collections import deque

import numpy as np
import numpy.typing as npt

from companion.ear.played import Played, StreamClock
from companion.ear.recogniser import RATE

_OUT_OF_STEP = 0.025
"""Seconds that the reported times may be off before the streams are put in step anew. They wander by some milliseconds
where the sound does not; both cancellers follow a delay that is off by less, but not one that changes."""
_FASTEST = 5e-4  # share by which two clocks may run apart; more is sound that was lost
_NEVER_MIND = 3.0  # samples by which an offset may be off without being a jump
_REMEMBERED = 30  # moments in step from which it is worked out how fast two streams run apart
_APART_BY = 1.0  # seconds between two of them
_SPAN = 4.0  # seconds, at least, between two that are compared


class Streams:
    """Numbers of played samples for those that are heard.

    The reported times put the streams together; after that the sound itself tells where they belong (`in_step`), and
    from that, how fast they run apart. The times count again only where they jump: there sound was lost.

    jumped: whether they did with the frame taken last; how they lie together now is not known to a millisecond.
    """

    def __init__(self, played: Played) -> None:
        self.jumped = False
        self._played = played
        self._clock = StreamClock(RATE)
        self._heard = 0  # samples taken in
        self._offset = 0.0  # from the number of a heard sample to that of the one played at the same moment
        # The same by the reported times: now, and when the streams were put in step last. Each frame is in step while
        # the companion speaks, so that what was reported then must be known already, or a jump at it is never seen.
        self._reported = self._when_in_step = 0.0
        self._apart = Apart()

    @property
    def next(self) -> float:
        """The number of the played sample that belongs to the next heard one."""
        return self._heard + self._offset

    def take(self, count: int, time: float) -> npt.NDArray[np.float64]:
        """The numbers for the next `count` heard samples. time: the stream time of the first, in seconds."""
        self._clock.note(self._heard, time)
        self._follow_times()
        numbers = self.next + (1.0 + self._apart.share) * np.arange(count, dtype=np.float64)
        self._heard += count
        self._offset += self._apart.share * count
        return numbers

    def in_step(self, lag: float) -> None:
        """The sound was found so many samples later than expected; the streams are shifted by that."""
        self._offset -= lag
        self._when_in_step = self._reported
        self._apart.note(self._heard, self._offset)

    def forget(self) -> None:
        """What was learnt of the two clocks led astray."""
        self._apart.forget()

    def _follow_times(self) -> None:
        self.jumped = False
        near, far = self._clock.start, self._played.start
        if near is None or far is None:
            return
        self._reported = (near - far) * RATE
        jump = self._reported - self._when_in_step
        if abs(jump) > _OUT_OF_STEP * RATE:
            self.jumped = True
            self._offset += jump
            self._when_in_step = self._reported
            self._apart.jumped()


class Apart:
    """How fast two streams run apart, from the offsets at which they were in step.

    share: samples by which the offset changes with every sample.
    """

    def __init__(self) -> None:
        self.share = 0.0
        self._seen: deque[tuple[int, float]] = deque(maxlen=_REMEMBERED)

    def forget(self) -> None:
        """What was learnt led astray."""
        self.share = 0.0
        self._seen.clear()

    def jumped(self) -> None:
        """Sound was lost: the clocks run as before, but offsets from before tell nothing of those that come."""
        self._seen.clear()

    def note(self, number: int, offset: float) -> None:
        """At sample `number` the streams are in step with this offset, in samples.

        The share is the median of the slopes between moments far enough from each other (Theil and Sen).
        """
        if self._seen:
            before, at = self._seen[-1]
            if abs(offset - at) > _NEVER_MIND + _FASTEST * (number - before):
                self.jumped()
        if self._seen and number - self._seen[-1][0] <= _APART_BY * RATE:
            return
        self._seen.append((number, offset))
        numbers, offsets = np.array(self._seen).T
        one, other = np.triu_indices(len(numbers), 1)
        between = numbers[other] - numbers[one]
        far = between > max(_SPAN * RATE, 0.3 * (numbers[-1] - numbers[0]))
        if not far.any():
            return
        self.share = float(np.median((offsets[other] - offsets[one])[far] / between[far]))
