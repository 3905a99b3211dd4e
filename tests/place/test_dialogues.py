"""Dialogues kept as data: what is said, where it leads, and the numbers in the answer."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from pydantic import BaseModel, ConfigDict

from companion.pattern.model import Pattern
from companion.place.commands import COMMANDS
from companion.place.work import WORK_COMMANDS, Outcome, Work

FOLDER = Path(__file__).parent / "dialogues"


class Turn(BaseModel):
    """One command and what must come of it. What is left out is not looked at."""

    model_config = ConfigDict(extra="forbid")

    say: str
    slots: dict[str, int | str] = {}
    wait: float = 0
    accepted: bool = True
    place: dict[str, int | str | None] = {}
    state: str = "listening"
    answer: str | None = None
    numbers: dict[str, Any] = {}


class Dialogue(BaseModel):
    """The name of a pattern from conftest, and turns."""

    model_config = ConfigDict(extra="forbid")

    title: str
    pattern: str
    turns: list[Turn]


def dialogues() -> Iterator[Dialogue]:
    for file in sorted(FOLDER.glob("*.yaml")):
        for entry in yaml.safe_load(file.read_text(encoding="utf-8")):
            yield Dialogue.model_validate(entry)


ALL = list(dialogues())


def number_at(answer: object, path: str) -> object:
    """ "now.left", "mends.0.round", "notices.Disagrees.printed": the value at that path of the answer."""
    value: Any = answer
    for name in path.split("."):
        if name.isdigit():
            value = value[int(name)]
        elif name[0].isupper():
            value = next(item for item in value if type(item).__name__ == name)
        else:
            value = getattr(value, name)
    return as_lists(value)


def as_lists(value: object) -> object:
    return [as_lists(item) for item in value] if isinstance(value, tuple) else value


def check(turn: Turn, outcome: Outcome) -> None:
    assert outcome.accepted is turn.accepted, outcome.answer
    assert outcome.place is not None
    got = outcome.place.as_json()
    assert {key: got[key] for key in turn.place} == turn.place
    assert outcome.state == turn.state
    if turn.answer is not None:
        assert type(outcome.answer).__name__ == turn.answer
    assert {path: number_at(outcome.answer, path) for path in turn.numbers} == turn.numbers


@pytest.mark.parametrize("dialogue", ALL, ids=lambda d: d.title)
def test_dialogue(dialogue: Dialogue, patterns: dict[str, Callable[[], Pattern]], tmp_path: Path, clock: Any) -> None:
    pattern = patterns[dialogue.pattern]()
    with Work.open(pattern, tmp_path, path=tmp_path / "p.txt", clock=clock) as work:
        work.opening()
        for index, turn in enumerate(dialogue.turns):
            clock.pass_(turn.wait)
            before = work.place
            outcome = work.handle(turn.say, turn.slots)
            try:
                check(turn, outcome)
            except AssertionError as error:
                error.add_note(f"turn {index + 1}: {turn.say} {turn.slots}")
                raise
            if not outcome.accepted:
                assert outcome.place == before
        place = work.place
    # Whatever was said, it is all there after a restart.
    with Work.open(pattern, tmp_path, path=tmp_path / "p.txt", clock=clock) as work:
        assert work.place == place


def test_every_command_has_a_dialogue() -> None:
    said = {turn.say for dialogue in ALL for turn in dialogue.turns}
    assert said >= {*COMMANDS, *WORK_COMMANDS}
