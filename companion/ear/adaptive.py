"""An adaptive filter that learns the way from loudspeaker to microphone and subtracts what it expects to hear.

It only ever subtracts a copy of what was played, so that a maker who speaks at the same moment is left as they are;
what a small loudspeaker distorts remains. It weighs each new piece of sound by how much of it may be the maker, and so
does not unlearn while both speak.

Source: the partitioned-block frequency-domain Kalman filter, Kuech, Mabande and Enzner, "State-space architecture of
the partitioned-block-based acoustic echo controller", IEEE ICASSP 2014; Enzner and Vary, "Frequency-domain adaptive
Kalman filter for acoustic echo control in hands-free telephones", Signal Processing 86(6), 2006.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from companion.ear.recogniser import Samples

HOP = 256
"""Samples it works on at a time: 16 ms at 16 kHz."""
_PARTS = 20  # blocks of the echo that it models: 0.32 s
LOOKS_BACK = (_PARTS + 1) * HOP
"""Samples of what was played that it needs to know of."""
_STEADY = 0.9995  # how little the room is expected to change from one block to the next
_SMOOTH = 0.9  # of the estimate of what is not echo
_DOUBT = 5.0  # of the untrained filter: how large the echo may be against what is played, in power
_DIES_AWAY = 3.0  # powers of ten by which it is expected to have fallen at the end of the filter


class AdaptiveFilter:
    """Blocks of 256 samples in, the same without the echo out, with no delay."""

    def __init__(self) -> None:
        bins = HOP + 1
        self._played = np.zeros((_PARTS, bins), dtype=np.complex128)  # spectra, the newest first
        self._way = np.zeros((_PARTS, bins), dtype=np.complex128)
        # An echo dies away: what comes late is expected to be small.
        fade = 10.0 ** (-np.arange(_PARTS) / _PARTS * _DIES_AWAY)
        self._doubt = _DOUBT * fade[:, None] * np.ones((_PARTS, bins))
        self._other = np.full(bins, 1e-3)
        self._before = np.zeros(HOP)

    def process(self, near: Samples, far: Samples, *, learn: bool = True) -> Samples:
        """The microphone's block without the echo of what was played; both float32, shape (256,), of one moment.

        learn: whether the filter may change by it.
        """
        self._played = np.roll(self._played, 1, axis=0)
        self._played[0] = np.fft.rfft(np.concatenate([self._before, far]))
        self._before = far.astype(np.float64)
        if not self._played.any():
            return near
        expected = np.fft.irfft((self._played * self._way).sum(axis=0))[HOP:]
        left = near - expected
        if learn:
            self._learn(np.fft.rfft(np.concatenate([np.zeros(HOP), left])))
        return left.astype(np.float32)

    def shifted(self, far: Samples) -> None:
        """The streams were put in step anew. far: what was played before the next block, shape (LOOKS_BACK,)."""
        blocks = far.astype(np.float64).reshape(_PARTS + 1, HOP)
        self._played = np.fft.rfft(np.concatenate([blocks[:-1], blocks[1:]], axis=1), axis=1)[::-1].copy()
        self._before = blocks[-1]

    def _learn(self, left: npt.NDArray[np.complex128]) -> None:
        power = np.abs(self._played) ** 2
        self._other = _SMOOTH * self._other + (1 - _SMOOTH) * np.abs(left) ** 2
        share = self._doubt / ((power * self._doubt).sum(axis=0) + self._other + 1e-10)
        step = share * np.conj(self._played) * left
        # A filter longer than a block would wrap round: each part is held to its own block in time.
        in_time = np.fft.irfft(step, axis=1)
        in_time[:, HOP:] = 0.0
        self._way = _STEADY * (self._way + np.fft.rfft(in_time, axis=1))
        self._doubt = _STEADY**2 * (1 - 0.5 * share * power) * self._doubt + (1 - _STEADY**2) * np.abs(self._way) ** 2
