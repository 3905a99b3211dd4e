"""What a loudspeaker's process plays of what it was given, and how soon it is silent."""

from __future__ import annotations

import numpy as np

from companion.reserve import Reserve


def given(*values: float) -> bytes:
    return np.array(values, dtype=np.float32).tobytes()


def played(reserve: Reserve, frames: int) -> list[float]:
    return [float(value) for value in np.frombuffer(reserve.take(frames).data, dtype=np.float32)]


def test_what_is_given_is_played_in_its_order_and_then_silence() -> None:
    reserve = Reserve(channels=1, fade=4)
    reserve.give(given(1, 2, 3), spoken=False)
    reserve.give(given(4, 5), spoken=True)
    assert played(reserve, 2) == [1, 2]
    block = reserve.take(4)
    assert np.frombuffer(block.data, dtype=np.float32).tolist() == [3, 4, 5, 0]
    assert (block.frames, block.spoken, block.cuts) == (3, True, 0)
    block = reserve.take(2)
    assert (block.frames, block.spoken) == (0, False)
    assert not any(block.data)


def test_what_is_cut_off_fades_on_all_channels_and_the_rest_is_dropped() -> None:
    reserve = Reserve(channels=2, fade=5)
    reserve.give(given(*[1.0] * 40), spoken=True)
    assert played(reserve, 2) == [1.0] * 4
    reserve.cut()
    block = reserve.take(10)
    faded = np.frombuffer(block.data, dtype=np.float32).reshape(-1, 2)
    assert faded[:, 0].tolist() == [1.0, 0.75, 0.5, 0.25, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]
    assert (faded[:, 0] == faded[:, 1]).all()
    assert (block.spoken, block.cuts) == (True, 1)


def test_what_was_not_heard_yet_makes_no_sound_when_it_is_cut_off() -> None:
    reserve = Reserve(channels=1, fade=5)
    reserve.take(3)
    reserve.give(given(*[1.0] * 40), spoken=True)
    reserve.cut()
    assert played(reserve, 10) == [0.0] * 10


def test_what_is_given_after_a_cut_is_played_whole() -> None:
    reserve = Reserve(channels=1, fade=2)
    reserve.give(given(1, 1, 1, 1), spoken=True)
    reserve.take(1)
    reserve.cut()
    reserve.give(given(5, 6), spoken=False)
    assert played(reserve, 5) == [1, 0, 5, 6, 0]
