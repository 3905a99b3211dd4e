"""Commands spoken over the companion's own voice, and an hour of it speaking alone, in simulated rooms.

Everything but the room is real: the echo canceller, the voice activity, the recogniser, the decision. The loop
is closed as in a session: once the maker is heard, the companion falls silent, after the time that its last words take
to leave the loudspeaker. The room is Polack's model (`tests.support.rooms`). Microphone and loudspeaker have clocks of
their own, and the reported times err by a millisecond.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Self

import numpy as np
import soxr

from companion.ear.choose import choose
from companion.ear.echo import EchoCanceller
from companion.ear.own_voice import OthersVoice
from companion.ear.played import Played
from companion.ear.recogniser import RATE, Samples
from companion.ear.stream import Listener, Utterance
from companion.ear.voice import FRAME, SileroVoiceActivity
from companion.mouth.sound import joined, silence
from companion.mouth.voice import Voice
from companion.phrases.command import Command
from companion.phrases.phrasebook import Phrasebook
from tests.support.rooms import Room, level_of

CONTEXTS = frozenset({"idle"})
_AHEAD = 2
"""Frames, 64 ms, by which the loudspeaker is told its sound before the microphone's frame of the same moment is looked
at: the latency of both, a third of it each for loudspeaker, microphone and the work on a frame over virtual devices. So
long do last words take to leave the loudspeaker."""
_SPOKEN = (
    "Round five. Six times: three single crochet, then one increase. That ends the repeat. Thirty stitches.",
    "Twelve made, eighteen left.",
    "You are in round seven of the body, stitch twelve of thirty six.",
    "Round eleven. Single crochet in each stitch around. Thirty six stitches.",
    "Stop here: put the eyes in now, while your fingers still reach the washer, before you close the head.",
    "Three rounds are left after this one.",
    "I did not understand that; nothing was moved.",
    "Round twelve. Six times: four single crochet, then one decrease. That ends the repeat. Thirty stitches.",
    "You need a hook of three and a half millimetres, and about forty metres of yarn.",
    "Saved: round nine of the left ear, at its start, eighteen to make.",
)
_COMMANDS = (
    "next round",
    "how many stitches are left",
    "i have done twelve",
    "where am i",
    "go back two rounds",
    "stop talking",
    "what comes next",
    "i have done seventeen",
    "read the round",
    "how many rounds are left",
    "start round six",
    "what is the total for this round",
    "i'm at stitch twenty",
    "three more",
    "which repeat am i on",
)
_MAKERS = ("en-gb", "en-us+f2", "en-gb-x-rp", "en-us+m3")
_ROOMS = ((0.0, 0.3, 0.0), (0.05, 0.5, 30e-6), (0.15, 0.3, -60e-6), (0.3, 0.4, 100e-6), (0.5, 0.3, 0.0))
"""Of each room the echo's delay and the reverberation, in seconds, and by which share the microphone's clock is fast.

Two crystals of fifty millionths each, as is common (common practice, no source), differ by up to a hundred.
"""
ROOMS = tuple(
    (Room(delay=delay, reverberation=reverberation, seed=number), fast, above)
    for number, (delay, reverberation, fast) in enumerate(_ROOMS)
    for above in (0.0, 6.0)
)
"""Rooms, clocks, and by how many decibels the maker is louder at the microphone than the companion's echo."""
_LONGEST_PAUSE = 8.0  # seconds between two lines where it speaks alone
_JITTER = 0.001  # seconds, root mean square, by which reported times err


@dataclass(slots=True)
class Count:
    """What came of the commands: right, asked back or refused or unheard, and wrong; how soon it fell silent."""

    said: int = 0
    right: int = 0
    asked: int = 0
    wrong: int = 0
    taken: int = 0  # its own words acted on or asked about
    halts: int = 0  # how often it fell silent by itself
    breaths: int = 0  # how often it held its breath for a moment
    held: list[float] = field(default_factory=list)  # seconds from the maker's first sound to silence


