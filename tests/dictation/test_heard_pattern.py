"""A pattern dictated aloud by somebody who answers what the ear asks. `python -m benchmarks.dictation` is the whole."""

from __future__ import annotations

from pathlib import Path

import pytest

from benchmarks.dictation import VOICES
from benchmarks.dictation_maker import BALL, TOTALS, Designer
from companion.dictation.opening import open_dictation
from companion.ear import models
from companion.ear.choose import choose
from companion.pattern.reader import read_file

pytestmark = pytest.mark.speech


def test_every_round_comes_out_as_it_was_meant(out: Path, tmp_path: Path) -> None:
    models.fetch()
    _, recogniser = choose("auto")
    with (
        open_dictation(out, state=tmp_path / "heard") as dictating,
        open_dictation(tmp_path / "meant.txt", state=tmp_path / "typed", title=dictating.draft.title) as meant,
    ):
        tally = Designer(VOICES[0], dictating, meant, recogniser).dictate(BALL[:6])
        dictating.end()
    pattern = read_file(out)
    assert tally.given_up == 0
    assert [entry.stitches for entry in pattern.pieces[0].rounds] == list(TOTALS[:5])
    assert not pattern.problems
