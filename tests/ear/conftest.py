"""What the ear's tests share: the real ear, and real speech from Debian's synthesisers."""

import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from companion.ear import models
from companion.ear.embedded import EmbeddedRecogniser
from companion.ear.recogniser import Samples
from companion.ear.recording import read_recording
from companion.phrases.phrasebook import Phrasebook

Say = Callable[[str, str], Path]


@pytest.fixture(scope="session")
def recogniser() -> EmbeddedRecogniser:
    """The embedded ear with its real weights, fetched where they are not here yet."""
    return EmbeddedRecogniser(models.fetch())


@pytest.fixture(scope="session")
def book() -> Phrasebook:
    """The phrases of an invented pattern."""
    return Phrasebook(["Body", "Left ear", "The nut"])


@pytest.fixture(scope="session")
def say(tmp_path_factory: pytest.TempPathFactory) -> Say:
    """Speaks a text with a voice of flite ("flite slt") or espeak-ng ("en-us") into a wav file."""
    folder = tmp_path_factory.mktemp("speech")

    def speak(text: str, voice: str) -> Path:
        path = folder / f"{len(list(folder.iterdir()))}.wav"
        if voice.startswith("flite "):
            command = ["flite", "-voice", voice.removeprefix("flite "), "-t", text, "-o", str(path)]
        else:
            command = ["espeak-ng", "-v", voice, "-w", str(path), text]
        subprocess.run(command, check=True, capture_output=True)
        return path

    return speak


@pytest.fixture(scope="session")
def speech(say: Say) -> Callable[[str, str], Samples]:
    """The same as sound at 16 kHz."""
    return lambda text, voice: read_recording(say(text, voice))
