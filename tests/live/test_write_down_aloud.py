"""`companion write-down` with a virtual microphone and loudspeaker: said aloud, answered aloud, written."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.support.soundserver import SoundServer, ended_after, running_server, wait_for_silence

pytestmark = [pytest.mark.live, pytest.mark.speech]

RATE = 48000
_SAID = ("twelve single crochet in a magic ring", "single crochet in each stitch around", "finish")
"""No number that another one sounds like: six would be asked about, "six or sixty?"."""


@pytest.fixture
def server() -> Iterator[SoundServer]:
    with running_server(RATE) as server:
        yield server


@pytest.mark.parametrize(("name", "code"), [("SIGINT", 2), ("SIGHUP", 0)], ids=["ctrl-c", "terminal closed"])
def test_ended_in_the_middle_it_keeps_and_writes_all(server: SoundServer, tmp_path: Path, name: str, code: int) -> None:
    from companion.ear.recording import read_recording

    out, wav = tmp_path / "paw.txt", tmp_path / "said.wav"
    command = [sys.executable, "-m", "companion", "write-down", "--plain", "--out", str(out), "--state", str(tmp_path)]
    said = "twelve single crochet in a magic ring"
    subprocess.run(["flite", "-voice", "rms", "-t", said, "-o", str(wav)], check=True, capture_output=True)
    with (
        server.recording() as recording,
        subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process,
        ended_after(process, 60),
    ):
        assert process.stdout is not None
        assert process.stdout.readline().startswith("I am writing.")
        wait_for_silence(recording, rate=RATE)
        with server.speaking(read_recording(wav), 16000):
            assert process.stdout.readline() == f"You: {said}\n"
            assert process.stdout.readline() == "Round one. Twelve single crochet in a magic ring. Twelve stitches.\n"
        process.send_signal(getattr(signal, name))
        assert process.wait(20) == code
        assert process.stderr is not None
        assert "Traceback" not in process.stderr.read()
    assert out.read_text(encoding="utf-8").splitlines()[-1] == "Rnd 1: 12 sc in magic ring [12]"


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
        for number, said in enumerate(_SAID):
            wav = tmp_path / f"{number}.wav"
            subprocess.run(["flite", "-voice", "rms", "-t", said, "-o", str(wav)], check=True, capture_output=True)
            wait_for_silence(recording, rate=RATE)
            with server.speaking(read_recording(wav), 16000):
                turns.append(json.loads(process.stdout.readline()))
        assert process.wait(30) == 0
        assert abs(recording.samples()).max() > 0.01
    assert [(turn["command"], turn["stitches"]) for turn in turns] == [
        ("stitches", 12),
        ("stitches", 12),
        ("finish", 12),
    ]
    assert out.read_text(encoding="utf-8").splitlines()[-1] == "Rnd 2: 12 sc [12]"
