"""The sound system fails in every way that can be made to happen here, and the session's ears and mouth come back."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest

from companion.audio import Audio, News
from companion.mouth.sound import Sound
from tests.support.soundserver import SoundServer, running_server

pytestmark = pytest.mark.live


@pytest.fixture
def server() -> Iterator[SoundServer]:
    with running_server(48000) as server:
        yield server


def tone(seconds: float) -> Sound:
    return Sound((0.3 * np.sin(2 * np.pi * 500 * np.arange(round(seconds * 16000)) / 16000)).astype(np.float32), 16000)


def listen_until(audio: Audio, wanted: News, limit: float = 15.0) -> list[News]:
    """Reads as the session does until that news comes; gives all news on the way."""
    told: list[News] = []
    end = time.monotonic() + limit
    while time.monotonic() < end:
        audio.read(0.2)
        told += audio.news()
        if wanted in told:
            return told
    raise AssertionError(f"{wanted} was not told; only {told}")


def hears(audio: Audio, server: SoundServer, sink: str = "room") -> bool:
    """Whether what is said now arrives, within the seconds that a busy machine may take."""
    end = time.monotonic() + 6.0
    with server.speaking(tone(3.0).samples, 16000, sink=sink):
        while time.monotonic() < end:
            frame = audio.read(0.2)
            if frame is not None and float(np.abs(frame).max()) > 0.1:
                return True
    return False


def speaks(audio: Audio, server: SoundServer) -> bool:
    """Whether what is played now comes out."""
    with server.recording() as recording:
        time.sleep(0.3)
        audio.play(tone(0.3))
        time.sleep(0.8)
        return len(recording.samples()) > 0 and float(np.abs(recording.samples()).max()) > 0.1


def test_a_microphone_pulled_out_is_told_and_found_again(server: SoundServer) -> None:
    with Audio() as audio:
        assert hears(audio, server)
        server.pull_out("source-output")
        told = listen_until(audio, "microphone_back")
        assert told == ["microphone_lost", "microphone_back"]
        assert hears(audio, server)
        assert speaks(audio, server)


def test_a_loudspeaker_pulled_out_is_told_and_found_again(server: SoundServer) -> None:
    with Audio() as audio:
        server.pull_out("sink-input")
        playback = audio.play(tone(0.2))
        told = listen_until(audio, "loudspeaker_back")
        assert told == ["loudspeaker_lost", "loudspeaker_back"]
        assert playback.sound.seconds == pytest.approx(0.2, abs=0.01)
        assert speaks(audio, server)


def test_a_sound_server_that_is_restarted_is_found_again(server: SoundServer) -> None:
    with Audio() as audio:
        server.stop()
        end = time.monotonic() + 2.5  # longer than it takes to find the devices dead, also where frames are waiting
        while time.monotonic() < end:
            audio.read(0.2)
        audio.play(tone(0.2))  # with nobody to play it, nothing happens
        assert not audio.playing
        server.start()
        assert listen_until(audio, "sound_restarted") == ["sound_restarted"]
        assert hears(audio, server)
        assert speaks(audio, server)


def test_another_default_device_is_taken_up(server: SoundServer) -> None:
    with Audio() as audio:
        server.load("module-null-sink", sink_name="headset", rate=44100, norewinds=1)
        server.load("module-null-sink", sink_name="desk", rate=44100, channels=1, norewinds=1)
        server.control("set-default-sink", "headset")
        server.control("set-default-source", "desk.monitor")
        for _ in range(20):
            audio.read(0.2)
        with server.recording("headset.monitor") as recording:
            time.sleep(0.3)
            audio.play(tone(0.3))
            time.sleep(0.8)
            assert float(np.abs(recording.samples()).max()) > 0.1
        assert hears(audio, server, sink="desk")


def test_after_a_sleep_the_devices_are_opened_anew(server: SoundServer) -> None:
    wall: list[float] = [0.0]
    clock: Callable[[], float] = lambda: time.monotonic() + wall[0]  # noqa: E731
    with Audio(wall=clock) as audio:
        assert hears(audio, server)
        wall[0] = 3600.0  # an hour passed that the machine's own clock knows nothing of
        assert listen_until(audio, "woken") == ["woken"]
        assert hears(audio, server)
        assert speaks(audio, server)
        assert audio.news() == ()


def test_what_it_says_does_not_come_back_as_heard(server: SoundServer) -> None:
    """The room is a loopback from loudspeaker to microphone."""
    server.load("module-loopback", source="loudspeaker.monitor", sink="room", latency_msec=60, adjust_time=0)
    random = np.random.default_rng(1)
    voice = Sound((0.1 * random.standard_normal(8 * 16000)).astype(np.float32), 16000)
    with Audio() as audio:
        time.sleep(0.3)
        audio.play(voice)
        frames = []
        while audio.playing:
            frame = audio.read(0.2)
            if frame is not None:
                frames.append(frame)
        assert audio.echo == "heard"
        late = np.concatenate(frames)[5 * 16000 :]
        assert float(np.sqrt(np.mean(late**2))) < 0.01, "a tenth of what came in is 0.01"


def devices_of(process: int, kind: str = "") -> list[Path]:
    """The running processes that hold a device of that kind, "input" or "output", for that process."""
    found = []
    for entry in Path("/proc").glob("[0-9]*"):
        # A process may end while the list is read, and one that has ended has no command line.
        with contextlib.suppress(OSError):
            holds = f'companion.device_child\0{{"open": "{kind}' in (entry / "cmdline").read_text()
            if holds and f"\nPPid:\t{process}\n" in (entry / "status").read_text():
                found.append(entry)
    return found


@pytest.mark.skipif(sys.platform != "linux", reason="reads /proc")
def test_a_sound_library_that_hangs_is_ended_and_begun_anew(server: SoundServer) -> None:
    with Audio() as audio:
        assert hears(audio, server)
        (microphone,) = devices_of(os.getpid(), "input")
        os.kill(int(microphone.name), signal.SIGSTOP)
        assert listen_until(audio, "microphone_back") == ["microphone_lost", "microphone_back"]
        assert hears(audio, server)
        assert speaks(audio, server)


@pytest.mark.skipif(sys.platform != "linux", reason="reads /proc")
def test_a_sound_server_that_hangs_and_recovers_gives_the_sound_back(server: SoundServer) -> None:
    with Audio() as audio:
        server.hang()
        for _ in range(20):
            audio.read(0.2)  # longer than it takes to find the devices dead and to open them anew
        server.recover()
        assert listen_until(audio, "sound_restarted", 25.0)[-1] == "sound_restarted"
        assert hears(audio, server)
        assert speaks(audio, server)
    assert not devices_of(os.getpid()), "nothing that was begun meanwhile is left"


_SESSION = "import time; from companion.audio import Audio; Audio(); print(1, flush=True); time.sleep(60)"


@pytest.mark.usefixtures("server")
@pytest.mark.skipif(sys.platform != "linux", reason="reads /proc")
def test_a_session_that_is_killed_leaves_no_device_open() -> None:
    session = subprocess.Popen(
        [sys.executable, "-c", _SESSION],
        stdout=subprocess.PIPE,
    )
    assert session.stdout is not None
    assert session.stdout.readline()
    held = devices_of(session.pid)
    assert len(held) == 2
    session.kill()
    session.wait()
    end = time.monotonic() + 5.0
    while any(process.exists() for process in held) and time.monotonic() < end:
        time.sleep(0.1)
    assert not any(process.exists() for process in held)
