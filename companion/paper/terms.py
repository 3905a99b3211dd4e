"""Written text carried over from one set of terms to the other, word by word, its form untouched."""

from __future__ import annotations

import re

from companion.pattern.model import Terms
from companion.wording import names
from companion.wording.spoken import abbreviations

_STATEMENT = re.compile(r"\b(US|UK|USA|American|British)\b[^.]*\b(terms|terminology|notation)\b", re.IGNORECASE)
_TOGETHER = r"(?P<joined>(?<![^\W\d_])[a-z]+)(?=\s?[0-9]\s?tog)"


def states_terms(text: str) -> bool:
    """True for a line that says which terms the pattern is in; laid out anew, that is said elsewhere."""
    return bool(_STATEMENT.search(text))


def carried_over(text: str, written: Terms, wanted: Terms) -> str:
    """The text with every stitch named in the wanted terms: abbreviations by abbreviations, names by names."""
    if written == wanted:
        return text
    stitches = names.spellings(written, abbreviations().not_a_stitch_in_prose).pattern
    found = re.compile(f"{_TOGETHER}|{stitches}", re.IGNORECASE)
    return found.sub(lambda match: _other(match.group(), written, wanted), text)


def _other(found: str, written: Terms, wanted: Terms) -> str:
    bare = " ".join(found.lower().split())
    stitch = names.find(bare, written)
    if stitch is None:
        return found
    here, there = stitch.names(written), stitch.names(wanted)
    if bare in here.abbreviations:
        return there.abbreviations[0]
    words = there.plural if bare == here.plural.lower() and here.plural != here.name else there.name
    return words.capitalize() if found[0].isupper() else words
