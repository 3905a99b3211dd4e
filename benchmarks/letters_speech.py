"""What the network of letters learns from: many kinds of sentences by many voices, in many rooms and noises.

Nothing of it is in the tests: not the sentences kept for testing, nor the test voices, rooms or stretches of noise.
Voices, rooms and noise vary far more than on the bench, since what is learnt must hold for people.
"""

from __future__ import annotations

import functools
import os
from collections.abc import Callable, Iterator

import numpy as np

from benchmarks.ear_items import STATES, items, phrasebook
from benchmarks.ear_rooms import NOISES, at_once, babble, long_noise, room
from benchmarks.ear_talk import sentences
from benchmarks.ear_voices import CACHE, Voice, voices
from benchmarks.many_voices import crowd
from companion.ear.letters import in_letters
from companion.ear.recogniser import RATE, Samples
from companion.ear.word_graph import WordGraph, word_graph
from companion.phrases import numbers

_ROOMS = 40
_LONGEST = 7.0  # seconds of speech
_LONGEST_WALK = 14  # words
_LEVEL = 0.05
_ENGLISH = ("en-us", "en-us", "en-gb", "en-gb-x-rp")
_SPEAKERS = (  # of espeak-ng, as it calls them; none of those that the test voices have
    *("", "+m2", "+m3", "+m4", "+m5", "+m6", "+m7", "+m8", "+f1", "+f3", "+klatt", "+klatt2", "+klatt3", "+croak"),
    *("+Andrea", "+Annie", "+steph", "+linda", "+max", "+paul", "+rob", "+victor", "+zac", "+adam", "+quincy"),
    *("+travis", "+aunty", "+grandpa"),
)
_WITH_NUMBER = (
    *("{} more", "i am at stitch {}", "i counted {}", "go to round {}", "rip back to round {}", "start round {}"),
    *("i counted {} stitches", "round {}", "{} stitches", "repeat {}", "{}"),
)


def lessons(count: int, seed: int) -> Iterator[tuple[str, Samples]]:
    """So many recordings with what is said in them, in the letters of the network's alphabet."""
    return _made(count, np.random.default_rng(seed), lambda text, rng: _speaker(rng).fresh(text), _talkers)


def lessons_by_many(count: int, seed: int) -> Iterator[tuple[str, Samples]]:
    """So many recordings by the crowd of neural voices; what takes long to speak is used twice."""
    return _made(count, np.random.default_rng([seed, 1]), _one_of_many, _many_talkers, times=2)


def _made(
    count: int,
    rng: np.random.Generator,
    speak: Callable[[str, np.random.Generator], Samples],
    talkers: Callable[[int], Samples],
    times: int = 1,
) -> Iterator[tuple[str, Samples]]:
    texts = _texts(rng)
    while count:
        text = in_letters(next(texts))
        speech = _trimmed(speak(text, rng)) if text else np.zeros(0, np.float32)
        if len(speech) and len(speech) < _LONGEST * RATE:
            for _ in range(min(times, count)):
                count -= 1
                yield text, _recorded(_warped(speech, rng), rng, talkers)


def _texts(rng: np.random.Generator) -> Iterator[str]:
    """Commands, words of commands in no order, and other talk."""
    book = phrasebook()
    known = items(book)
    learnt = [item.text for item in known if item.for_tuning]
    kept_apart = {item.text for item in known if not item.for_tuning}
    graphs = [word_graph(book.grammar(state)) for state in STATES[:3]]
    words = sorted(set().union(*(graph.words() for graph in graphs)))
    talk = sentences(rng)
    while True:
        match int(rng.choice(5, p=[0.4, 0.22, 0.08, 0.1, 0.2])):
            case 0:
                text = _walk(graphs[int(rng.choice(3, p=[0.7, 0.15, 0.15]))], rng)
            case 1:
                text = learnt[int(rng.integers(len(learnt)))]
            case 2:
                number = numbers.in_words(int(rng.integers(1, 201)))
                text = _WITH_NUMBER[int(rng.integers(len(_WITH_NUMBER)))].format(number)
            case 3:
                text = " ".join(words[int(i)] for i in rng.integers(len(words), size=int(rng.integers(1, 7))))
            case _:
                text = next(talk)
        if text not in kept_apart:
            yield text


def _walk(graph: WordGraph, rng: np.random.Generator) -> str:
    """A random sentence of a grammar; empty where none ended in time."""
    place, said = 0, list[str]()
    while len(said) < _LONGEST_WALK:
        if place in graph.ends and (not graph.steps[place] or rng.random() < 0.4):
            return " ".join(said)
        word, place = graph.steps[place][int(rng.integers(len(graph.steps[place])))]
        said.append(word)
    return ""


def _speaker(rng: np.random.Generator) -> Voice:
    speed = float(rng.uniform(0.8, 1.25))
    kind = rng.random()
    if kind < 0.42:
        name = str(rng.choice(_ENGLISH)) + str(rng.choice(_SPEAKERS))
        return Voice("lesson", "espeak", name, "tune", speed, int(rng.integers(20, 81)))
    if kind < 0.63:
        return Voice("lesson", "piper", "joe", "tune", speed)
    if kind < 0.79:
        return Voice("lesson", "pico", "en-GB", "tune", speed, int(rng.integers(25, 76)))
    return Voice("lesson", "flite", "slt" if kind < 0.92 else "kal16", "tune", speed)


