"""`companion work` with a real microphone and a real loudspeaker, as far as the program can tell.

A synthetic maker speaks into the virtual microphone; the replies are recorded from the virtual loudspeaker and heard
again through the recogniser, as a friend in the room would hear them.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Any

import pytest

from companion.ear.embedded import EmbeddedRecogniser
from companion.mouth.sound import Sound
from companion.mouth.voice import Voice
from companion.phrases.phrasebook import Phrasebook
from tests.support.soundserver import SoundServer, ended_after, running_server, wait_for_silence

pytestmark = [pytest.mark.live, pytest.mark.speech]

RATE = 48000


@pytest.fixture
def server() -> Iterator[SoundServer]:
    with running_server(RATE) as server:
        yield server


def next_turn(lines: IO[str]) -> dict[str, Any]:
    """The next object that answers an utterance."""
    for line in lines:
        turn: dict[str, Any] = json.loads(line)
        if "heard" in turn:
            return turn
    raise AssertionError("the session ended without an answer")


def test_a_maker_talks_and_is_answered_aloud(server: SoundServer, pattern: Path, tmp_path: Path) -> None:
    command = [sys.executable, "-m", "companion", "work", str(pattern), "--json", "--state", str(tmp_path / "state")]
    with server.recording() as recording, Voice("en-us") as maker:
        said = {line: maker.render(line) for line in ("start round five", "i have done twenty", "that's all for today")}
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process, ended_after(process, 120):
            assert process.stdout is not None
            opening = json.loads(process.stdout.readline())
            assert opening["place"]["round"] == 1
            turns = []
            for sound in said.values():
                wait_for_silence(recording, rate=RATE)
                before = len(recording.samples())
                with server.speaking(sound.samples, sound.rate):
                    turns.append(next_turn(process.stdout))
            assert process.wait(20) == 0
            wait_for_silence(recording, rate=RATE)
        goodbye = Sound(recording.samples()[before:], RATE).at_rate(16000)

    started, made, ended = turns
    assert (started["heard"], started["accepted"]) == ("start round five", True)
    assert (made["place"]["round"], made["place"]["stitch"], made["place"]["left"]) == (5, 20, 10)
    assert made["latency_ms"] >= 0
    assert (ended["command"], ended["state"]) == ("goodbye", "off")
    heard_again = EmbeddedRecogniser.open().hear(goodbye.samples, Phrasebook().grammar({"idle"})).free.text.lower()
    assert "twenty" in heard_again or "20" in heard_again, heard_again
    assert "ten" in heard_again or "10" in heard_again, heard_again
