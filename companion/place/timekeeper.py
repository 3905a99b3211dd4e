"""The time between commands: hearsay after a long silence, a word about resting the hands after long work."""

from __future__ import annotations

from companion.place.answers import Hearsay, RestHands
from companion.place.where import Where

SILENCE_SECONDS = 600.0
"""After so long a silence the place is told as hearsay first."""


class Timekeeper:
    """Knows when a command was last heard, and since when the hands have been at work."""

    def __init__(self, now: float) -> None:
        self._heard_at = now
        self._working_since = now

    def heard(
        self, now: float, here: Where, *, paused: bool, rest_minutes: int
    ) -> tuple[Hearsay | None, RestHands | None]:
        """A command is heard: what is said before its answer, and what after it."""
        silence, self._heard_at = now - self._heard_at, now
        if paused:
            self._working_since = now
            return None, None
        if silence >= SILENCE_SECONDS:
            self._working_since = now
            return Hearsay(here, int(silence // 60)), None
        worked = now - self._working_since
        if rest_minutes and worked >= rest_minutes * 60:
            self._working_since = now
            return None, RestHands(int(worked // 60))
        return None, None
