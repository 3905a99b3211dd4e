"""The real sound library over virtual devices: what is played comes out, what is said comes in."""

from __future__ import annotations

import ctypes
import sys
import time

import numpy as np
import pytest

from companion.ear.microphone import FRAME, Microphone
from companion.mouth.player import Player
from companion.mouth.sound import Sound, silence
from tests.support.soundserver import SoundServer

pytestmark = pytest.mark.live


def sine(hertz: float, seconds: float, rate: int = 22050, level: float = 0.4) -> Sound:
    return Sound((level * np.sin(2 * np.pi * hertz * np.arange(round(seconds * rate)) / rate)).astype(np.float32), rate)


def pitch(sound: Sound) -> float:
    return float(np.argmax(np.abs(np.fft.rfft(sound.samples, 4 * sound.rate)))) / 4


def test_what_is_played_comes_out_whole(server: SoundServer) -> None:
    with server.recording() as recording, Player(rate=server.rate) as player:
        time.sleep(0.3)
        playback = player.play(sine(440.0, 0.6))
        assert player.playing
        assert player.wait(3.0)
        assert not player.playing
        assert playback.started_at is not None
        time.sleep(0.2)
        heard = Sound(recording.samples(), server.rate).without_silent_ends(keep_before=0, keep_after=0)
    assert heard.seconds == pytest.approx(0.6, abs=0.01)
    assert heard.peak == pytest.approx(0.4, abs=0.02)
    assert pitch(heard) == pytest.approx(440.0, abs=1.0)


def test_stop_is_silence_at_once_and_drops_what_waits(server: SoundServer) -> None:
    with server.recording() as recording, Player(rate=server.rate) as player:
        time.sleep(0.3)
        player.play(sine(440.0, 2.0))
        player.play(sine(880.0, 2.0))
        time.sleep(0.5)
        player.stop()
        assert not player.playing
        time.sleep(0.5)
        heard = Sound(recording.samples(), server.rate).without_silent_ends(keep_before=0, keep_after=0)
    # The time before the recording began to run is not known to a few hundredths, the end is.
    assert heard.seconds < 0.8
    assert pitch(heard) == pytest.approx(440.0, abs=2.0)
    assert np.abs(np.diff(heard.samples[-50:])).max() < 0.05, "it fades out, it does not click"


def test_what_is_said_arrives_as_frames(server: SoundServer) -> None:
    with Microphone(rate=server.rate) as microphone:
        with server.speaking(np.concatenate([sine(500.0, 1.0).samples, silence(0.5, 22050).samples]), 22050):
            got = [microphone.read(1.0) for _ in range(50)]
        assert microphone.overflows == 0
    frames = [frame for frame in got if frame is not None]
    assert len(frames) == 50
    assert {len(frame.samples) for frame in frames} == {FRAME}
    assert frames[0].samples.dtype == np.float32
    steps = np.diff([frame.time for frame in frames])
    assert np.median(steps) == pytest.approx(0.032, abs=0.002)
    heard = Sound(np.concatenate([frame.samples for frame in frames]), 16000).without_silent_ends()
    assert heard.seconds == pytest.approx(1.0, abs=0.1)
    assert pitch(heard) == pytest.approx(500.0, abs=1.0)


def test_microphone_and_loudspeaker_are_open_at_once(server: SoundServer) -> None:
    loop = server.load("module-loopback", source="loudspeaker.monitor", sink="room", latency_msec=20)
    try:
        with Microphone(rate=server.rate) as microphone, Player(rate=server.rate) as player:
            time.sleep(0.3)
            player.play(sine(700.0, 0.5))
            frames = [microphone.read(1.0) for _ in range(45)]
    finally:
        server.unload(loop)
    heard = Sound(np.concatenate([frame.samples for frame in frames if frame is not None]), 16000)
    assert heard.without_silent_ends().seconds == pytest.approx(0.5, abs=0.1)
    assert pitch(heard) == pytest.approx(700.0, abs=1.0)


@pytest.mark.skipif(sys.platform == "win32", reason="sleeps by a function that Windows has not")
def test_a_session_that_is_busy_for_a_moment_is_not_heard(server: SoundServer) -> None:
    with server.recording() as recording, Player(rate=server.rate) as player:
        time.sleep(0.3)
        player.play(sine(440.0, 1.0))
        for _ in range(4):
            time.sleep(0.1)
            ctypes.PyDLL(None).usleep(60_000)  # no other thread of Python goes on meanwhile
        assert player.wait(3.0)
        time.sleep(0.2)
        heard = Sound(recording.samples(), server.rate).without_silent_ends(keep_before=0, keep_after=0)
    assert heard.seconds == pytest.approx(1.0, abs=0.01)
    middle = heard.samples[480:-480]
    loud = np.abs(middle[: len(middle) // 480 * 480]).reshape(-1, 480).max(axis=1)
    assert loud.min() > 0.35, "no hundredth of a second is silent"
