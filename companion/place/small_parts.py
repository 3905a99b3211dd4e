"""Small parts in toys: where the usual caution for children under three is due.

Common practice; the rules where the maker lives or sells (such as ASTM F963 and EN 71-1) are theirs to check.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from companion.pattern.model import Note, Pattern

TOLD = "small parts"
"""The name under which it is kept that the caution was said."""

_SMALL_PARTS = re.compile(r"\b(eyes?|buttons?|beads?|noses?|bells?|rattles?)\b", re.IGNORECASE)


def eye_notes(pattern: Pattern) -> Iterator[tuple[str, Note]]:
    """Every note about eyes with its piece, "" for one of the whole pattern."""
    for piece in pattern.pieces:
        notes = [*piece.notes, *(note for entry in piece.rounds for note in entry.notes)]
        yield from ((piece.name, note) for note in notes if note.kind == "eyes")
    yield from (("", note) for note in pattern.notes if note.kind == "eyes")


def has_small_parts(pattern: Pattern) -> bool:
    """True where the materials or the notes name small parts."""
    return any(_SMALL_PARTS.search(line) for line in pattern.materials) or any(True for _ in eye_notes(pattern))
