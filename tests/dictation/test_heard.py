"""A pattern dictated aloud, through the ear that the microphone has."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from companion.cli import main
from companion.ear import models
from companion.mouth.soundfile import write_wav
from companion.mouth.voice import Voice
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


@pytest.fixture(scope="module")
def voice() -> Iterator[Voice]:
    models.fetch()
    with Voice("en-us") as voice:
        yield voice


def test_the_sentences_that_must_be_understood(
    voice: Voice, out: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    recordings = []
    for number, sentence in enumerate(SAID):
        recordings.append(str(tmp_path / f"{number}.wav"))
        write_wav(tmp_path / f"{number}.wav", voice.render(sentence))
    state = str(tmp_path / "state")
    assert main(["write-down", "--json", "--out", str(out), "--state", state, "--hear", *recordings]) == 0
    turns = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    heard = [turn for turn in turns if "heard" in turn]
    assert [turn["heard"] for turn in heard] == SAID
    assert [turn["accepted"] for turn in heard] == [True] * len(SAID)
    assert [turn["stitches"] for turn in heard] == [0, 6, 0, 12, 18, 18, 18, 12, 12, 12]
    pattern = read(out.read_text(encoding="utf-8"))
    assert [entry.stitches for entry in pattern.pieces[0].rounds] == [6, 12, 18, 12]
    assert not pattern.problems
