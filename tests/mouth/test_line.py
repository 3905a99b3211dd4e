from __future__ import annotations

import numpy as np
import pytest

from companion.mouth.line import Line
from companion.mouth.silent import SilentPlayer
from companion.mouth.sound import Sound, joined, silence
from companion.mouth.tones import tone


def ones(count: int, rate: int = 1000) -> Sound:
    return Sound(np.ones(count, dtype=np.float32), rate)


def heard(line: Line, frames: int) -> np.ndarray[tuple[int], np.dtype[np.float32]]:
    """So many frames are handed on and played."""
    block = line.take(frames)
    line.played(len(block))
    return block


def test_sounds_follow_each_other_without_a_gap() -> None:
    line = Line()
    first, second = line.add(ones(15)), line.add(ones(10))
    assert heard(line, 10).sum() == 10
    assert not first.over.is_set()
    assert first.position == pytest.approx(0.010)
    assert heard(line, 10).sum() == 10
    assert first.over.is_set()
    assert not second.over.is_set()
    assert heard(line, 10).tolist() == [1.0] * 5
    assert second.over.is_set()
    assert line.current is None


def test_a_sound_is_over_when_it_was_played_and_not_when_it_was_handed_on() -> None:
    line = Line()
    first, second = line.add(ones(15)), line.add(ones(10))
    line.take(20)
    assert line.ahead == 20
    assert first.started_at is None
    assert not first.started.is_set()
    line.played(12)
    assert first.started.is_set()
    assert first.position == pytest.approx(0.012)
    assert line.current is first
    line.played(5)
    assert first.over.is_set()
    assert line.current is second
    assert line.ahead == 3


def test_a_tone_is_no_voice_whatever_is_done_to_it() -> None:
    line = Line()
    word, signal = ones(15), tone("paused").at_rate(1000).louder(-3.0)
    length = len(signal.samples)
    line.add(signal)
    line.add(joined([tone("heard"), silence(0.1, 1000), word]).at_rate(1000))
    line.take(length - 5)
    assert not line.spoken
    line.take(10)
    assert line.spoken, "the voice begins in this block"
    line.clear()
    line.take(10)
    assert not line.spoken


def test_clearing_drops_all() -> None:
    line = Line()
    begun, waiting = line.add(ones(100)), line.add(ones(100))
    heard(line, 10)
    line.clear()
    assert len(line.take(10)) == 0
    assert begun.stopped
    assert waiting.stopped
    assert waiting.started_at is None
    assert line.wait(0.0)


def test_a_sound_added_after_clearing_is_heard() -> None:
    line = Line()
    line.add(ones(100))
    heard(line, 10)
    line.clear()
    playback = line.add(ones(3))
    assert heard(line, 10).tolist() == [1.0, 1.0, 1.0]
    assert playback.over.is_set()
    assert not playback.stopped


def test_what_is_held_goes_on_a_little_before_where_it_stopped() -> None:
    line = Line()
    ramp = Sound(np.linspace(0, 1, 1000, endpoint=False, dtype=np.float32), 1000)
    first, second = line.add(ramp), line.add(ones(10))
    heard(line, 600)
    line.take(100)  # handed on, but not played: nobody heard it
    line.hold()
    assert line.current is None
    assert line.holding
    assert len(line.take(20)) == 0
    assert not first.over.is_set()
    line.go_on()
    assert heard(line, 1)[0] == pytest.approx(0.3), "from a third of a second before"
    heard(line, 698)
    heard(line, 20)
    assert first.over.is_set()
    assert second.over.is_set()


def test_what_was_handed_on_of_the_next_sound_is_not_lost_by_holding() -> None:
    line = Line()
    line.add(Sound(np.full(500, 0.5, dtype=np.float32), 1000))
    second = line.add(ones(30))
    line.take(520)
    line.played(490)
    line.hold()
    line.go_on()
    assert line.take(1000).tolist() == [0.5] * 310 + [1.0] * 30
    assert not second.started.is_set()


def test_what_is_added_while_a_reply_is_held_waits_with_it() -> None:
    line = Line()
    line.add(ones(10))
    heard(line, 5)
    line.hold()
    line.add(Sound(np.full(10, 0.5, dtype=np.float32), 1000))
    assert len(line.take(20)) == 0, "nobody is spoken over"
    line.go_on()
    assert heard(line, 20).tolist() == [1.0] * 10 + [0.5] * 10


def test_clearing_drops_what_is_held() -> None:
    line = Line()
    playback = line.add(ones(100))
    heard(line, 10)
    line.hold()
    line.clear()
    line.go_on()
    assert playback.stopped
    assert len(line.take(20)) == 0


def test_no_sound_is_over_at_once() -> None:
    line = Line()
    assert line.add(silence(0.0, 1000)).over.is_set()
    assert line.current is None
    assert line.wait(0.0)


def test_the_silent_player_keeps_what_it_was_given() -> None:
    player = SilentPlayer(rate=1000)
    player.play(ones(10))
    player.volume = -6.0206
    playback = player.play(ones(10))
    assert playback.over.is_set()
    assert not player.playing
    assert player.wait()
    np.testing.assert_allclose(player.sound().samples, [1.0] * 10 + [0.5] * 10, atol=1e-4)
