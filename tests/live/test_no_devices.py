"""A machine without a sound card: one clear sentence, with the next step."""

from __future__ import annotations

import sys
from collections.abc import Iterator

import pytest

from companion import devices
from companion.ear.microphone import Microphone, NoMicrophoneError
from companion.mouth.player import NoLoudspeakerError, Player
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


def test_no_sound_library(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "sounddevice", None)
    for device in (Microphone, Player):
        with pytest.raises(devices.DeviceError, match="PortAudio is missing") as told:
            device()
        if sys.platform == "linux":
            assert "sudo apt-get install libportaudio2" in str(told.value)
