"""The sums by voice: dialogues as a maker types them, in every state in which questions may be asked."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import BaseModel, ConfigDict

from companion.craft.spread import even
from companion.craft.yarn import Ball, Swatch
from companion.errors import MakerError
from companion.pattern.model import Round
from companion.pattern.reader import read
from companion.session import Session, open_session
from companion.sums import answers as a
from companion.sums.asked import SUMS
from companion.sums.measures import Measures
from companion.wording.sentences import VERBOSITIES, sentences

HERE = Path(__file__).parent
DATA: dict[str, Any] = yaml.safe_load((HERE / "dialogues.yaml").read_text(encoding="utf-8"))


class Turn(BaseModel):
    """What is typed, and what is answered: whole, or words of it."""

    model_config = ConfigDict(extra="forbid")

    say: str
    reply: str | None = None
    like: str | None = None
    accepted: bool = True
    state: str | None = None


class Dialogue(BaseModel):
    """The name of a pattern, the maker's measures, and turns."""

    model_config = ConfigDict(extra="forbid")

    title: str
    pattern: str
    measures: dict[str, Any] = {}
    turns: list[Turn]


ALL = [Dialogue.model_validate(entry) for entry in DATA["dialogues"]]


def opened(folder: Path, pattern: str, **measures: Any) -> Session:
    for name, kind in (("swatch", Swatch), ("ball", Ball)):
        if name in measures:
            measures[name] = kind(*measures[name])
    path = folder / f"{pattern}.txt"
    path.write_text(DATA["patterns"][pattern], encoding="utf-8")
    return open_session(path, state=folder / "state", measures=Measures(**measures))


@pytest.mark.parametrize("dialogue", ALL, ids=lambda dialogue: dialogue.title)
def test_dialogue(dialogue: Dialogue, tmp_path: Path) -> None:
    with opened(tmp_path, dialogue.pattern, **dialogue.measures) as session:
        session.opening()
        for wanted in dialogue.turns:
            before = session.work.place
            (turn,) = session.typed(wanted.say)
            if wanted.reply is not None:
                assert turn.reply == wanted.reply
            assert (wanted.like or "") in turn.reply
            assert turn.accepted is wanted.accepted, turn.reply
            if wanted.state is not None:
                assert turn.state == wanted.state
            if turn.command in SUMS:
                assert session.work.place == before, "a question moves nothing"
                assert not re.search(r"[{}\d_]|  ", turn.reply)


def commands_said() -> Iterator[str]:
    from companion.session import phrasebook_for

    book = phrasebook_for(("BALL", "NUT"), ())
    for dialogue in ALL:
        for turn in dialogue.turns:
            yield from (command.name for command in book.parse(turn.say))


def test_every_question_has_a_dialogue() -> None:
    assert set(commands_said()) >= set(SUMS)


@pytest.mark.parametrize("options", [{"yarn": "moonbeam"}, {"hook": 300.0}, {"stitches_per_10cm": 0.0}])
def test_measures_that_cannot_be_are_refused_before_the_work_begins(tmp_path: Path, options: dict[str, Any]) -> None:
    with pytest.raises(MakerError):
        opened(tmp_path, "ball", **options)


def test_what_was_measured_is_there_after_a_restart(tmp_path: Path) -> None:
    with opened(tmp_path, "ball") as session:
        session.typed("my gauge is twenty stitches and twenty rounds")
        first = session.typed("how big will it be")[0].reply
    with opened(tmp_path, "ball") as session:
        assert session.typed("how big will it be")[0].reply == first


@settings(deadline=None, max_examples=60)
@given(st.integers(6, 120), st.integers(1, 120), st.sampled_from(["inc", "dec"]))
def test_what_is_said_of_a_spread_is_a_round_that_adds_up(stitches: int, changes: int, kind: Any) -> None:
    """The reader is the judge: it works the written form out by itself, and both forms are the same work."""
    changes = min(changes, stitches if kind == "inc" else stitches // 2)
    spread = even(kind, changes, stitches)
    text = f"X\nTerms: US\n\nX\nRnd 1: {stitches} sc in a magic ring\nRnd 2: {spread.text} [{spread.makes}]\n"
    pattern = read(text)
    assert not pattern.errors
    entry = pattern.pieces[0].rounds[1]
    assert entry.stitches == spread.makes
    assert motions(entry) == [
        (one.in_one, one.together) for item in spread.instructions for one in flat(item) for _ in range(one.count)
    ]


def motions(entry: Round) -> list[tuple[int, int]]:
    return [(step.gives, step.takes) for step in entry.steps if step.gives]


def flat(item: Any) -> list[Any]:
    return [one for part in item.body for one in flat(part)] * item.times if hasattr(item, "body") else [item]


def test_the_head_of_eyes_is_the_round_they_sit_in(tmp_path: Path) -> None:
    """Plain geometry: 30 stitches of 5 mm are a round of 150 mm, so 150 / pi across."""
    with opened(tmp_path, "eyes", stitches_per_10cm=20, rounds_per_10cm=20) as session:
        outcome = session.work.handle("eye_size")
        found = getattr(outcome.answer, "what", None)
        assert isinstance(found, a.EyeSizes)
        assert sum(found.head) / 2 == pytest.approx(150 / math.pi)


def test_every_sentence_of_the_sums_is_heard_in_some_dialogue(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: set[str] = set()
    table = dict(sentences())

    class Watched(dict[str, Any]):
        def __getitem__(self, key: str) -> Any:
            seen.add(key)
            return super().__getitem__(key)

    monkeypatch.setattr("companion.wording.tools.sentences", lambda: Watched(table))
    for number, dialogue in enumerate(ALL):
        folder = tmp_path / str(number)
        folder.mkdir()
        with opened(folder, dialogue.pattern, **dialogue.measures) as session:
            for turn in dialogue.turns:
                session.typed(turn.say)
    assert sorted(key for key in table if key.startswith("sums.") and key not in seen) == []


@pytest.mark.parametrize("verbosity", VERBOSITIES)
def test_a_guess_says_so_at_every_verbosity(tmp_path: Path, verbosity: Any) -> None:
    with opened(tmp_path, "eyes") as session:
        session.wording.verbosity = verbosity
        assert "guess" in session.typed("how big will it be")[0].reply
        assert "guess" in session.typed("how much yarn is left to use")[0].reply
