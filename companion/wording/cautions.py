"""The usual cautions of the craft, as they are kept in print."""

from __future__ import annotations

import re

from companion.pattern.model import Note, Pattern, Piece
from companion.wording.sentences import sentences

_SMALL_PARTS = re.compile(r"\b(safety eyes?|eyes?|buttons?|beads?|noses?)\b", re.IGNORECASE)
_AGE = re.compile(r"\bunder (three|3)\b|\b(36|thirty.six) months\b|small parts", re.IGNORECASE)
_SEWN = re.compile(r"\b(needle|pins?|sew|sewn|sewing)\b", re.IGNORECASE)


def has_small_parts(pattern: Pattern) -> bool:
    """True where eyes, buttons, beads or noses are set on."""
    return any(_SMALL_PARTS.search(line) for line in pattern.materials) or any(
        note.kind == "eyes" for note in notes_of(pattern)
    )


def warns_of_small_parts(pattern: Pattern) -> bool:
    """True where the pattern itself has the caution for small children."""
    return any(_AGE.search(text) for text in pattern.cautions)


def usual(pattern: Pattern) -> tuple[str, ...]:
    """The cautions that go with this pattern beside its own, as sentences to be printed."""
    texts = (*pattern.materials, *(note.text for note in notes_of(pattern)))
    wanted = []
    if has_small_parts(pattern):
        wanted += ["toy_rules"] if warns_of_small_parts(pattern) else ["small_parts", "toy_rules"]
    wanted += ["needles"] if any(_SEWN.search(text) for text in texts) else []
    told = [sentences()[f"cautions.{name}"].full for name in (*wanted, "hands")]
    return tuple(text for text in told if text not in pattern.cautions)


def notes_of(pattern: Pattern) -> tuple[Note, ...]:
    """Every note of the pattern, its pieces and rounds."""
    return (*pattern.notes, *pattern.assembly, *(note for piece in pattern.pieces for note in _piece_notes(piece)))


def _piece_notes(piece: Piece) -> tuple[Note, ...]:
    return (*piece.notes, *(note for entry in piece.rounds for note in entry.notes))
