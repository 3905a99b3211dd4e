"""What stitches are called aloud, in the maker's terms, and how a written name is told in them.

The table is the pattern room's; here it is only asked. A pattern in US terms read to a maker who thinks in UK terms
has its names told in UK ones, in notes too: the same two letters mean different stitches in the two sets of terms.
"""

from __future__ import annotations

import re
from functools import cache

from companion.pattern.model import Terms
from companion.pattern.stitches import Stitch, by_spelling, table


def spoken(key: str, terms: Terms) -> tuple[str, str]:
    """Name and plural of the stitch of that key, to be spoken: ("slip stitch", "slip stitches").

    A key that the table does not have is spoken as it is.
    """
    stitch = table().get(key)
    if stitch is None:
        return key, key
    names = stitch.names(terms)
    return _voiced(names.name), _voiced(names.plural)


def kind(key: str) -> str:
    """The kind of the stitch of that key as the table has it, "basic" for one that it does not have."""
    stitch = table().get(key)
    return stitch.kind if stitch else "basic"


def skip(terms: Terms) -> str:
    """The word for passing a stitch by: "skip" in US terms, "miss" in UK ones."""
    return table()["sk"].names(terms).name


def find(written: str, terms: Terms) -> Stitch | None:
    """The stitch that goes by this name or abbreviation in these terms, None if there is none."""
    return by_spelling(terms).get(" ".join(written.lower().split()))


def find_key(key: str) -> Stitch | None:
    """The stitch of that key, None if there is none."""
    return table().get(key)


@cache
def spellings(terms: Terms, never: frozenset[str]) -> re.Pattern[str]:
    """Finds stitches in running text: names, abbreviations, and other spellings of more than one word.

    One-word nicknames ("pop", "fan") are left out, since in running text they mostly mean something else; so is
    whatever `never` holds.
    """
    found: set[str] = set()
    for stitch in table().values():
        names = stitch.names(terms)
        found |= {*names.abbreviations, names.name.lower(), names.plural.lower()}
        found |= set(stitch.aliases_us if terms == "US" else stitch.aliases_uk)
        found |= {alias for alias in stitch.aliases if " " in alias}
    words = sorted(found - never, key=len, reverse=True)
    choice = "|".join(re.escape(word).replace(r"\ ", r"[\s-]+") for word in words)
    return re.compile(rf"(?<![^\W\d_])(?:{choice})(?![^\W_])", re.IGNORECASE)


def _voiced(name: str) -> str:
    return name.replace("-", " ")
