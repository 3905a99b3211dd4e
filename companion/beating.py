"""The beat of "count with me": when the companion counts the next stitch by itself, at a tempo that the maker said.

A word or a key a stitch is a beat of the maker's own, and then nothing is counted unasked. A tempo counts from one turn
of the round to the next and stops there; "count with me" goes on. Any other command stops it.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping


class Beating:
    """Knows when a beat is due. `clock` gives seconds that never go back."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._tempo: int | None = None
        self._next: float | None = None
        self._counting = False
        self._announced = False

    @property
    def interval(self) -> float:
        """Seconds from one beat to the next."""
        return 60.0 / (self._tempo or 1)

    def said(self, command: str, slots: Mapping[str, int | str], *, accepted: bool) -> None:
        """Told of every command of the maker's after it was answered."""
        was_counting = self._counting
        self._counting = accepted and (command in ("count_with_me", "beat") or (command == "tempo" and was_counting))
        if command == "tempo" and accepted:
            self._tempo = int(slots["beats"])
        elif command == "beat":
            self._tempo = None
        self._next = self._clock() + self.interval if self._counting and self._tempo else None
        self._announced = False

    def due(self, *, sounding: bool) -> bool:
        """Whether a beat is due. `sounding`: a reply is being spoken. The words before the first beat are heard out."""
        if self._next is None:
            return False
        now = self._clock()
        if sounding and not self._announced:
            self._next = now + self.interval
        return now >= self._next

    def beaten(self, *, at_corner: bool) -> None:
        """Told after a beat that was due was counted; at a corner of the round the counting stops."""
        self._announced = True
        self._next = None if at_corner else self._clock() + self.interval
