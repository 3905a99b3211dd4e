"""The ear explains itself, and a practice tells what would help."""

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from companion.cli import main
from companion.ear.decide import calibration_of, interpret, judge
from companion.ear.embedded import EmbeddedRecogniser
from companion.ear.explain import explain, reason
from companion.ear.hear import hear_recording
from companion.ear.practise import PHRASES, attempt, other_ways, report
from companion.ear.recogniser import FreeTranscript, Hearing, Reading, Samples
from companion.ear.stream import Listener, Utterance
from companion.ear.voice import SileroVoiceActivity, frames_of
from companion.phrases.phrasebook import Phrasebook

pytestmark = pytest.mark.speech

IDLE = frozenset({"idle"})


def test_a_recording_is_explained(
    say: Callable[[str, str], Path], recogniser: EmbeddedRecogniser, book: Phrasebook
) -> None:
    heard = hear_recording(say("I have done sixteen", "flite rms"), recogniser, book, SileroVoiceActivity(), IDLE)
    lines = explain(heard, book)
    assert lines[0] == f'Without a grammar it sounds like: "{heard.verdict.free}"'
    assert lines[1] == f'1. "i have done sixteen", score {heard.verdict.score:.2f}: have_done(stitches=16).'
    assert lines[2].startswith('2. "i have done ')
    assert float(lines[2].split("score ")[1][:4]) < heard.verdict.score
    assert lines[-1].startswith("Acted on: the score ")


def test_the_command_line_explains_and_its_json_stays_as_promised(
    say: Callable[[str, str], Path], pattern: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    recording = str(say("how many stitches are left", "en-gb"))
    assert main(["hear", "--pattern", str(pattern), recording]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith(f'{recording}: heard "how many stitches are left", score ')
    assert any(line.startswith('1. "how many stitches are left", score ') for line in lines)
    assert lines[-1].startswith("Acted on: ")
    assert main(["hear", "--json", recording]) == 0
    (told,) = map(json.loads, capsys.readouterr().out.splitlines())
    assert list(told) == ["file", "heard", "command", "slots", "accepted", "decision", "score"]
    assert (told["command"], told["decision"]) == ("stitches_left", "act")


def test_talk_is_explained(say: Callable[[str, str], Path], recogniser: EmbeddedRecogniser, book: Phrasebook) -> None:
    path = say("my sister put the next book back on the kitchen shelf", "flite rms")
    lines = explain(hear_recording(path, recogniser, book, SileroVoiceActivity(), IDLE), book)
    assert lines[-1].startswith(("Ignored: ", "Not understood: ", "No sentence that may be said"))


@pytest.mark.parametrize(
    ("reading", "free", "told"),
    [
        (Reading.whole("back", -0.1, 2), "Uh?", 'is high enough, but without a grammar nothing of "back" is heard.'),
        (Reading.whole("back", -0.1, 2), "Back.", "is at least 0.80 and no other meaning is close."),
        (Reading("note a hook", -3.3, 8, 4, -0.3, 1, -9.0, -31.0), "No a hook", "is at least 0.60, but below 0.95."),
    ],
)
def test_the_reason_is_the_one_that_decided(book: Phrasebook, reading: Reading, free: str, told: str) -> None:
    hearing = Hearing((reading,), FreeTranscript(free, -3, 8), 1.0)
    verdict = judge(hearing, book, IDLE)
    meanings = interpret(hearing, book, IDLE, calibration_of("embedded"))
    assert reason(verdict, meanings).endswith(told)


def test_a_command_that_was_not_sure_enough_after_other_talk_says_so(book: Phrasebook) -> None:
    hearing = Hearing((Reading.whole("next round", -0.1, 3),), FreeTranscript("Next round.", -3, 8), 1.0)
    verdict = judge(hearing, book, IDLE)
    assert verdict.decision == "act"
    meanings = interpret(hearing, book, IDLE, calibration_of("embedded"))
    assert "just after other talk" in reason(replace(verdict, decision="ask"), meanings)


def heard(recogniser: EmbeddedRecogniser, book: Phrasebook, words: Samples, noise: float) -> Utterance | None:
    room = np.random.default_rng(4).standard_normal(len(words) + 40_000) * noise
    room[24_000 : 24_000 + len(words)] += words
    with Listener(recogniser, book, SileroVoiceActivity(), IDLE) as listener:
        found = [u for frame in frames_of(np.clip(room, -1, 1).astype(np.float32)) for u in listener.feed(frame)]
    return found[0] if found else None


def test_a_practice_tells_what_is_heard_badly_and_what_would_help(
    recogniser: EmbeddedRecogniser, book: Phrasebook, speech: Callable[[str, str], Samples]
) -> None:
    words = speech("next round", "flite rms")
    clear = attempt("next round", heard(recogniser, book, words, 3e-4), book)
    assert (clear.result, clear.heard, clear.clipped) == ("good", "next round", False)
    assert clear.speech_level - clear.room_level > 30

    silent = attempt("stop", None, book)
    other = attempt("undo that", heard(recogniser, book, words, 3e-4), book)
    assert (silent.result, other.result) == ("not heard", "other")

    told = report([clear, silent, other], book)
    assert told.badly_heard == ("stop", "undo that")
    assert told.advice == ("louder or nearer", "other words")
    assert told.other_ways["undo that"]
    assert all(book.parse(way) == book.parse("undo that") for way in told.other_ways["undo that"])


def test_clipping_and_noise_are_noticed(
    recogniser: EmbeddedRecogniser, book: Phrasebook, speech: Callable[[str, str], Samples]
) -> None:
    words = speech("next round", "flite rms")
    loud = attempt("stop", heard(recogniser, book, words * 20, 3e-4), book)
    noisy = attempt("stop", heard(recogniser, book, words * 0.3, 0.015), book)
    assert report([loud], book).advice[0] == "softer or further"
    assert "less noise" in report([noisy], book).advice


def test_every_phrase_of_the_practice_may_be_said(book: Phrasebook) -> None:
    assert len(PHRASES) == 10
    assert all(book.parse(phrase, IDLE) for phrase in PHRASES)


def test_other_words_for_a_number_say_the_same_number(book: Phrasebook) -> None:
    ways = other_ways("i have done sixteen", book)
    assert ways
    assert all("sixteen" in way and book.parse(way) == book.parse("i have done sixteen") for way in ways)