class Rehearsal:
    """A companion that speaks without end in one room, frame by frame. A context manager.

    fast: share by which the microphone's clock runs faster than the loudspeaker's. pause: the longest silence between
    two lines, in seconds. speaks: until a voice is noticed. holds: whether it holds its breath, as somebody may have
    begun to speak.
    """

    def __init__(self, lines: tuple[Samples, ...], room: Room, seed: int, *, fast: float = 0.0, pause: float = 0.0):
        name, recogniser = choose("auto")
        self._activity = OthersVoice(SileroVoiceActivity(), lambda: self._canceller.only_own)
        self.listener = Listener(recogniser, Phrasebook(), self._activity, CONTEXTS, name)
        self._room = room
        self._random = np.random.default_rng(seed)
        self._played = Played(RATE)
        self._canceller = EchoCanceller(self._played)
        response = room.response()
        self._size = 1 << (FRAME + len(response)).bit_length()
        self._response = np.fft.rfft(response, self._size)
        self._coming = np.zeros(self._size, dtype=np.float64)
        self._lines = lines
        self._pause = pause
        self._rest = np.zeros(0, dtype=np.float32)
        self._frame = 0
        self._handed = deque([_nothing()] * _AHEAD)
        self.speaks = True
        self.holds = False
        self._rate = RATE * (1.0 + fast)  # of the microphone, by the loudspeaker's clock
        self._sampling = soxr.ResampleStream(RATE, self._rate, 1, dtype="float32", quality="HQ") if fast else None
        self._heard = np.zeros(0, dtype=np.float32)
        self._given = 0  # samples that the microphone gave
        self.spoke = 0.0  # seconds

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.listener.close()

    @property
    def sounding(self) -> bool:
        """Whether the loudspeaker still gives anything."""
        return any(bool(block.any()) for block in self._handed)

    def go_on(self) -> None:
        """Speaks again."""
        self.speaks = True

    def step(self, maker: Samples) -> tuple[Utterance, ...]:
        """32 ms in which the maker says this."""
        told = self._speech() if self.speaks and not self.holds else _nothing()
        self.spoke += FRAME / RATE if told.any() else 0.0
        self._played.note(told, (self._frame + _AHEAD) * FRAME / RATE + self._random.normal(0.0, _JITTER))
        self._handed.append(told)
        noise = self._room.noise * self._random.standard_normal(FRAME)
        heard = (self._echo(self._handed.popleft()) + maker + noise).astype(np.float32)
        self._heard = np.concatenate([self._heard, self._sampling.resample_chunk(heard) if self._sampling else heard])
        self._frame += 1
        return tuple(utterance for frame in self._complete() for utterance in self._hear(frame))

    def _complete(self) -> Iterator[Samples]:
        while len(self._heard) >= FRAME:
            yield self._heard[:FRAME]
            self._heard = self._heard[FRAME:]

    def _hear(self, frame: Samples) -> tuple[Utterance, ...]:
        clean = self._canceller.clean(frame, self._given / self._rate + self._random.normal(0.0, _JITTER))
        self._given += FRAME
        self.listener.beside_own_voice = self.speaks
        utterances = self.listener.feed(clean)
        self.holds = self._activity.may_begin
        if self.listener.notices_voice:
            self.speaks = False
        return utterances

    def _speech(self) -> Samples:
        while len(self._rest) < FRAME:
            line = self._lines[int(self._random.integers(len(self._lines)))]
            pause = np.zeros(round(self._random.uniform(0.0, self._pause) * RATE), dtype=np.float32)
            self._rest = np.concatenate([self._rest, line, pause])
        out, self._rest = self._rest[:FRAME], self._rest[FRAME:]
        return out

    def _echo(self, out: Samples) -> Samples:
        driven = self._room.driven(out)
        self._coming += np.fft.irfft(np.fft.rfft(driven, self._size) * self._response, self._size)
        heard = self._coming[:FRAME].copy()
        self._coming = np.concatenate([self._coming[FRAME:], np.zeros(FRAME)])
        return np.asarray(heard, dtype=np.float32)


