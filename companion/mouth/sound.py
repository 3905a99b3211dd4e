"""A piece of sound in memory, and what is done to it: cut, joined, mixed, resampled, made louder."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

Samples = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class Sound:
    """Mono sound.

    samples: float32, shape (frames,), full scale -1.0 to 1.0. The array is made read-only.
    rate: frames a second, in hertz.
    spoken: whether there is a voice in it, which the companion's own ear must not take for somebody's.
    """

    samples: Samples
    rate: int
    spoken: bool = True

    def __post_init__(self) -> None:
        """Raises ValueError for what is not mono sound."""
        if self.samples.ndim != 1:
            raise ValueError(f"sound is mono, one row of samples; this has the shape {self.samples.shape}")
        if self.rate <= 0:
            raise ValueError(f"a sample rate is above zero, not {self.rate}")
        samples = np.ascontiguousarray(self.samples, dtype=np.float32)
        if samples is self.samples and samples.flags.writeable:
            samples = samples.view()
        samples.flags.writeable = False
        object.__setattr__(self, "samples", samples)

    @property
    def seconds(self) -> float:
        """How long it lasts."""
        return len(self.samples) / self.rate

    @property
    def peak(self) -> float:
        """The largest sample, sign left out; 0.0 for no sound at all."""
        return float(np.max(np.abs(self.samples))) if len(self.samples) else 0.0

    def at_rate(self, rate: int) -> Sound:
        """The same sound at another sample rate, through soxr at high quality (no shift in time)."""
        if rate == self.rate:
            return self
        import soxr

        samples = np.asarray(soxr.resample(self.samples, self.rate, rate), dtype=np.float32)
        return replace(self, samples=samples, rate=rate)

    def louder(self, decibels: float) -> Sound:
        """The same sound with its level changed by so many decibels (negative: softer)."""
        return replace(self, samples=self.samples * np.float32(10.0 ** (decibels / 20.0)))

    def cut(self, start: float, end: float | None = None) -> Sound:
        """The part from `start` to `end` in seconds; whatever lies outside the sound is left out."""
        last = len(self.samples) if end is None else max(0, round(end * self.rate))
        return replace(self, samples=self.samples[max(0, round(start * self.rate)) : last])

    def without_silent_ends(
        self, *, below: float = 0.002, keep_before: float = 0.01, keep_after: float = 0.05
    ) -> Sound:
        """The sound without the silence that synthesisers put before and after it.

        below: the level, of full scale, that counts as silence (0.002 is -54 dB).
        keep_before, keep_after: seconds of silence left standing, so that no soft consonant is clipped.
        """
        loud = np.flatnonzero(np.abs(self.samples) > below)
        if not len(loud):
            return replace(self, samples=self.samples[:0])
        first = max(0, int(loud[0]) - round(keep_before * self.rate))
        return replace(self, samples=self.samples[first : int(loud[-1]) + 1 + round(keep_after * self.rate)])


def silence(seconds: float, rate: int) -> Sound:
    """So many seconds of nothing."""
    return Sound(np.zeros(max(0, round(seconds * rate)), dtype=np.float32), rate, spoken=False)


def joined(sounds: Iterable[Sound], *, rate: int | None = None) -> Sound:
    """One sound after the other, at `rate` or else at the first one's rate. Raises ValueError for none at all."""
    parts = list(sounds)
    if not parts:
        raise ValueError("there is no sound to join")
    chosen = rate or parts[0].rate
    samples = np.concatenate([part.at_rate(chosen).samples for part in parts])
    return Sound(samples, chosen, spoken=any(part.spoken for part in parts))


def mixed(sound: Sound, other: Sound, *, at: float = 0.0) -> Sound:
    """Both at once, `other` starting `at` seconds into `sound`, at the rate of `sound`, as long as both need.

    Levels are added as they are; nothing is turned down to make room.
    """
    added = other.at_rate(sound.rate).samples
    start = max(0, round(at * sound.rate))
    both = np.zeros(max(len(sound.samples), start + len(added)), dtype=np.float32)
    both[: len(sound.samples)] = sound.samples
    both[start : start + len(added)] += added
    return Sound(both, sound.rate, spoken=sound.spoken or other.spoken)
