"""The stitch table: what each stitch is called in US and UK terms, what it takes and gives, and how it is made.

The data are in `stitches.yaml`, validated here once. Everything else asks this module, so that adding a stitch
touches one file.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, NonNegativeInt, PositiveInt

from companion.pattern.data import load_yaml
from companion.pattern.model import Terms

Kind = Literal["basic", "gathered", "spread", "post", "spike", "trim", "foundation", "technique"]


class Names(BaseModel):
    """A stitch's names in one set of terms. The first abbreviation is the one that is written out."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    abbreviations: tuple[str, ...] = Field(min_length=1)
    name: str
    plural: str


class Stitch(BaseModel):
    """One entry of the table. `takes`, `gives` and `chain_spaces` count for one motion; `height` is in chains."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    key: str
    us: Names
    uk: Names
    aliases: tuple[str, ...] = ()
    aliases_us: tuple[str, ...] = ()
    aliases_uk: tuple[str, ...] = ()
    takes: NonNegativeInt
    gives: NonNegativeInt
    chain_spaces: NonNegativeInt = 0
    height: NonNegativeInt = 0
    kind: Kind
    parts: PositiveInt = 1
    how_to: str = ""

    def names(self, terms: Terms) -> Names:
        """Its names in US or UK terms."""
        return self.us if terms == "US" else self.uk

    def spellings(self, terms: Terms) -> tuple[str, ...]:
        """Every way of writing it in these terms, lower case, abbreviations first."""
        names = self.names(terms)
        own = self.aliases_us if terms == "US" else self.aliases_uk
        return (*names.abbreviations, names.name.lower(), names.plural.lower(), *self.aliases, *own)

    def instructions(self, *, left_handed: bool = False, terms: Terms = "US") -> str:
        """How to make it by touch, for the right or the left hand, in the maker's terms. Empty where unwritten."""
        hook, yarn = ("left hand", "right hand") if left_handed else ("right hand", "left hand")
        text = self.how_to.replace("{hook_hand}", hook).replace("{yarn_hand}", yarn)
        for key, other in table().items():
            text = text.replace("{stitch:" + key + "}", other.names(terms).name)
        return " ".join(text.split())


class _Table(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    stitches: tuple[Stitch, ...]


@cache
def table() -> dict[str, Stitch]:
    """All stitches by key, in the order of the data file."""
    loaded = load_yaml(files("companion.pattern").joinpath("stitches.yaml"), _Table)
    by_key = {stitch.key: stitch for stitch in loaded.stitches}
    if len(by_key) != len(loaded.stitches):
        raise ValueError("stitches.yaml names a stitch twice")
    return by_key


@cache
def by_spelling(terms: Terms) -> dict[str, Stitch]:
    """Every spelling in these terms, lower case, to its stitch. The first entry of the file wins."""
    found: dict[str, Stitch] = {}
    for stitch in table().values():
        for spelling in stitch.spellings(terms):
            found.setdefault(spelling, stitch)
    return found


@cache
def telling(terms: Terms) -> frozenset[str]:
    """Spellings that exist in these terms only, and so show which terms a text is written in."""
    other: Terms = "UK" if terms == "US" else "US"
    return frozenset(by_spelling(terms)) - frozenset(by_spelling(other))


def stitch(key: str) -> Stitch:
    """The stitch of that key. KeyError if the table has none."""
    return table()[key]