def spoken_over(commands: int) -> Count:
    """So many commands over the companion's voice, shared out over all rooms."""
    count = Count()
    book = Phrasebook()
    makers = _rendered(_MAKERS, _COMMANDS)
    lines = _lines()
    each = -(-commands // len(ROOMS))
    for number, (room, fast, above) in enumerate(ROOMS):
        with Rehearsal(lines, room, number, fast=fast) as rehearsal:
            for _ in _frames(8.0):
                rehearsal.step(_nothing())
            for i in range(each):
                text = _COMMANDS[(i + number) % len(_COMMANDS)]
                said = makers[(number + i // len(_COMMANDS)) % len(_MAKERS), text]
                loud = 10 ** (above / 20) * level_of(np.concatenate(lines)) / level_of(said)
                _one(rehearsal, said * np.float32(loud), book.parse(text)[0], count)
    return count


def in_silence(commands: int) -> Count:
    """The same commands with nothing else to hear, for comparison."""
    count = Count()
    book = Phrasebook()
    makers = _rendered(_MAKERS, _COMMANDS)
    with Rehearsal((np.zeros(RATE, dtype=np.float32),), Room(), 1) as rehearsal:
        for i in range(commands):
            text = _COMMANDS[i % len(_COMMANDS)]
            _one(rehearsal, makers[_MAKERS[i // len(_COMMANDS) % len(_MAKERS)], text], book.parse(text)[0], count)
    return count


def alone(minutes: float) -> Count:
    """The companion speaks for so long, with pauses, and nobody else: what it takes for commands, and its own halts."""
    count = Count()
    lines = _lines()
    for number, (room, fast, above) in enumerate(ROOMS):
        if above:
            continue
        with Rehearsal(lines, room, 100 + number, fast=fast, pause=_LONGEST_PAUSE) as rehearsal:
            while rehearsal.spoke < minutes * 60 / (len(ROOMS) / 2):
                spoke, held = rehearsal.speaks, rehearsal.holds
                utterances = rehearsal.step(_nothing())
                count.taken += sum(u.verdict.decision in ("act", "ask") for u in utterances)
                count.halts += spoke and not rehearsal.speaks
                count.breaths += spoke and rehearsal.speaks and rehearsal.holds and not held
                if not rehearsal.listener.hears_speech:
                    rehearsal.go_on()
    return count


def _one(rehearsal: Rehearsal, said: Samples, wanted: Command, count: Count) -> None:
    """The maker says one thing, waits for what comes of it, and a little more."""
    rehearsal.go_on()
    for _ in _frames(1.5):
        rehearsal.step(_nothing())
    count.said += 1
    padded = np.concatenate([said, np.zeros(RATE * 2, dtype=np.float32)])
    first = int(np.argmax(np.abs(said) > 0.01)) / RATE
    silent_at: float | None = None
    results: dict[int, Utterance] = {}
    for start in range(0, len(padded) - FRAME, FRAME):
        for utterance in rehearsal.step(padded[start : start + FRAME]):
            results.pop(utterance.takes_back or 0, None)
            results[utterance.number] = utterance
        if silent_at is None and not rehearsal.sounding:
            silent_at = (start + FRAME) / RATE
    acted = [command for u in results.values() if u.verdict.decision == "act" for command in u.verdict.commands]
    if acted == [wanted]:
        count.right += 1
    elif acted:
        count.wrong += 1
    else:
        count.asked += 1
    if silent_at is not None:
        count.held.append(silent_at - first)


def _lines() -> tuple[Samples, ...]:
    with Voice("en-us") as voice:
        return tuple(joined([voice.render(line), silence(0.3, 22050)]).at_rate(RATE).samples for line in _SPOKEN)


def _rendered(names: tuple[str, ...], texts: tuple[str, ...]) -> dict[tuple[object, str], Samples]:
    rendered: dict[tuple[object, str], Samples] = {}
    for number, name in enumerate(names):
        with Voice(name) as voice:
            for text in texts:
                rendered[name, text] = rendered[number, text] = voice.render(text).at_rate(RATE).samples
    return rendered


def _frames(seconds: float) -> Iterator[int]:
    return iter(range(round(seconds * RATE / FRAME)))


def _nothing() -> Samples:
    return np.zeros(FRAME, dtype=np.float32)
