"""A conversation over virtual devices, in real time: how soon it answers, and how soon it falls silent.

The real program, as a process of its own, with the real sound library; a private sound server with a virtual microphone
and loudspeaker. Both times are measured from outside, between recordings of what the maker says and of what comes out
of the loudspeaker: the end of the maker's last word to the first sample of the reply, pause included, and the beginning
of the maker's first word to the last sample of the speech that it cuts off.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from companion import resources
from companion.mouth.sound import Sound
from companion.mouth.voice import Voice
from tests.support.soundserver import Recording, SoundServer

RATE = 48000
_PATTERN = "pocket-mouse.txt"
_LEVEL = 0.003  # of full scale: softer is silence
_QUESTIONS = (
    "next round",
    "how many are left",
    "i have done four",
    "where am i",
    "three more",
    "how many rounds are left",
)
_LONG = "read the round"
_CUTS = ("stop", "wait", "quiet", "where am i", "next round", "how many are left")


@dataclass(slots=True)
class Times:
    """Seconds. `unanswered` counts utterances that nothing came of."""

    answers: list[float] = field(default_factory=list)
    silences: list[float] = field(default_factory=list)
    unanswered: int = 0


class Room:
    """The virtual room: a maker who speaks into the microphone, and recordings of both sides."""

    def __init__(self, server: SoundServer, maker: Recording, loudspeaker: Recording) -> None:
        self._server = server
        self._sides = {"maker": maker, "loudspeaker": loudspeaker}

    def say(self, sound: Sound) -> tuple[float, float]:
        """When its first and its last sound were heard, by `time.monotonic()`."""
        begun = time.monotonic()
        with self._server.speaking(sound.samples, sound.rate, sink="maker"):
            time.sleep(sound.seconds + 0.4)
        loud = self.loud("maker", begun)
        return float(loud[0]), float(loud[-1])

    def loud(self, side: str, since: float) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
        """The moments since then at which that side was not silent."""
        recording = self._sides[side]
        first = max(0, round((since - recording.start) * RATE))
        return recording.start + (first + np.flatnonzero(np.abs(recording.samples(first)) > _LEVEL)) / RATE

    def wait_for_sound(self, since: float, limit: float) -> float | None:
        """The first moment since then at which the loudspeaker was not silent; None where there is none in time."""
        end = time.monotonic() + limit
        while time.monotonic() < end:
            time.sleep(0.1)
            loud = self.loud("loudspeaker", since)
            if len(loud):
                return float(loud[0])
        return None

    def wait_for_silence(self, seconds: float = 1.0, limit: float = 60.0) -> None:
        """Until the loudspeaker has been silent for so long."""
        end = time.monotonic() + limit
        while time.monotonic() < end:
            time.sleep(0.1)
            if not len(self.loud("loudspeaker", time.monotonic() - seconds)):
                return


def conversation(turns: int) -> Times:
    """So many questions, and half as many interruptions."""
    times = Times()
    with _room() as room, Voice("en-us") as maker:
        room.wait_for_silence(2.0)
        for i in range(turns):
            _, ended = room.say(maker.render(_QUESTIONS[i % len(_QUESTIONS)]))
            started = room.wait_for_sound(ended + 0.05, 4.0)
            if started is None:
                times.unanswered += 1
            else:
                times.answers.append(started - ended)
            room.wait_for_silence()
        for i in range(turns // 2):
            _, ended = room.say(maker.render(_LONG))
            if room.wait_for_sound(ended + 0.05, 4.0) is None:
                times.unanswered += 1
                continue
            time.sleep(0.3)
            begun, ended = room.say(maker.render(_CUTS[i % len(_CUTS)]))
            spoken = room.loud("loudspeaker", begun)
            spoken = spoken[spoken < ended]  # an answer comes after that
            times.silences.append(float(spoken[-1]) - begun if len(spoken) else 0.0)
            room.wait_for_silence(2.0)  # the answer to what was said comes within that, and then the maker may go on
    return times


@contextmanager
def _room() -> Iterator[Room]:
    """The program at work in a room where its own voice comes back to it."""
    with ExitStack() as stack:
        server = stack.enter_context(SoundServer(RATE))
        server.load("module-null-sink", sink_name="maker", rate=RATE, channels=1, norewinds=1)
        server.load("module-loopback", source="maker.monitor", sink="room", latency_msec=10, adjust_time=0)
        server.load("module-loopback", source="loudspeaker.monitor", sink="room", latency_msec=40, adjust_time=0)
        state = stack.enter_context(tempfile.TemporaryDirectory())
        maker = stack.enter_context(server.recording("maker.monitor"))
        loudspeaker = stack.enter_context(server.recording("loudspeaker.monitor"))
        pattern = str(resources.sample(_PATTERN))
        command = [sys.executable, "-m", "companion", "work", pattern, "--json", "--state", str(Path(state) / "state")]
        process = stack.enter_context(subprocess.Popen(command, stdout=subprocess.PIPE, text=True))
        stack.callback(process.kill)
        assert process.stdout is not None
        json.loads(process.stdout.readline())  # the opening
        yield Room(server, maker, loudspeaker)