def _one_of_many(text: str, rng: np.random.Generator) -> Samples:
    """The text by one of the crowd, two in three of them with English as their own; half are mixtures of two."""
    everyone = crowd(CACHE / "crowd")
    names = everyone.names()
    own = [name for name in names if name[0] in "ab"]
    group = own if rng.random() < 0.67 else [name for name in names if name not in own]
    one, other = (str(name) for name in rng.choice(group, 2, replace=False))
    part = float(rng.uniform(0.2, 0.8)) if rng.random() < 0.5 else 0.0
    english = {"a": "en-us", "b": "en-gb"}.get(one[0]) or str(rng.choice(_ENGLISH))
    return everyone.say(text, {one: 1 - part, other: part}, english, float(rng.uniform(0.75, 1.3)))


def _warped(speech: Samples, rng: np.random.Generator) -> Samples:
    """Half of the voices with a longer or shorter throat: resampled, which changes pitch, tone and speed together."""
    import soxr

    if rng.random() < 0.5:
        return speech
    return np.asarray(soxr.resample(speech, float(rng.uniform(0.87, 1.15)), 1.0), np.float32)


def _trimmed(speech: Samples) -> Samples:
    loud = np.flatnonzero(np.abs(speech) > 0.01 * np.abs(speech).max(initial=1e-9))
    return speech[loud[0] : loud[-1] + 1] if len(loud) else speech[:0]


def _recorded(speech: Samples, rng: np.random.Generator, talkers: Callable[[int], Samples]) -> Samples:
    """The speech as a microphone somewhere gets it: one in five close and clean, others in a room, most in noise."""
    from scipy.signal import butter, fftconvolve, lfilter

    sound = speech
    clean = rng.random() < 0.2
    if not clean:
        sound = fftconvolve(speech, _room(int(rng.integers(_ROOMS))))[: len(speech) + int(0.3 * RATE)]
    loud = np.abs(speech) > 0.02 * np.abs(speech).max()
    sound = sound * (_LEVEL / (np.sqrt(np.mean(np.square(sound[: len(speech)][loud]))) + 1e-9))
    sound = np.pad(sound, (int(rng.uniform(0.2, 0.5) * RATE), int(rng.uniform(0.12, 0.35) * RATE)))
    if not clean and rng.random() < 0.72:
        noise, snr_db = _noise(len(sound), rng, talkers), rng.uniform(2, 22)
    else:
        noise, snr_db = rng.standard_normal(len(sound)).astype(np.float32), rng.uniform(30, 60)
    sound = sound + noise * (_LEVEL * 10 ** (-snr_db / 20) / (np.sqrt(np.mean(np.square(noise))) + 1e-9))
    sound = np.clip(sound * 10 ** (rng.uniform(-8, 6) / 20), -1, 1)
    if rng.random() < 0.3:  # a microphone that favours high or low tones
        sound = lfilter([1, rng.uniform(-0.5, 0.5)], [1], sound)
    if rng.random() < 0.15:  # one that hears a narrow band only
        band = [rng.uniform(80, 300) / (RATE / 2), rng.uniform(3_200, 7_000) / (RATE / 2)]
        sound = lfilter(*butter(2, band, "band"), sound)
    return np.asarray(sound, np.float32)


def _noise(samples: int, rng: np.random.Generator, talkers: Callable[[int], Samples]) -> Samples:
    """Some seconds of the bench's kinds of noise for tuning; other talkers are one to five."""
    kind = NOISES[int(rng.choice(len(NOISES), p=[0.25, 0.15, 0.2, 0.4]))]
    long = talkers(int(rng.integers(1, 6))) if kind == "babble" else long_noise(kind, tuning=True)
    at = int(rng.integers(len(long) - samples))
    return long[at : at + samples]


@functools.cache
def _talkers(people: int) -> Samples:
    return babble(60 * RATE, np.random.default_rng(50 + people), voices("tune"), people)


@functools.cache
def _many_talkers(people: int) -> Samples:
    """Half a minute of some of the crowd talking at once; kept on disk, since it takes long to speak."""
    kept = CACHE / "crowd" / f"talkers-{people}.npy"
    if not kept.is_file():
        rng = np.random.default_rng(60 + people)
        talk = at_once(30 * RATE, rng, [lambda text: _one_of_many(in_letters(text), rng)] * people)
        scratch = kept.with_suffix(f".{os.getpid()}.part.npy")
        np.save(scratch, talk)
        scratch.replace(kept)
    talkers: Samples = np.load(kept)
    return talkers


@functools.cache
def _room(number: int) -> Samples:
    rng = np.random.default_rng(3_000 + number)
    return room(float(rng.uniform(0.4, 3.0)), float(rng.uniform(0.22, 0.6)), rng)
