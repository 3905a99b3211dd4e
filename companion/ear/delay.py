"""How long a loudspeaker's sound takes to come back through the microphone, measured from the two sounds alone.

Sound systems report their latency, but not that of a wireless loudspeaker or a television behind them. Source of the
method: Knapp and Carter, "The generalized correlation method for estimation of time delay", IEEE Transactions on
Acoustics, Speech and Signal Processing 24(4), 1976 (phase transform).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from companion.ear.recogniser import RATE, Samples

LOWEST, HIGHEST = 200.0, 6000.0
"""Hertz between which an echo is looked for: below is hum, above little comes out of a small loudspeaker."""
SPEAKING = 0.003
"""Level of what is played, of full scale, from which on an echo may come."""
_SPOKEN = 0.2  # share of the samples that must be as loud as that
_SURE = 20.0
"""How far the peak must stand above the rest, in standard deviations, to be an echo and not chance."""

Heights = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Delay:
    """seconds: from the played sound to its echo; negative where the two clocks disagree.

    sureness: height of the correlation's peak in standard deviations of the rest.
    """

    seconds: float
    sureness: float


def measured_delay(near: Samples, far: Samples, *, earliest: float = -0.1, latest: float = 1.0) -> Delay | None:
    """The delay of `far` (what was played) within `near` (what was heard), None where no echo stands out.

    near, far: float32, 16 kHz, the same length, beginning at the same moment; a second or two of them.
    earliest, latest: seconds between which the delay is looked for.
    """
    best = best_match(near, far, earliest=earliest, latest=latest)
    return best if best.sureness >= _SURE else None


def best_match(near: Samples, far: Samples, *, earliest: float, latest: float) -> Delay:
    """The delay at which `far` fits into `near` best, however badly; sureness 0 where either is silent."""
    return highest(correlation(near, far), earliest=earliest, latest=latest)


def correlation(near: Samples, far: Samples) -> Heights | None:
    """How well `far` fits into `near` at each delay in samples, negative ones at the end; None where one is silent."""
    size = 1 << (2 * len(near) - 1).bit_length()
    cross = np.fft.rfft(near, size) * np.conj(np.fft.rfft(far, size))
    hertz = np.fft.rfftfreq(size, 1 / RATE)
    cross[(hertz < LOWEST) | (hertz > HIGHEST)] = 0.0
    # Sound in only a part of the band must not count as much as in all: what is 40 dB below the loudest is left out.
    strength = np.abs(cross)
    floor = 1e-4 * float(strength.max(initial=0.0))
    if floor == 0.0:
        return None
    return np.fft.irfft(np.where(strength > floor, cross / np.maximum(strength, floor), 0.0), size)


def highest(fits: Heights | None, *, earliest: float, latest: float) -> Delay:
    """The best of these delays, in seconds, of a correlation."""
    if fits is None:
        return Delay(0.0, 0.0)
    lags = np.arange(round(earliest * RATE), round(latest * RATE))
    heights = fits[lags]
    best = int(np.argmax(heights))
    between = _between(heights[best - 1 : best + 2])
    return Delay((float(lags[best]) + between) / RATE, float(heights[best] / (np.std(heights) + 1e-12)))


def speaks(sound: Samples) -> bool:
    """Whether there is so much speech in a sound that its echo can be looked for."""
    return bool(np.mean(np.abs(sound) > SPEAKING) > _SPOKEN)


def _between(heights: Heights) -> float:
    """Where the top of the parabola through three heights lies, as a share of a step from the middle one."""
    if len(heights) < 3:
        return 0.0
    before, top, after = (float(height) for height in heights)
    bend = before - 2 * top + after
    return 0.5 * (before - after) / bend if bend else 0.0
