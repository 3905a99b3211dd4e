"""What the room's data files must look like. Imported only when a file is new and has to be checked."""

from __future__ import annotations

from typing import Any, Final, Literal

import yaml
from pydantic import BaseModel, ConfigDict, Field, NonNegativeInt, PositiveInt, RootModel

# libyaml's parser is ten times as fast, and is in every wheel of PyYAML; without it the plain one does.
_LOADER: Final = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class NamesKind(BaseModel):
    """A stitch's names in one set of terms."""

    model_config = ConfigDict(extra="forbid")

    abbreviations: list[str] = Field(min_length=1)
    name: str
    plural: str


class StitchKind(BaseModel):
    """One entry of stitches.yaml."""

    model_config = ConfigDict(extra="forbid")

    key: str
    us: NamesKind
    uk: NamesKind
    aliases: list[str] = []
    aliases_us: list[str] = []
    aliases_uk: list[str] = []
    takes: NonNegativeInt
    gives: NonNegativeInt
    chain_spaces: NonNegativeInt = 0
    height: NonNegativeInt = 0
    kind: Literal["basic", "gathered", "spread", "post", "spike", "trim", "foundation", "technique"]
    parts: PositiveInt = 1
    how_to: str = ""


class StitchesKind(BaseModel):
    """stitches.yaml."""

    model_config = ConfigDict(extra="forbid")

    stitches: list[StitchKind] = Field(min_length=1)


class WordsKind(RootModel[dict[str, list[str]]]):
    """words.yaml: terminal of the grammar -> ways of writing it."""


class SectionsKind(BaseModel):
    """sections.yaml: section -> headings, and section -> words before a colon."""

    model_config = ConfigDict(extra="forbid")

    headings: dict[str, list[str]]
    keys: dict[str, list[str]]


_KINDS: Final[dict[str, type[BaseModel]]] = {
    "stitches.yaml": StitchesKind,
    "words.yaml": WordsKind,
    "sections.yaml": SectionsKind,
}


def checked(name: str, text: str) -> Any:
    """The contents of a data file as plain lists and dictionaries. pydantic's ValidationError where they are wrong."""
    return _KINDS[name].model_validate(yaml.load(text, Loader=_LOADER)).model_dump()
