from __future__ import annotations

from pathlib import Path

import numpy as np

from companion.ear import recordings
from companion.ear.recording import read_recording
from companion.ear.recordings import keep_recording


def test_what_is_kept_can_be_heard_again(tmp_path: Path) -> None:
    sound = (0.3 * np.sin(np.arange(16000) / 10)).astype(np.float32)
    path = keep_recording(sound, tmp_path / "kept")
    np.testing.assert_allclose(read_recording(path), sound, atol=1e-3)


def test_the_oldest_make_room(tmp_path: Path) -> None:
    for number in range(recordings._AT_MOST + 5):
        (tmp_path / f"2020-01-01-{number:06d}-000.wav").write_bytes(b"")
    newest = keep_recording(np.zeros(100, dtype=np.float32), tmp_path)
    kept = sorted(tmp_path.glob("*.wav"))
    assert len(kept) == recordings._AT_MOST
    assert kept[-1] == newest
