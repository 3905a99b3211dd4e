"""What may be said while a pattern is taken down, with the stitches named in the designer's terms."""

from __future__ import annotations

from functools import cache

from companion.pattern.model import Terms
from companion.pattern.stitches import table
from companion.phrases.dictation import Dictation


@cache
def phrasebook_in(terms: Terms) -> Dictation:
    """What may be said, in these terms. Kept, since laying out all sentences takes about a second."""
    spoken = {}
    for key, stitch in table().items():
        names = stitch.names(terms)
        aliases = stitch.aliases_us if terms == "US" else stitch.aliases_uk
        spoken[key] = [names.name, names.plural, *(alias for alias in aliases if " " in alias)]
    return Dictation(spoken)


@cache
def called_in(terms: Terms, attention: str) -> Dictation:
    """The same with that attention word, "" for none. Kept as well, with the grammars that the ear has walked."""
    return phrasebook_in(terms).called(attention) if attention else phrasebook_in(terms)
