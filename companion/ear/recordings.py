"""Recordings of what was not understood, kept only where a maker asked for it."""

from __future__ import annotations

import time
import wave
from pathlib import Path

import numpy as np

from companion.ear.recogniser import RATE, Samples

_AT_MOST = 200  # recordings; older ones make room


def keep_recording(sound: Samples, folder: Path) -> Path:
    """Writes 16-bit WAV, named by the time, and deletes the oldest beyond two hundred. Gives the file."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / time.strftime(f"%Y-%m-%d-%H%M%S-{time.monotonic_ns() % 1000:03d}.wav")
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes((np.clip(sound, -1.0, 1.0) * 32767).astype("<i2").tobytes())
    for old in sorted(folder.glob("*.wav"))[:-_AT_MOST]:
        old.unlink()
    return path
