"""Rooms and noises that the bench's speech is put through.

Rooms are shoeboxes simulated by pyroomacoustics' image sources. Noise is set against the speech as it arrives at the
microphone: signal-to-noise ratio over the time in which somebody speaks.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from benchmarks.ear_voices import Voice, voices
from companion.ear.recogniser import RATE, Samples

Noise = Literal["none", "pink", "hum", "music", "babble"]
NOISES: tuple[Noise, ...] = ("pink", "hum", "music", "babble")
_ROOMS = 6  # different rooms for each distance and reverberation; even ones are for tuning, odd ones for testing
_QUIET_BEFORE, _QUIET_AFTER = 2.5, 1.2  # seconds of room around the words
_LEVEL = 0.05  # root mean square of speech at the microphone, as of somebody near it


@dataclass(frozen=True, slots=True)
class Condition:
    """How the words reach the microphone: metres, seconds of reverberation (0: no room), noise and dB above it."""

    name: str
    metres: float = 0.0
    reverberation: float = 0.0
    noisy: bool = False
    snr_db: float = 60.0


CONDITIONS = (
    Condition("clean"),
    Condition("0.5 m, 0.3 s", 0.5, 0.3),
    Condition("1 m, 0.3 s", 1.0, 0.3),
    Condition("2.5 m, 0.5 s", 2.5, 0.5),
    Condition("1 m, noise 20 dB", 1.0, 0.3, True, 20),
    Condition("1 m, noise 10 dB", 1.0, 0.3, True, 10),
    Condition("1 m, noise 5 dB", 1.0, 0.3, True, 5),
)


def recorded(speech: Samples, condition: Condition, seed: int, *, tuning: bool) -> tuple[Samples, Noise]:
    """The speech as the microphone gets it, with room before and after, and the noise that was with it.

    The same seed gives the same recording; tuning and testing never share a room or a stretch of noise.
    """
    rng = np.random.default_rng(seed)
    sound = speech
    if condition.reverberation:
        from scipy.signal import fftconvolve

        number = 2 * int(rng.integers(_ROOMS // 2)) + (0 if tuning else 1)
        response = _response(condition.metres, condition.reverberation, number)
        sound = fftconvolve(speech, response).astype(np.float32)
    loud = np.abs(speech) > 0.02 * np.abs(speech).max(initial=1e-9)
    power = float(np.mean(sound[: len(speech)][loud] ** 2))
    sound = sound * (_LEVEL / np.sqrt(power))
    whole = np.pad(sound, (int(_QUIET_BEFORE * RATE), int(_QUIET_AFTER * RATE)))
    kind: Noise = NOISES[int(rng.integers(len(NOISES)))] if condition.noisy else "none"
    if kind == "none":
        noise = rng.standard_normal(len(whole)).astype(np.float32)
    else:
        long = long_noise(kind, tuning)
        at = int(rng.integers(len(long) - len(whole)))
        noise = long[at : at + len(whole)]
    noise = noise * (_LEVEL * 10 ** (-condition.snr_db / 20) / (np.sqrt(np.mean(noise**2)) + 1e-9))
    return np.clip(whole + noise, -1, 1).astype(np.float32), kind


@functools.cache
def _response(metres: float, reverberation: float, number: int) -> Samples:
    return room(metres, reverberation, np.random.default_rng(1000 + number))


def room(metres: float, reverberation: float, rng: np.random.Generator) -> Samples:
    """The impulse response of a random room, from a mouth to a microphone so many metres away, without delay."""
    import pyroomacoustics

    size = np.array([rng.uniform(3.6, 6.5), rng.uniform(3.2, 5.0), rng.uniform(2.4, 2.8)])
    absorption, order = pyroomacoustics.inverse_sabine(reverberation, size)
    box = pyroomacoustics.ShoeBox(
        size, fs=RATE, materials=pyroomacoustics.Material(absorption), max_order=min(order, 40)
    )
    while True:
        microphone = rng.uniform([0.4, 0.4, 0.6], [size[0] - 0.4, size[1] - 0.4, 1.2])
        turn = rng.uniform(0, 2 * np.pi)
        mouth = microphone + metres * np.array([np.cos(turn), np.sin(turn), 0]) + [0, 0, 0.2]
        if all(0.3 < mouth[i] < size[i] - 0.3 for i in (0, 1)):
            break
    box.add_source(mouth)
    box.add_microphone(microphone)
    box.compute_rir()
    response = np.asarray(box.rir[0][0], np.float32)
    return response[max(0, int(np.abs(response).argmax()) - 40) :]


@functools.cache
def long_noise(kind: Noise, tuning: bool) -> Samples:
    """A minute and a half of one kind of noise, at root mean square 1."""
    rng = np.random.default_rng(7 if tuning else 8)
    samples = 90 * RATE
    if kind == "pink":
        return pink(samples, rng)
    if kind == "hum":
        return hum(samples, rng)
    if kind == "music":
        return music(samples, rng)
    return babble(samples, rng, voices("tune") if tuning else voices("test"))


def pink(samples: int, rng: np.random.Generator) -> Samples:
    """Noise whose power falls by 3 dB an octave."""
    spectrum = np.fft.rfft(rng.standard_normal(samples))
    spectrum /= np.sqrt(np.maximum(np.arange(len(spectrum)), 1))
    return _unit(np.fft.irfft(spectrum, samples))


def hum(samples: int, rng: np.random.Generator) -> Samples:
    """Mains hum and a motor: many harmonics of 50 Hz over some broad noise."""
    time = np.arange(samples) / RATE
    waves = sum(rng.uniform(0.2, 1) / k * np.sin(2 * np.pi * (50 * k * time + rng.uniform())) for k in range(1, 40))
    return _unit(_unit(np.asarray(waves)) + 0.3 * pink(samples, rng))


def music(samples: int, rng: np.random.Generator) -> Samples:
    """Chords, a tune and a beat, made up as it goes."""
    beat = int(RATE * rng.uniform(0.4, 0.6))
    out = np.zeros(samples + 4 * beat)
    scale = np.array([0, 2, 4, 5, 7, 9, 11])
    for n, at in enumerate(range(0, samples, beat)):
        if n % 4 == 0:
            root = int(rng.integers(7))
        notes = [48 + scale[(root + k) % 7] for k in (0, 2, 4)] + [60 + int(scale[int(rng.integers(7))])]
        for note in notes:
            length = beat * (4 if note < 60 and n % 4 == 0 else 1)
            time = np.arange(length) / RATE
            tone = sum(np.sin(2 * np.pi * k * 440 * 2 ** ((note - 69) / 12) * time) / k**1.5 for k in range(1, 8))
            out[at : at + length] += np.asarray(tone) * np.exp(-3 * time / (length / RATE))
        drum = rng.standard_normal(beat // 2) * np.exp(-np.arange(beat // 2) / (0.03 * RATE))
        out[at : at + beat // 2] += drum * (1.5 if n % 2 else 0.7)
    return _unit(out[:samples])


def babble(samples: int, rng: np.random.Generator, speakers: list[Voice], people: int = 4) -> Samples:
    """Several people talking at once, of things that are not for the companion."""
    first = (person * 3 + int(rng.integers(len(speakers))) for person in range(people))
    return at_once(samples, rng, (speakers[number % len(speakers)].say for number in first))


def at_once(samples: int, rng: np.random.Generator, people: Iterable[Callable[[str], Samples]]) -> Samples:
    """People who talk at once, each given by how a text sounds from them, at root mean square 1."""
    from benchmarks.ear_talk import sentences

    out = np.zeros(samples)
    for say in people:
        at = int(rng.integers(RATE))
        talk = sentences(rng)
        while at < samples:
            said = say(next(talk))
            said = said / (np.sqrt(np.mean(said**2)) + 1e-9) * rng.uniform(0.6, 1.2)
            end = min(samples, at + len(said))
            out[at:end] += said[: end - at]
            at = end + int(rng.uniform(0.1, 0.8) * RATE)
    return _unit(out)


def _unit(sound: npt.NDArray[np.float64] | Samples) -> Samples:
    scaled: Samples = (sound / (np.sqrt(np.mean(sound**2)) + 1e-9)).astype(np.float32)
    return scaled
