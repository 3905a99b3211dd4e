"""Real recordings through the whole ear: rendered commands, a person's numbers, talk that is not for the companion."""

import wave
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from companion.ear.decide import judge
from companion.ear.embedded import EmbeddedRecogniser
from companion.ear.hear import hear_recording
from companion.ear.recogniser import Samples
from companion.ear.recording import RecordingError, read_recording
from companion.ear.voice import SileroVoiceActivity
from companion.phrases.command import Command
from companion.phrases.phrasebook import Phrasebook

pytestmark = pytest.mark.speech

IDLE = frozenset({"idle"})
ALLISON = Path("/usr/share/asterisk/sounds/en_US_f_Allison")  # Debian's asterisk-core-sounds-en-wav
SPHINX = Path("/usr/share/pocketsphinx/test/data")  # Debian's pocketsphinx-testdata


@pytest.fixture(scope="module")
def voice() -> SileroVoiceActivity:
    return SileroVoiceActivity()


@pytest.mark.parametrize(
    ("text", "spoken_by", "command", "slots"),
    [
        ("next round", "flite slt", "next_round", {}),
        ("how many stitches are left", "en-us", "stitches_left", {}),
        ("I have done twelve", "flite rms", "have_done", {"stitches": 12}),
        ("yes", "en-us", "yes", {}),
        ("make a note, changed to a smaller hook", "flite rms", "note", None),
    ],
)
def test_a_recording_becomes_the_object_of_the_contract(
    say: Callable[[str, str], Path],
    recogniser: EmbeddedRecogniser,
    book: Phrasebook,
    voice: SileroVoiceActivity,
    text: str,
    spoken_by: str,
    command: str,
    slots: dict[str, int] | None,
) -> None:
    path = say(text, spoken_by)
    heard = hear_recording(path, recogniser, book, voice).as_json()
    assert list(heard) == ["file", "heard", "command", "slots", "accepted", "decision", "score"]
    assert (heard["file"], heard["command"]) == (str(path), command)
    assert (heard["decision"], heard["accepted"]) == ("act", True)
    if slots is not None:
        assert heard["slots"] == slots
        assert book.parse(text) == (Command(command, slots),)


@pytest.mark.parametrize("spoken_by", ["en-gb", "en-us", "flite slt"])
def test_a_gauge_is_not_taken_for_the_name_of_a_yarn(
    say: Callable[[str, str], Path],
    recogniser: EmbeddedRecogniser,
    book: Phrasebook,
    voice: SileroVoiceActivity,
    spoken_by: str,
) -> None:
    heard = hear_recording(
        say("my gauge is eighteen stitches and twenty rows", spoken_by), recogniser, book, voice, IDLE
    )
    assert heard.verdict.commands == (Command("my_gauge", {"stitches": 18, "rounds": 20}),)
    assert heard.verdict.decision == "act"


def test_the_tail_of_a_note_keeps_its_words(
    say: Callable[[str, str], Path], recogniser: EmbeddedRecogniser, book: Phrasebook, voice: SileroVoiceActivity
) -> None:
    path = say("take a note, the yarn is green", "flite rms")
    slots = hear_recording(path, recogniser, book, voice, IDLE).as_json()["slots"]
    assert isinstance(slots, dict)
    assert str(slots["text"]).lower() == "the yarn is green"


def test_silence_and_a_knock_are_nothing(
    recogniser: EmbeddedRecogniser, book: Phrasebook, voice: SileroVoiceActivity, tmp_path: Path
) -> None:
    rng = np.random.default_rng(1)
    knock = np.zeros(32_000)
    knock[8_000:9_600] = rng.standard_normal(1_600) * np.exp(-np.arange(1_600) / 200)
    path = tmp_path / "knock.wav"
    with wave.open(str(path), "wb") as file:
        file.setparams((1, 2, 16_000, 0, "NONE", ""))
        file.writeframes((np.clip(knock, -1, 1) * 20_000).astype("<i2").tobytes())
    heard = hear_recording(path, recogniser, book, voice).as_json()
    assert (heard["decision"], heard["command"], heard["accepted"]) == ("ignore", None, False)


def test_a_file_that_is_no_recording_is_refused_in_one_sentence(
    recogniser: EmbeddedRecogniser, book: Phrasebook, voice: SileroVoiceActivity, tmp_path: Path
) -> None:
    path = tmp_path / "words.wav"
    path.write_text("not sound")
    with pytest.raises(RecordingError, match=r"words\.wav is not a wav file"):
        hear_recording(path, recogniser, book, voice)


def test_a_persons_numbers_are_all_heard(recogniser: EmbeddedRecogniser, book: Phrasebook) -> None:
    """Telephone-quality recordings of one woman; the pairs that sound alike, and tens and ones put together."""
    answers = frozenset({"choosing"})
    digits = {n: read_recording(ALLISON / "digits" / f"{n}.wav") for n in (4, 6, 9, 13, 16, 19, 30, 60, 90)}
    numbers = dict(digits)
    for n in (36, 64, 99):
        numbers[n] = np.concatenate([digits[n - n % 10], digits[n % 10]])
    wrong = {}
    for n, sound in numbers.items():
        quiet: Samples = np.zeros(4_000, np.float32)
        hearing = recogniser.hear(np.concatenate([quiet, sound, quiet]), book.grammar(answers))
        verdict = judge(hearing, book, answers)
        if verdict.decision == "act" and n not in verdict.commands[0].slots.values():
            wrong[n] = verdict.text
    assert wrong == {}


def test_people_talking_to_each_other_move_nothing(
    recogniser: EmbeddedRecogniser, book: Phrasebook, voice: SileroVoiceActivity
) -> None:
    """A novel read aloud (LibriVox) and announcements on a telephone line; the bench has many more."""
    recordings = [SPHINX / "librivox" / f"sense_and_sensibility_01_austen_64kb-0{n}.wav" for n in (880, 930)]
    recordings += [ALLISON / f"{name}.wav" for name in ("tt-monkeysintro", "vm-options", "hours")]
    for path in recordings:
        heard = hear_recording(path, recogniser, book, voice, IDLE)
        assert heard.verdict.decision in ("ignore", "refuse"), (path.name, heard.verdict)
