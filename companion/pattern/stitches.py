"""The stitch table: what each stitch is called in US and UK terms, what it takes and gives, and how it is made.

The data are in `stitches.yaml`, validated here once. Everything else asks this module, so that adding a stitch
touches one file.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

from companion.pattern.data import load
from companion.pattern.model import Terms

Kind = Literal["basic", "gathered", "spread", "post", "spike", "trim", "foundation", "technique"]


@dataclass(frozen=True, slots=True)
class Names:
    """A stitch's names in one set of terms. The first abbreviation is the one that is written out."""

    abbreviations: tuple[str, ...]
    name: str
    plural: str


@dataclass(frozen=True, slots=True)
class Stitch:
    """One entry of the table. `takes`, `gives` and `chain_spaces` count for one motion; `height` is in chains."""

    key: str
    us: Names
    uk: Names
    aliases: tuple[str, ...]
    aliases_us: tuple[str, ...]
    aliases_uk: tuple[str, ...]
    takes: int
    gives: int
    chain_spaces: int
    height: int
    kind: Kind
    parts: int
    how_to: str

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


@cache
def table() -> dict[str, Stitch]:
    """All stitches by key, in the order of the data file."""
    entries = [_stitch(entry) for entry in load("stitches.yaml")["stitches"]]
    by_key = {entry.key: entry for entry in entries}
    if len(by_key) != len(entries):
        raise ValueError("stitches.yaml names a stitch twice")
    return by_key


def _stitch(entry: dict[str, Any]) -> Stitch:
    names = {
        terms: Names(tuple(n["abbreviations"]), n["name"], n["plural"])
        for terms in ("us", "uk")
        for n in [entry[terms]]
    }
    aliases = {which: tuple(entry[which]) for which in ("aliases", "aliases_us", "aliases_uk")}
    return Stitch(**{**entry, **names, **aliases})


def _names(entry: dict[str, Any]) -> Names:
    return Names(tuple(entry["abbreviations"]), entry["name"], entry["plural"])


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
