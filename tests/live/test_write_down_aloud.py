"""`companion write-down` with a virtual microphone and loudspeaker: said aloud, answered aloud, written."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.support.soundserver import SoundServer, ended_after, running_server, wait_for_silence

pytestmark = [pytest.mark.live, pytest.mark.speech]

RATE = 48000


@pytest.fixture
def server() -> Iterator[SoundServer]:
    with running_server(RATE) as server:
        yield server


def test_a_designer_is_answered_and_the_pattern_written(server: SoundServer, tmp_path: Path) -> None:
    from companion.ear.recording import read_recording

    out = tmp_path / "paw.txt"
    command = [sys.executable, "-m", "companion", "write-down", "--json", "--out", str(out), "--state", str(tmp_path)]
    turns = []
    with (
        server.recording() as recording,
        subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process,
        ended_after(process, 100),
    ):
        assert process.stdout is not None
        assert "heard" not in json.loads(process.stdout.readline())
        for number, said in enumerate(("six single crochet in a magic ring", "increase six times", "finish")):
            wav = tmp_path / f"{number}.wav"
            subprocess.run(["flite", "-voice", "rms", "-t", said, "-o", str(wav)], check=True, capture_output=True)
            wait_for_silence(recording, rate=RATE)
            with server.speaking(read_recording(wav), 16000):
                turns.append(json.loads(process.stdout.readline()))
        assert process.wait(30) == 0
        assert abs(recording.samples()).max() > 0.01
    assert [(turn["command"], turn["stitches"]) for turn in turns] == [
        ("stitches", 6),
        ("stitches", 12),
        ("finish", 12),
    ]
    assert out.read_text(encoding="utf-8").splitlines()[-1] == "Rnd 2: inc x 6 [12]"
