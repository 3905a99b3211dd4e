"""How loud a sound is to the ear, and how to make every reply equally loud.

Source: Recommendation ITU-R BS.1770-4 (10/2015), Annex 1: two filters (K-weighting), mean square over blocks of 400 ms
that overlap by three quarters, an absolute gate at -70 LKFS and a relative gate 10 LU below the mean of what passed it.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from companion.mouth.sound import Sound

_BLOCK = 0.4  # seconds
_STEP = 0.1
_ABSOLUTE_GATE = -70.0
_RELATIVE_GATE = -10.0
_PEAK_LIMIT = 10.0 ** (-1.0 / 20.0)


def integrated_loudness(sound: Sound) -> float:
    """Integrated loudness of mono sound in LUFS; minus infinity for silence.

    Sound shorter than one block of 400 ms ("no") is taken as one block as long as it is, since the recommendation
    leaves it open.
    """
    weighted = _k_weighted(sound)
    block, step = round(_BLOCK * sound.rate), round(_STEP * sound.rate)
    if not len(weighted):
        return -math.inf
    block = min(block, len(weighted))
    energy = np.concatenate([[0.0], np.cumsum(weighted**2)])
    starts = np.arange(0, len(weighted) - block + 1, step)
    power = (energy[starts + block] - energy[starts]) / block
    power = power[_lufs(power) > _ABSOLUTE_GATE]
    if not len(power):
        return -math.inf
    gate = float(_lufs(np.array([power.mean()]))[0]) + _RELATIVE_GATE
    return float(_lufs(np.array([power[_lufs(power) > gate].mean()]))[0])


def at_loudness(sound: Sound, target: float) -> Sound:
    """The same sound at `target` LUFS, or softer where its peak would pass -1 dB of full scale; silence as it is."""
    loudness = integrated_loudness(sound)
    if loudness == -math.inf:
        return sound
    headroom = 20.0 * math.log10(_PEAK_LIMIT / sound.peak)
    return sound.louder(min(target - loudness, headroom))


def _lufs(power: np.ndarray[tuple[int], np.dtype[np.float64]]) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    with np.errstate(divide="ignore"):
        return -0.691 + 10.0 * np.log10(power)


def _k_weighted(sound: Sound) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """The sound through both filters of BS.1770: a shelf for the head, then a high-pass.

    The recommendation gives coefficients for 48 kHz alone. Their analogue prototypes (gain, centre and quality of each
    filter, as in De Man, "Evaluation of Implementations of the EBU R128 Loudness Measurement", 2018) give them for any
    rate. Filtering is done on the spectrum, padded so that the end does not wrap round into the start.
    """
    size = 1 << (len(sound.samples) + sound.rate // 2 - 1).bit_length() if len(sound.samples) else 1
    spectrum = np.fft.rfft(sound.samples.astype(np.float64), size)
    return np.fft.irfft(spectrum * _response(size, sound.rate), size)[: len(sound.samples)]


@lru_cache(maxsize=4)  # sentences come in few sizes, and working a response out takes as long as using it
def _response(size: int, rate: int) -> np.ndarray[tuple[int], np.dtype[np.complex128]]:
    """What both filters do to each frequency of a spectrum of that size."""
    z = np.exp(-2j * np.pi * np.fft.rfftfreq(size))
    response = np.ones_like(z)
    for b, a in (_shelf(rate), _high_pass(rate)):
        response = response * np.polyval(b[::-1], z) / np.polyval(a[::-1], z)
    return np.asarray(response, dtype=np.complex128)


def _shelf(rate: int) -> tuple[list[float], list[float]]:
    gain, quality, centre = 3.999843853973347, 0.7071752369554196, 1681.974450955533
    k = math.tan(math.pi * centre / rate)
    high = 10.0 ** (gain / 20.0)
    middle = high**0.4996667741545416
    a0 = 1.0 + k / quality + k * k
    b = [
        (high + middle * k / quality + k * k) / a0,
        2.0 * (k * k - high) / a0,
        (high - middle * k / quality + k * k) / a0,
    ]
    return b, [1.0, 2.0 * (k * k - 1.0) / a0, (1.0 - k / quality + k * k) / a0]


def _high_pass(rate: int) -> tuple[list[float], list[float]]:
    quality, centre = 0.5003270373238773, 38.13547087602444
    k = math.tan(math.pi * centre / rate)
    a0 = 1.0 + k / quality + k * k
    return [1.0, -2.0, 1.0], [1.0, 2.0 * (k * k - 1.0) / a0, (1.0 - k / quality + k * k) / a0]
