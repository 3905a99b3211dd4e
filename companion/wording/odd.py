"""Which words of a reply a listener may want spelled: names that the pattern brings, not the companion's own words."""

from __future__ import annotations

import re
from functools import cache

from companion.pattern.model import Pattern, Terms
from companion.pattern.stitches import by_spelling
from companion.wording.sentences import sentences

_WORD = re.compile(r"[^\W\d_]+(?:['’-][^\W\d_]+)*")
_TERMS: tuple[Terms, ...] = ("US", "UK")
_AT_MOST = 3  # words; nobody remembers more spellings


def odd_words(reply: str, pattern: Pattern) -> tuple[str, ...]:
    """The first few words of a reply that come from the names of the pattern: its title, pieces, materials, colours."""
    named = [pattern.title, pattern.hook, pattern.yarn, *pattern.materials]
    for piece in pattern.pieces:
        named += [piece.name, piece.colour or ""]
    odd = {word.lower() for text in named for word in _WORD.findall(text)} - _own_words()
    found = dict.fromkeys(word for word in _WORD.findall(reply) if word.lower() in odd)
    return tuple(found)[:_AT_MOST]


@cache
def _own_words() -> frozenset[str]:
    """Every word that the companion says itself, and the names of stitches."""
    texts = [text for entry in sentences().values() for text in (entry.full, entry.brief, entry.numbers)]
    texts += [spelling for terms in _TERMS for spelling in by_spelling(terms)]
    return frozenset(word.lower() for text in texts for word in _WORD.findall(text))
