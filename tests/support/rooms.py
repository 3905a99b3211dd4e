"""A simulated room between loudspeaker and microphone, for tests and benchmarks of echo.

The room's response is Polack's model: the direct sound, then noise that dies away exponentially, by 60 dB in the
reverberation time (Polack, "La transmission de l'énergie sonore dans les salles", 1988). The loudspeaker is small and
distorts: its amplitude follows a hyperbolic tangent.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Samples = npt.NDArray[np.float32]
RATE = 16000


@dataclass(frozen=True, slots=True)
class Room:
    """delay: seconds from handing sound to the loudspeaker to its direct sound at the microphone.

    reverberation: seconds. level: of the echo, in decibels against what was played.
    distortion: 0 for none, 1 for a small loudspeaker, 3 for one at its limit.
    noise: of the room, root mean square of full scale. seed: of the chance in it.
    """

    delay: float = 0.05
    reverberation: float = 0.3
    level: float = 0.0
    distortion: float = 1.0
    noise: float = 0.0005
    seed: int = 3

    def response(self) -> npt.NDArray[np.float64]:
        """What the microphone hears of a click, delay included, at 16 kHz."""
        random = np.random.default_rng(self.seed)
        count = round(self.reverberation * RATE)
        response = 0.05 * random.standard_normal(count) * np.exp(-6.91 * np.arange(count) / count)
        response[0] = 1.0
        response *= 10 ** (self.level / 20) / np.sqrt((response**2).sum())
        return np.concatenate([np.zeros(round(self.delay * RATE)), response])

    def driven(self, played: Samples) -> Samples:
        """What the loudspeaker makes of the sound."""
        return np.tanh(self.distortion * played) / self.distortion if self.distortion else played

    def echo(self, played: Samples) -> Samples:
        """What the microphone hears of `played`, 16 kHz, as long as it, with the room's noise."""
        response = self.response()
        size = 1 << (len(played) + len(response)).bit_length()
        heard = np.fft.irfft(np.fft.rfft(self.driven(played), size) * np.fft.rfft(response, size), size)[: len(played)]
        noise = self.noise * np.random.default_rng(self.seed + 1).standard_normal(len(played))
        return (heard + noise).astype(np.float32)


def level_of(sound: Samples) -> float:
    """Root mean square of the parts of a sound that are not silence."""
    loud = sound[np.abs(sound) > 0.01]
    return float(np.sqrt(np.mean(loud**2))) if len(loud) else 0.0
