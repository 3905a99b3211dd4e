"""Speech and noises that are not for the companion, through the real streaming path: what is done by mistake?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from benchmarks.ear_items import Item
from benchmarks.ear_rooms import CONDITIONS
from benchmarks.ear_run import Trial, ear
from benchmarks.ear_talk import sentences
from benchmarks.ear_voices import Voice, voices
from companion.ear.recogniser import RATE, Recogniser, Samples
from companion.ear.stream import Listener, Utterance
from companion.ear.voice import SileroVoiceActivity, frames_of
from companion.phrases.phrasebook import Phrasebook

IDLE = frozenset({"idle"})
Kind = Literal["other talk", "knocks, beeps, coughs, music"]
NOTHING = ()
PIECE_MINUTES = 5.0  # of talk or noise, made and heard at a time


def talk_trials(speakers: Sequence[Voice], count: int, *, tuning: bool) -> Iterator[Trial]:
    """Single sentences of other talk, in rooms; what is right is to do nothing."""
    rng = np.random.default_rng(21 if tuning else 22)
    talk = sentences(rng)
    rooms = [condition for condition in CONDITIONS if not condition.noisy]
    for number in range(count):
        item = Item(next(talk), NOTHING, IDLE)
        yield Trial(item, speakers[number % len(speakers)], rooms[number % len(rooms)], tuning)


@dataclass(frozen=True, slots=True)
class Alarm:
    """Something that was acted on or answered though nobody spoke to the companion."""

    seconds: float
    decision: str
    heard: str
    free: str
    score: float


def talk(minutes: float, speakers: Sequence[Voice], seed: int) -> Samples:
    """Minutes of one voice after the other talking, with pauses of a quarter of a second to two seconds."""
    rng = np.random.default_rng(seed)
    lines = sentences(rng)
    parts: list[Samples] = []
    length = 0
    while length < minutes * 60 * RATE:
        voice = speakers[int(rng.integers(len(speakers)))]
        level = rng.uniform(0.3, 1.0)
        for _ in range(int(rng.integers(2, 8))):
            parts.append((voice.say(next(lines)) * level).astype(np.float32))
            pause = rng.standard_normal(int(rng.uniform(0.1, 1.8) * RATE)) * 3e-4
            parts.append(pause.astype(np.float32))
            length += len(parts[-2]) + len(parts[-1])
    return np.concatenate(parts)


def knocks(minutes: float, seed: int) -> Samples:
    """Minutes of knocks, hooks dropped, beeps, coughs and bursts of music, a second or two apart."""
    from benchmarks.ear_rooms import music

    rng = np.random.default_rng(seed)
    parts: list[Samples] = []
    length = 0
    while length < minutes * 60 * RATE:
        kind = int(rng.integers(5))
        sound = (
            (_knock, _drop, _beep, _cough)[kind](rng) if kind < 4 else 0.2 * music(int(rng.uniform(0.3, 4) * RATE), rng)
        )
        parts.append((sound * rng.uniform(0.1, 0.9)).astype(np.float32))
        parts.append((rng.standard_normal(int(rng.uniform(0.2, 2.0) * RATE)) * 3e-4).astype(np.float32))
        length += len(parts[-2]) + len(parts[-1])
    return np.clip(np.concatenate(parts), -1, 1)


def alarms(sound: Samples, recogniser: Recogniser, book: Phrasebook, contexts: frozenset[str]) -> Iterator[Alarm]:
    """What is acted on, answered with a question or with "I did not understand" in a sound that is not for us."""
    standing: dict[int, Utterance] = {}
    with Listener(recogniser, book, SileroVoiceActivity(), contexts, settling=1.0) as listener:
        for frame in frames_of(sound):
            for utterance in listener.feed(frame):
                standing.pop(utterance.takes_back or 0, None)
                standing[utterance.number] = utterance
    for utterance in standing.values():
        verdict = utterance.verdict
        if verdict.decision != "ignore":
            at = utterance.began * 512 / RATE
            yield Alarm(round(at, 1), verdict.decision, verdict.text, verdict.free, round(verdict.score, 3))


@dataclass(frozen=True, slots=True)
class PieceOfNoise:
    """Some minutes of one kind of noise that is not for the companion, whose maker may have an attention word."""

    kind: Kind
    seed: int
    attention: str

    @property
    def key(self) -> str:
        """What this piece is filed under."""
        return f"{self.kind} {self.seed}"


def alarms_in(piece: PieceOfNoise) -> list[Alarm]:
    """Make a piece and put it through the ear of this process."""
    recogniser, book = ear()
    if piece.kind == "other talk":
        sound = talk(PIECE_MINUTES, voices("test"), piece.seed)
    else:
        sound = knocks(PIECE_MINUTES, piece.seed)
    return list(alarms(sound, recogniser, book.called(piece.attention), IDLE))


def _knock(rng: np.random.Generator) -> Samples:
    """Wood, struck one to four times."""
    one = rng.standard_normal(2_400) * np.exp(-np.arange(2_400) / rng.uniform(60, 300))
    blow = np.convolve(one, np.ones(int(rng.integers(2, 20))) / 4)[:2_400]
    return np.concatenate(
        [np.pad(blow, (0, int(rng.uniform(0.05, 0.3) * RATE))) for _ in range(int(rng.integers(1, 5)))]
    )


def _drop(rng: np.random.Generator) -> Samples:
    """A metal hook on a table: high ringing that bounces ever faster."""
    out = np.zeros(RATE)
    at, gap = 0, rng.uniform(0.1, 0.2)
    while gap > 0.01 and at < RATE - 4_000:
        time = np.arange(4_000) / RATE
        ring = sum(np.sin(2 * np.pi * f * time) for f in rng.uniform(1_500, 7_000, 5)) * np.exp(-time * 60)
        out[at : at + 4_000] += np.asarray(ring) * gap
        at, gap = at + int(gap * RATE), gap * 0.6
    return out.astype(np.float32)


def _beep(rng: np.random.Generator) -> Samples:
    """An oven or a telephone: one to five tones."""
    time = np.arange(int(rng.uniform(0.08, 0.4) * RATE)) / RATE
    tone = 0.3 * np.sin(2 * np.pi * rng.uniform(400, 3_000) * time)
    gap = np.zeros(int(rng.uniform(0.05, 0.2) * RATE))
    return np.concatenate([np.concatenate([tone, gap]) for _ in range(int(rng.integers(1, 6)))]).astype(np.float32)


def _cough(rng: np.random.Generator) -> Samples:
    """A burst of breath shaped by a throat, once or twice."""
    bursts = []
    for _ in range(int(rng.integers(1, 3))):
        samples = int(rng.uniform(0.15, 0.35) * RATE)
        breath = rng.standard_normal(samples)
        for formant in rng.uniform([400, 1_000, 2_200], [800, 1_600, 3_000]):
            time = np.arange(400) / RATE
            breath = breath + np.convolve(breath, np.sin(2 * np.pi * formant * time) * np.exp(-time * 200))[:samples]
        shape = np.minimum(1, np.arange(samples) / 300) * np.exp(-np.arange(samples) / (0.3 * samples))
        bursts += [breath / np.abs(breath).max() * shape, np.zeros(int(rng.uniform(0.05, 0.2) * RATE))]
    return np.concatenate(bursts).astype(np.float32)
