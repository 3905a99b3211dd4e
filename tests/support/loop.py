"""The loop of a talk aloud with devices that only take notes: what it answers, holds and drops, frame by frame."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np

from companion.ear.decide import Verdict
from companion.ear.recogniser import FreeTranscript, Hearing
from companion.ear.stream import Utterance
from companion.live import Conversation, Talk
from companion.phrases.attention import without_attention
from companion.settings import Settings


class Notes:
    """Stands for the devices, the ear, the replies and the screen, and writes down what is asked of them."""

    def __init__(self) -> None:
        self.said: list[str] = []
        self.tones = 0
        self.stopped = 0
        self.shown: list[Any] = []
        self.coming: list[tuple[Utterance, bool]] = []
        self.joining: int | None = None
        self.beside_own_voice = False
        self.notices_voice = self.may_begin = False
        self.contexts: Any = None
        self.phrasebook: Any = None
        self.playing = self.holding = self.unfinished = False
        self.volume = 0.0
        self.heard_at = 0.0
        self.rates: list[float] = []

    def read(self) -> np.ndarray[Any, Any]:
        self.joining = 1 if self.coming and self.coming[0][1] else None
        return np.zeros(512, np.float32)

    def prepare(self) -> None: ...

    def feed(self, _: object) -> tuple[Utterance, ...]:
        return (self.coming.pop(0)[0],) if self.coming else ()

    def news(self) -> tuple[str, ...]:
        return ()

    pressed = news

    def say(self, text: str, *, rate: float = 1.0, before: object = None) -> Any:
        self.said.append(text)
        self.rates.append(rate)
        return self._playback()

    def play(self, _: object) -> Any:
        self.tones += 1
        return self._playback()

    def _playback(self) -> Any:
        return SimpleNamespace(started=SimpleNamespace(wait=lambda seconds: True), started_at=1.0)

    def stop(self) -> None:
        self.stopped += 1

    def hold(self) -> None:
        self.playing, self.holding = False, True

    def go_on(self) -> None:
        self.playing, self.holding = True, False

    def expect(self, texts: object, *, rate: float) -> None: ...

    def turn(self, turn: Any, where: str, latency: int | None) -> None:
        self.shown.append(turn)

    def tell(self, sentence: str) -> None: ...


def conversation(session: Talk, notes: Notes, chosen: Settings | None = None) -> Conversation:
    """The loop of this talk with those notes for devices."""
    aloud = SimpleNamespace(
        audio=notes, replies=notes, keys=notes, voice=notes, activity=notes, settings=chosen or Settings()
    )
    return Conversation(session, aloud, notes, notes)  # type: ignore[arg-type]


def hear(session: Talk, notes: Notes, talk: Conversation, text: str, *, joined: bool = False) -> None:
    """The ear has heard this, as a new utterance or as one that holds the last one as well."""
    commands = without_attention(session.called.parse(text))
    verdict = Verdict(text, commands, "act" if commands else "ignore", 0.99)
    hearing = Hearing((), FreeTranscript(text, 0.0, 1), 1.0)
    sound = np.zeros(512, np.float32)
    utterance = Utterance(2, sound, hearing, verdict, 0, 10, 18, takes_back=1 if joined else None)
    notes.coming.append((utterance, joined))
    talk._step()
