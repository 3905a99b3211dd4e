"""How much the player hands on in advance, and that nothing of it is heard or counted after a cut."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
import pytest

from companion import devices
from companion.mouth.player import Player
from companion.mouth.sound import Samples, Sound

RATE = 1000


class Device:
    """A loudspeaker that plays when it is told to, block by block."""

    rate, latency, alive = RATE, 0.0, True

    def __init__(self, played: Callable[[Samples, float, bool, int, int], None]) -> None:
        self.given: list[float] = []
        self.cuts = 0
        self._played = played
        self._cuts_done = 0

    def give(self, samples: Samples, *, spoken: bool) -> None:
        self.given += samples.tolist()

    def cut(self) -> None:
        self.cuts += 1

    def do_cut(self) -> None:
        """Reads what it was told."""
        self.given.clear()
        self._cuts_done = self.cuts

    def play(self, frames: int = 10) -> list[float]:
        now, self.given = self.given[:frames], self.given[frames:]
        block = np.array(now + [0.0] * (frames - len(now)), dtype=np.float32)
        self._played(block, 0.0, True, len(now), self._cuts_done)
        return now

    def close(self) -> None: ...


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[Player, Device]]:
    made: list[Device] = []

    def device(_wanted: object, _rate: object, _latency: float, played: Callable[..., None]) -> Device:
        made.append(Device(played))
        return made[0]

    monkeypatch.setattr(devices, "OutputDevice", device)
    with Player() as player:
        yield player, made[0]


def ramp(count: int, start: int = 0) -> Sound:
    return Sound((np.arange(start, start + count) / 1024).astype(np.float32), RATE)


def test_a_little_is_handed_on_in_advance_and_no_more(opened: tuple[Player, Device]) -> None:
    player, device = opened
    playback = player.play(ramp(300))
    assert len(device.given) == 80
    heard = device.play()
    assert len(device.given) == 80
    while not playback.over.is_set():
        heard += device.play()
    assert heard == ramp(300).samples.tolist(), "all of it, once, in its order"
    assert not player.playing


def test_a_sound_that_follows_a_cut_waits_until_the_device_has_fallen_silent(opened: tuple[Player, Device]) -> None:
    player, device = opened
    player.play(ramp(300))
    device.play()
    player.stop()
    assert device.cuts == 1
    assert not player.playing
    playback = player.play(ramp(40, start=500))
    device.play()  # it has not read yet that it is to fall silent
    assert playback.position == 0.0, "what is heard here is of the sound before"
    device.do_cut()
    device.play()
    assert device.play() == ramp(10, start=500).samples.tolist()
    assert playback.position == pytest.approx(0.010)


def test_what_is_held_goes_on_from_what_was_heard_and_not_from_what_was_handed_on(
    opened: tuple[Player, Device],
) -> None:
    player, device = opened
    player.play(ramp(1000))
    for _ in range(40):
        device.play()
    player.hold()
    assert player.holding
    device.do_cut()
    assert device.play() == []
    player.go_on()
    assert device.play() == ramp(10, start=100).samples.tolist(), "from three tenths before 400"


def test_stopping_in_silence_keeps_no_sound_waiting(opened: tuple[Player, Device]) -> None:
    player, device = opened
    player.stop()
    assert device.cuts == 0
    player.play(ramp(20))
    assert len(device.given) == 20
