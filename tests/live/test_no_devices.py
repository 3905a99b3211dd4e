"""A machine without a sound card: one clear sentence, with the next step."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from companion import devices
from companion.devices import NoLoudspeakerError, NoMicrophoneError
from companion.ear.microphone import Microphone
from companion.mouth.player import Player
from tests.support.soundserver import missing, no_devices

pytestmark = pytest.mark.live


@pytest.fixture(scope="module")
def bare_machine() -> Iterator[None]:
    reason = missing()
    if reason:
        pytest.skip(f"the live tests need a private sound server: {reason}")
    with no_devices():
        yield


@pytest.mark.usefixtures("bare_machine")
def test_no_microphone() -> None:
    with pytest.raises(NoMicrophoneError, match=r"^No microphone was found; connect one, or .*`--typed`") as told:
        Microphone()
    assert str(told.value).count(". ") == 0
    assert devices.names("input") == ()


@pytest.mark.usefixtures("bare_machine")
def test_no_loudspeaker() -> None:
    with pytest.raises(NoLoudspeakerError, match=r"^No loudspeaker was found; connect one, or .*`--typed`"):
        Player()
    assert devices.names("output") == ()


def test_no_sound_library(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The library is there for Python, but what it loads is not."""
    (tmp_path / "sounddevice.py").write_text("raise OSError('PortAudio library not found')", encoding="utf-8")
    monkeypatch.setenv("PYTHONPATH", f"{tmp_path}{os.pathsep}{os.environ.get('PYTHONPATH', '')}")
    for device in (Microphone, Player):
        with pytest.raises(devices.DeviceError, match="PortAudio is missing") as told:
            device()
        if sys.platform == "linux":
            assert "sudo apt-get install libportaudio2" in str(told.value)
