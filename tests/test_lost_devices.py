"""A device that is lost, on a sound system that hangs: what is left of the session works on at once."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest

from companion import devices
from companion.audio import Audio
from companion.ear.recogniser import Samples
from companion.session import open_session
from tests.support.loop import Notes, conversation, hear


class Microphone:
    """Hears silence, 10 ms of it whenever the session would wait."""

    rate, latency, alive = 16000, 0.03, True

    def __init__(self, _wanted: object, _rate: object, _latency: float, heard: Callable[..., None]) -> None:
        self._ended = threading.Event()
        self._heard = heard
        threading.Thread(target=self._run, daemon=True).start()

    def _run(self) -> None:
        while not self._ended.wait(0.01):
            self._heard(np.full(160, 0.001, np.float32), time.monotonic(), time.monotonic(), False)

    def close(self) -> None:
        self._ended.set()


class Loudspeakers:
    """One can be opened at once; the next one only when the sound server answers again."""

    def __init__(self) -> None:
        self.opened: list[Loudspeaker] = []
        self.server_answers = threading.Event()

    def __call__(self, _wanted: object, _rate: object, _latency: float, asked: Callable[..., Samples]) -> Loudspeaker:
        if self.opened:
            self.server_answers.wait(30.0)
        self.opened.append(Loudspeaker())
        return self.opened[-1]


class Loudspeaker:
    rate, latency = 16000, 0.03

    def __init__(self) -> None:
        self.alive = True
        self.closed = False

    def close(self) -> None:
        self.closed = True


@pytest.fixture
def loudspeakers(monkeypatch: pytest.MonkeyPatch) -> Iterator[Loudspeakers]:
    made = Loudspeakers()
    monkeypatch.setattr(devices, "InputDevice", Microphone)
    monkeypatch.setattr(devices, "OutputDevice", made)
    yield made
    made.server_answers.set()


class Sounding(Notes):
    """Notes of a session, but with devices that are read and looked after."""

    def __init__(self, audio: Audio) -> None:
        super().__init__()
        self.audio = audio
        self.told: list[str] = []

    def read(self) -> Samples:
        super().read()
        frame = self.audio.read()
        return np.zeros(512, np.float32) if frame is None else frame

    def news(self) -> tuple[str, ...]:
        happened = self.audio.news()
        self.told += happened
        return happened


def until(happens: Callable[[], bool], step: Callable[[], object]) -> None:
    end = time.monotonic() + 20
    while not happens() and time.monotonic() < end:
        step()
    assert happens()


def test_a_loudspeaker_that_cannot_be_had_back_keeps_nothing_waiting(
    loudspeakers: Loudspeakers, pattern: Path, tmp_path: Path
) -> None:
    with open_session(pattern, state=tmp_path) as session, Audio(headphones=True) as audio:
        session.opening()
        notes = Sounding(audio)
        talk = conversation(session, notes)
        loudspeakers.opened[0].alive = False
        until(lambda: "loudspeaker_lost" in notes.told, talk._step)
        for spoken in ("next round", "i have done three", "how many are left"):
            hear(session, notes, talk, spoken)
        assert len(loudspeakers.opened) == 1, "the sound server still hangs"
        assert [turn.heard for turn in notes.shown] == ["next round", "i have done three", "how many are left"]
        assert (session.work.view.here.round, session.work.view.here.stitch) == (2, 3)
        loudspeakers.server_answers.set()
        until(lambda: "loudspeaker_back" in notes.told, talk._step)
        assert len(loudspeakers.opened) == 2


def test_a_session_that_ends_meanwhile_gives_back_what_comes_too_late(loudspeakers: Loudspeakers) -> None:
    with Audio(headphones=True) as audio:
        loudspeakers.opened[0].alive = False
        opened = lambda: any(thread.name == "opens a device" for thread in threading.enumerate())  # noqa: E731
        until(opened, lambda: audio.read(0.05))
    loudspeakers.server_answers.set()
    until(lambda: len(loudspeakers.opened) == 2 and loudspeakers.opened[1].closed, lambda: time.sleep(0.01))
