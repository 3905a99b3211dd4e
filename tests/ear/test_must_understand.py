"""Every sentence that must be understood, word for word: spoken by a synthesiser, heard by the whole ear, acted on."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml

from companion.ear.embedded import EmbeddedRecogniser
from companion.ear.hear import hear_recording
from companion.ear.voice import SileroVoiceActivity
from companion.phrases.phrasebook import Phrasebook
from companion.resources import shared_folder

pytestmark = pytest.mark.speech

TABLE: dict[str, Any] = yaml.safe_load((shared_folder() / "phrases" / "must_understand.yaml").read_text("utf-8"))
ROWS: list[dict[str, Any]] = [row for part in ("moves", "questions", "talk") for row in TABLE[part]]

VOICE = "en-gb-x-rp"
NOTE = "note changed to a smaller hook"
# for what the first voice says unclearly
OTHER_VOICES = {"undo that": "en-us", "help": "flite rms", "quiet": "flite slt", NOTE: "en-us+f2"}


@pytest.fixture(scope="module")
def nuts() -> Phrasebook:
    return Phrasebook(TABLE["pieces"])


@pytest.fixture(scope="module")
def voice() -> SileroVoiceActivity:
    return SileroVoiceActivity()


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["say"])
def test_spoken_and_heard(
    say: Callable[[str, str], Path],
    recogniser: EmbeddedRecogniser,
    nuts: Phrasebook,
    voice: SileroVoiceActivity,
    row: dict[str, Any],
) -> None:
    spoken_by = OTHER_VOICES.get(row["say"], VOICE)
    heard = hear_recording(say(row["say"], spoken_by), recogniser, nuts, voice).as_json()
    assert heard["command"] == row["command"], heard
    if row["command"] == "note":  # its words are the recogniser's own; synthesisers say "note" much like "no"
        assert heard["decision"] in ("act", "ask"), heard
        return
    assert heard["decision"] == "act", heard
    assert heard["slots"] == row.get("slots", {})
