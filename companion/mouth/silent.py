"""A loudspeaker that makes no noise: it collects what it is given, for the demo, for tests and for quiet use."""

from __future__ import annotations

from companion.mouth.line import Playback
from companion.mouth.sound import Sound, joined, silence


class SilentPlayer:
    """Takes sounds as a loudspeaker does and keeps them. Each is over at once.

    played: everything it was given, in order, with the volume of the moment applied.
    """

    def __init__(self, rate: int = 22050) -> None:
        self.rate = rate
        self.volume = 0.0
        self.played: list[Sound] = []

    @property
    def playing(self) -> bool:
        """Never: nothing is heard."""
        return False

    def play(self, sound: Sound) -> Playback:
        """Keeps the sound."""
        kept = sound.louder(self.volume).at_rate(self.rate)
        self.played.append(kept)
        playback = Playback(kept)
        playback.take(len(kept.samples))
        playback.played(len(kept.samples))
        return playback

    def stop(self) -> None:
        """Nothing to stop."""

    def hold(self) -> None:
        """Nothing to hold."""

    def go_on(self) -> None:
        """Nothing to go on with."""

    @property
    def holding(self) -> bool:
        """Never."""
        return False

    def wait(self, timeout: float | None = None) -> bool:
        """True at once: it is silent."""
        return True

    def close(self) -> None:
        """Nothing to close."""

    def sound(self) -> Sound:
        """All of it, one after the other."""
        return joined(self.played, rate=self.rate) if self.played else silence(0.0, self.rate)
