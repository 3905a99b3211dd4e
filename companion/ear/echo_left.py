"""How much of what the echo filter leaves is still echo, also while a maker speaks over it.

A filter that knows its way leaves nothing that is like the echo it expected. One that has lost its way leaves either
that echo or its own mistake, and both follow the expected echo, frequency by frequency, whatever else is heard. What a
maker says does not. So the part of the rest that goes along with the expected echo is measured, in bands, as a share of
all that is heard: the magnitude-squared coherence of Carter, Knapp and Nuttall, "Estimation of the magnitude-squared
coherence function via overlapped fast Fourier transform processing", IEEE Transactions on Audio and Electroacoustics
21(4), 1973, taken over a band at a time.
"""

from __future__ import annotations

from collections import deque

import numpy as np
import numpy.typing as npt

from companion.ear.delay import HIGHEST, LOWEST
from companion.ear.recogniser import RATE, Samples

_WINDOW, _STEP = 512, 256  # samples that are looked at together, and from one look to the next
_LOOKS = 31  # half a second: in less, a maker's voice is like anything by chance
_BANDS = (LOWEST, 400.0, 700.0, 1100.0, 1600.0, 2300.0, 3200.0, 4500.0, HIGHEST)
"""Edges in hertz, wider above as hearing is."""
_FEWEST = 6.0  # looks over which the expected echo must be spread, to be like a maker's voice no more than by chance
_NOTHING = 1e-6  # share of what is heard under which an expected echo tells nothing

Powers = npt.NDArray[np.float64]


class EchoLeft:
    """Follows what is heard and the echo expected in it, for the last half second."""

    def __init__(self) -> None:
        hertz = np.fft.rfftfreq(_WINDOW, 1 / RATE)
        low, high = np.array(_BANDS[:-1])[:, None], np.array(_BANDS[1:])[:, None]
        self._bands = ((hertz >= low) & (hertz < high)).astype(np.float64)
        self._shape = np.hanning(_WINDOW)
        self._before = np.zeros((2, _WINDOW - _STEP), dtype=np.float32)
        self._looks: deque[tuple[npt.NDArray[np.complex128], Powers, Powers]] = deque(maxlen=_LOOKS)

    def forget(self) -> None:
        """What was heard so far no longer counts."""
        self._looks.clear()

    def add(self, heard: Samples, expected: Samples) -> None:
        """Takes in a frame of the microphone and the echo that the filter subtracts from it; whole steps."""
        sounds = np.concatenate([self._before, [heard, expected]], axis=1)
        self._before = sounds[:, len(heard) :]
        for start in range(0, len(heard), _STEP):
            spectra = np.fft.rfft(sounds[:, start : start + _WINDOW] * self._shape)
            left = spectra[0] - spectra[1]
            powers = np.abs(spectra) ** 2
            self._looks.append(
                (self._bands @ (left * np.conj(spectra[1])), self._bands @ powers[1], self._bands @ powers[0])
            )

    @property
    def share(self) -> float | None:
        """The part of the power heard that is echo, or a mistake about it, after the filter; None if that is not known.

        About a hundredth is there by chance.
        """
        if len(self._looks) < _LOOKS:
            return None
        together, expected, heard = (np.stack(parts) for parts in zip(*self._looks, strict=True))
        loud = expected.sum(axis=1)
        if not heard.any() or loud.sum() <= _NOTHING * heard.sum() or loud.sum() ** 2 < _FEWEST * (loud**2).sum():
            return None
        together, expected = together.sum(axis=0), expected.sum(axis=0)
        return float((np.abs(together) ** 2 / (expected + 1e-12)).sum() / heard.sum())
