"""Sentences as data: one YAML file for each group of answers, so that they can be edited and translated by themselves.

An entry is one text for every verbosity, or a text for each: `full`, `brief`, `numbers`. Where `numbers` is left out,
`brief` is used; where `brief` is left out, `full`. Slots in braces are filled with words, never with figures.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any, Literal

import yaml
from pydantic import BaseModel, ConfigDict, RootModel, model_validator

Verbosity = Literal["full", "brief", "numbers"]
VERBOSITIES: tuple[Verbosity, ...] = ("full", "brief", "numbers")
FOLDER = Path(__file__).with_name("sentences")


class Entry(BaseModel):
    """One sentence in the three verbosities."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    full: str
    brief: str
    numbers: str

    @model_validator(mode="before")
    @classmethod
    def _fill(cls, raw: Any) -> Any:
        if isinstance(raw, str):
            raw = {"full": raw}
        if isinstance(raw, dict) and "full" in raw:
            brief = raw.get("brief", raw["full"])
            raw = {"brief": brief, "numbers": brief, **raw}
        return raw

    def text(self, verbosity: Verbosity) -> str:
        """The sentence at that verbosity, slots still open."""
        return {"full": self.full, "brief": self.brief, "numbers": self.numbers}[verbosity]


class Group(RootModel[dict[str, Entry]]):
    """One file of sentences."""


@cache
def sentences() -> dict[str, Entry]:
    """Every sentence by "group.name": "moves.made" is the entry `made` of moves.yaml."""
    found: dict[str, Entry] = {}
    for path in sorted(FOLDER.glob("*.yaml")):
        group = Group.model_validate(yaml.safe_load(path.read_text(encoding="utf-8")))
        found |= {f"{path.stem}.{name}": entry for name, entry in group.root.items()}
    return found
