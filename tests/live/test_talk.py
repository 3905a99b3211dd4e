"""A live session in a room where the companion hears itself: cutting in, ending, and what it never does."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import time
from collections import deque
from collections.abc import Iterator
from pathlib import Path
from threading import Thread
from typing import IO, Any, Self

import pytest

from companion.mouth.sound import Sound
from companion.mouth.voice import Voice
from tests.support.soundserver import Recording, SoundServer, running_server

pytestmark = [pytest.mark.live, pytest.mark.speech]

RATE = 48000
LEVEL = 0.001  # of full scale: softer is silence


@pytest.fixture(scope="module")
def server() -> Iterator[SoundServer]:
    with running_server(RATE) as server:
        # What the loudspeaker plays comes back through the microphone, at full level, 40 ms later.
        server.load("module-loopback", source="loudspeaker.monitor", sink="room", latency_msec=40, adjust_time=0)
        yield server


@pytest.fixture(scope="module")
def maker() -> Iterator[Voice]:
    with Voice("en-gb") as voice:
        yield voice


class Companion:
    """`companion work` as a process of its own, and what it printed so far."""

    def __init__(self, pattern: Path, state: Path) -> None:
        command = [sys.executable, "-m", "companion", "work", str(pattern), "--json", "--state", str(state)]
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        self.turns: deque[dict[str, Any]] = deque()
        assert self.process.stdout is not None
        Thread(target=self._read, args=(self.process.stdout,), daemon=True).start()

    def _read(self, lines: IO[str]) -> None:
        for line in lines:
            self.turns.append(json.loads(line))

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.process.kill()
        self.process.wait()
        for pipe in (self.process.stdout, self.process.stderr):
            assert pipe is not None
            pipe.close()

    def next_turn(self, limit: float = 40.0) -> dict[str, Any]:
        end = time.monotonic() + limit
        while time.monotonic() < end:
            if self.turns:
                return self.turns.popleft()
            time.sleep(0.02)
        raise AssertionError("the companion did not answer")


def test_it_can_be_cut_off_and_does_not_answer_itself(
    server: SoundServer, maker: Voice, pattern: Path, tmp_path: Path
) -> None:
    with server.recording() as recording, Companion(pattern, tmp_path) as companion:
        companion.next_turn()  # the opening, long enough for the companion to learn how it sounds in this room
        silent_for(recording, 1.5)
        companion.turns.clear()
        ask(server, companion, maker.render("read the round"), "read_round")
        speaking(recording)
        turn = ask(server, companion, maker.render("stop talking"), "stop")
        assert turn["reply"] == ""
        time.sleep(0.5)
        assert abs(recording.samples()[-round(0.3 * RATE) :]).max() < LEVEL, "it is silent now"
        time.sleep(2.0)
        assert not companion.turns, "it did not hear itself as a command"


def test_it_opens_no_network_connection(server: SoundServer, maker: Voice, pattern: Path, tmp_path: Path) -> None:
    with server.recording() as recording, Companion(pattern, tmp_path) as companion:
        companion.next_turn()
        silent_for(recording, 1.0)
        say(server, maker.render("how many rounds are left"))
        companion.next_turn()
        family = [companion.process.pid, *children(companion.process.pid)]
        assert len(family) > 1, "the voice has a process of its own"
        assert [connection for number in family for connection in connections(number)] == []


@pytest.mark.parametrize("end", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_it_ends_cleanly_and_leaves_nothing_behind(
    server: SoundServer, pattern: Path, tmp_path: Path, end: signal.Signals
) -> None:
    with Companion(pattern, tmp_path) as companion:
        companion.next_turn()
        voice = children(companion.process.pid)
        companion.process.send_signal(end)
        code = companion.process.wait(10)
        assert companion.process.stderr is not None
        told = companion.process.stderr.read()
        assert "Traceback" not in told
        assert code == (2 if end == signal.SIGINT else 0)
        assert not [number for number in voice if Path(f"/proc/{number}").exists()]


def say(server: SoundServer, sound: Sound) -> None:
    with server.speaking(sound.samples, sound.rate):
        time.sleep(sound.seconds + 0.3)


def ask(server: SoundServer, companion: Companion, sound: Sound, command: str) -> dict[str, Any]:
    """Says it, like a person once more where it was not understood; gives the turn it led to."""
    for _ in range(3):
        say(server, sound)
        for _ in range(50):
            time.sleep(0.1)
            while companion.turns:
                turn = companion.turns.popleft()
                if turn["command"] == command:
                    return turn
                assert not turn["accepted"], f"it took its own words or the maker's for {turn['heard']!r}"
    raise AssertionError(f"{command} was never understood")


def silent_for(recording: Recording, seconds: float, limit: float = 60.0) -> None:
    """Waits until nothing has come out of the loudspeaker for so long."""
    end = time.monotonic() + limit
    while time.monotonic() < end:
        time.sleep(0.1)
        last = recording.samples()[-round(seconds * RATE) :]
        if len(last) >= seconds * RATE and abs(last).max() < LEVEL:
            return
    raise AssertionError("the companion did not stop speaking")


def speaking(recording: Recording, limit: float = 20.0) -> None:
    """Waits until something comes out of the loudspeaker."""
    end = time.monotonic() + limit
    while time.monotonic() < end:
        time.sleep(0.05)
        if abs(recording.samples()[-round(0.2 * RATE) :]).max() > 0.05:
            return
    raise AssertionError("the companion did not speak")


def children(number: int) -> list[int]:
    """The processes that this one started (Linux: proc(5))."""
    text = Path(f"/proc/{number}/task/{number}/children").read_text(encoding="ascii")
    return [int(word) for word in text.split()]


def connections(number: int) -> list[str]:
    """The network sockets that a process holds open (Linux: proc(5))."""
    network = set()
    for table in ("tcp", "tcp6", "udp", "udp6", "raw", "raw6"):
        path = Path(f"/proc/{number}/net/{table}")
        if path.exists():
            network |= {line.split()[9] for line in path.read_text(encoding="ascii").splitlines()[1:]}
    held = []
    for file in Path(f"/proc/{number}/fd").iterdir():
        link = str(file.readlink()) if file.is_symlink() else ""
        if link.startswith("socket:[") and link[8:-1] in network:
            held.append(link)
    return held
