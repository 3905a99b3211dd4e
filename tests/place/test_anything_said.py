"""Whatever is said in any order: no crash, a refusal moves nothing, the numbers fit, and a restart finds it all."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest

from companion import resources
from companion.pattern.model import Pattern
from companion.pattern.reader import read_file
from companion.place.commands import COMMANDS
from companion.place.work import WORK_COMMANDS, Work

NAMES = sorted({*COMMANDS, *WORK_COMMANDS} - {"goodbye", "pause"})
OFTEN = ("next", "next", "have_done", "done_that", "go_to_round", "go_to_piece", "undo")
NUMBERS = ("stitches", "stitch", "rounds", "round", "copy", "repeat", "repeats", "number", "minutes", "beats")
MEMORY = Path("/dev/shm")


@pytest.mark.parametrize("seed", range(12))
def test_anything_may_be_said(patterns: dict[str, Callable[[], Pattern]], seed: int) -> None:
    random = Random(seed)
    samples = sorted((resources.shared_folder() / "patterns").glob("*.txt"))
    choices = [*(make() for make in patterns.values()), *(read_file(sample) for sample in samples)]
    pattern = choices[seed % len(choices)]
    with tempfile.TemporaryDirectory(dir=MEMORY if MEMORY.is_dir() else None) as folder:
        with Work.open(pattern, Path(folder)) as work:
            work.opening()
            for _ in range(60):
                name = random.choice(NAMES if random.random() < 0.6 else OFTEN)
                slots: dict[str, int | str] = {key: random.randint(0, 40) for key in NUMBERS}
                slots |= {"piece": random.choice([*work.piece_names, "zzz"]), "text": "hello", "project": pattern.title}
                before = work.place
                outcome = work.handle(name, slots)
                place = outcome.place
                assert place is not None
                assert outcome.accepted or place == before
                if place.stitches is not None:
                    assert 0 <= place.stitch <= place.stitches
                    assert place.left == place.stitches - place.stitch
            last = work.place
        with Work.open(pattern, Path(folder)) as work:
            assert work.place == last
