"""A pattern dictated aloud, through the ear that the microphone has."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import pytest

from companion.cli import main
from companion.dictation.opening import open_dictation
from companion.dictation.spoken import phrasebook_in
from companion.ear import models
from companion.ear.decide import Interpretation, Verdict
from companion.ear.recogniser import Reading
from companion.pattern.reader import read

pytestmark = pytest.mark.speech

SAID = [  # every sentence that must be understood while writing down
    "new piece called body",
    "six single crochet in a magic ring",
    "next round",
    "increase six times",
    "single crochet one increase repeat six times",
    "single crochet in each stitch around",
    "scratch that",
    "single crochet one decrease repeat six times",
    "read it back",
    "finish",
]
ANSWER = "yes"  # where it asks whether that was "finish", since a single word ends it all


VOICE = "slt"  # of flite, from Debian


@pytest.fixture
def recordings(tmp_path: Path) -> list[str]:
    """The sentences spoken, one wav file each."""
    models.fetch()
    sentences = [*SAID, ANSWER]
    files = [str(tmp_path / f"{number}.wav") for number, _ in enumerate(sentences)]
    for file, sentence in zip(files, sentences, strict=True):
        subprocess.run(["flite", "-voice", VOICE, "-t", sentence, "-o", file], check=True, capture_output=True)
    return files


def test_the_sentences_that_must_be_understood(
    recordings: list[str], out: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    state = str(tmp_path / "state")
    assert main(["write-down", "--json", "--out", str(out), "--state", state, "--hear", *recordings]) == 0
    turns = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    heard = [turn for turn in turns if "heard" in turn]
    assert [turn["heard"].rstrip(",.") for turn in heard[: len(SAID)]] == SAID
    assert heard[0]["piece"] == "body"
    assert [turn["accepted"] for turn in heard[: len(SAID) - 1]] == [True] * (len(SAID) - 1)
    assert heard[-1]["accepted"]
    assert heard[-1]["command"] in ("finish", "yes")
    assert [turn["stitches"] for turn in heard[: len(SAID)]] == [0, 6, 0, 12, 18, 18, 18, 12, 12, 12]
    pattern = read(out.read_text(encoding="utf-8"))
    assert [entry.stitches for entry in pattern.pieces[0].rounds] == [6, 12, 18, 12]
    assert not pattern.problems


@pytest.mark.parametrize(
    ("voice", "said"),
    [("en-us", "the new piece is the head"), ("en-gb", "this is the body"), ("en-us", "now the tail")],
)
def test_a_usual_name_is_heard_where_any_words_would_fit(
    voice: str, said: str, out: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    models.fetch()
    wav = tmp_path / "name.wav"
    subprocess.run(["espeak-ng", "-v", voice, "-w", str(wav), said], check=True, capture_output=True)
    assert main(["write-down", "--json", "--out", str(out), "--state", str(tmp_path), "--hear", str(wav)]) == 0
    turn = json.loads(capsys.readouterr().out.splitlines()[1])
    assert (turn["accepted"], turn["piece"]) == (True, said.split()[-1])


def meaning(text: str, log_prob: float) -> Interpretation:
    return Interpretation(
        text,
        phrasebook_in("US").parse(text),
        log_prob,
        log_prob,
        Reading(text, log_prob, 5, len(text), log_prob, 5),
    )


def test_what_the_ear_is_not_sure_of_is_asked(out: Path, tmp_path: Path) -> None:
    two, three = (meaning(f"single crochet {count} increase three times", -5.0) for count in ("two", "three"))
    unsure = Verdict(two.text, two.commands, "ask", 0.8, (two, three))
    with open_dictation(out, state=tmp_path) as dictating:
        dictating.typed("nine single crochet in a magic ring")
        dictating.typed("next round")
        (asked,) = dictating.heard(unsure)
        assert not asked.accepted
        assert "The second: Three times: three single crochet, then one increase." in asked.reply
        assert asked.reply.endswith("Say the first, or the second.")
        assert dictating.typed("the second")[0].stitches == 15
        dictating.take_back()
        assert dictating.typed("what have I got")[0].stitches == 0
        dictating.heard(Verdict(two.text, two.commands, "ask", 0.6, (two,)))
        assert dictating.contexts == {"writing", "asking"}
        assert dictating.typed("no")[0].stitches == 0
        dictating.heard(Verdict(two.text, two.commands, "ask", 0.6, (two,)))
        assert dictating.typed("yes")[0].stitches == 12
