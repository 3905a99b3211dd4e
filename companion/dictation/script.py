"""The draft as the text of a pattern, and what the reader of patterns makes of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache

from companion.dictation.cutting import together
from companion.dictation.draft import Draft, DraftPiece
from companion.pattern.model import Pattern, Round, Terms
from companion.pattern.reader import read
from companion.pattern.stitches import table
from companion.phrases.line import Act, Group, Item, Motion
from companion.phrases.notation import IN_FORCE, written

EYES = "Place safety eyes"
"""How the note on where the eyes go begins."""
_SMALL_PARTS = "Caution: Safety eyes are small parts and can come off. For a child under three, embroider them instead."
_SHAPES = {"spiral": "Worked in a spiral.", "joined": "Worked in joined rounds.", "turned": "Worked in rows, turned."}


@dataclass(frozen=True, slots=True)
class Worked:
    """What was worked out of one round: `takes` of the `below` that are there, `gives` so many.

    Each is None where it is not known. `fits` is True where it takes exactly what is there, or that is not known.
    """

    entry: Round
    takes: int | None
    below: int | None
    gives: int | None
    fits: bool

    @property
    def full(self) -> bool:
        """True where nothing is left to be worked into, so that more stitches belong to the next round.

        So it is too where the round takes more than there is, which was said when it did.
        """
        over = self.takes is not None and bool(self.below) and self.takes > (self.below or 0)
        return (self.fits or over) and bool(self.gives)


def text_of(draft: Draft) -> str:
    """The text. Pieces in which nothing is worked, and a present round with nothing in it, are left out."""
    lines = [draft.title]
    lines += [f"Designed by {draft.designer}"] if draft.designer else []
    lines += ["", f"Terms: {draft.terms}"]
    gauge = "Gauge" if draft.terms == "US" else "Tension"
    facts = (("Hook", draft.hook), ("Yarn", draft.yarn), (gauge, draft.gauge))
    lines += [f"{key}: {value}" for key, value in facts if value]
    lines += ["", "Materials", *(f"- {item}" for item in draft.needed)] if draft.needed else []
    lines += ["", _SMALL_PARTS] if any(map(_has_eyes, draft.pieces)) else []
    for piece in draft.pieces:
        rounds = list(_rounds(piece, draft.terms))
        if rounds:
            lines += ["", f"{piece.name.upper()} (make {piece.make})"]
            lines += [_SHAPES[piece.shape]] if piece.shape else []
            lines += [*piece.notes, *rounds]
    lines += ["", "ASSEMBLY", *draft.assembly] if draft.assembly else []
    return "\n".join(lines) + "\n"


def pattern_of(draft: Draft) -> Pattern:
    """The pattern, worked out."""
    return read(text_of(draft), terms=draft.terms)


def last_round(draft: Draft, piece: DraftPiece | None = None) -> Worked | None:
    """What was worked out of the last round of a piece (the present one) that has work in it; None if none has."""
    piece = piece or draft.piece
    if piece is None or not any(entry.has_work for entry in piece.rounds):
        return None
    pattern = pattern_of(replace(draft, pieces=(piece,), question=()))
    if not pattern.pieces or not pattern.pieces[-1].rounds:
        return None
    return worked(pattern, pattern.pieces[-1].rounds[-1])


def each_round(draft: Draft, piece: DraftPiece) -> tuple[Worked, ...]:
    """What was worked out of each line of a piece, in order."""
    pattern = pattern_of(replace(draft, pieces=(piece,), question=()))
    return tuple(worked(pattern, entry) for found in pattern.pieces[-1:] for entry in found.rounds)


def worked(pattern: Pattern, entry: Round) -> Worked:
    """The counts of one round of a pattern that was read."""
    known = entry.basis == "worked_out" and bool(entry.steps)
    takes = sum(step.takes for step in entry.steps) if known else None
    wrong = any(p.kind == "does_not_fit" and p.line == entry.span.line for p in pattern.problems)
    return Worked(entry, takes, entry.worked_into, entry.stitches if known else None, known and not wrong)


def line_of(items: tuple[Item, ...], terms: Terms, in_force: str = "sc") -> str:
    """What is worked, as it is written."""
    return written(together(items), abbreviations(terms), in_force)


@cache
def abbreviations(terms: Terms) -> dict[str, str]:
    """How each stitch is written in these terms."""
    return {key: stitch.names(terms).abbreviations[0] for key, stitch in table().items() if stitch.kind != "technique"}


def word_of(piece: DraftPiece) -> str:
    """ "row" for a piece that is turned, else "round"."""
    return "row" if piece.shape == "turned" or any(_turns(entry.items) for entry in piece.rounds) else "round"


def _rounds(piece: DraftPiece, terms: Terms) -> Iterator[str]:
    word = {"row": "Row", "round": "Rnd"}[word_of(piece)]
    number, in_force = 1, "sc"
    for entry in piece.rounds:
        if entry.has_work:
            last = number + entry.times - 1
            label = f"{word} {number}" if entry.times == 1 else f"{word}s {number}-{last}"
            yield f"{label}: {line_of(entry.items, terms, in_force)}"
            in_force = _in_force(entry.items) or in_force
        yield from entry.notes
        number += entry.times


def _has_eyes(piece: DraftPiece) -> bool:
    notes = [*piece.notes, *(note for entry in piece.rounds for note in entry.notes)]
    return any(note.startswith(EYES) for note in notes)


def _turns(items: tuple[Item, ...]) -> bool:
    return any(isinstance(item, Act) and item.kind == "turn" for item in items)


def _in_force(items: tuple[Item, ...]) -> str:
    """The last plain stitch that was named, "" if none was."""
    for item in reversed(items):
        if isinstance(item, Group):
            found = _in_force(item.items)
            if found:
                return found
        elif isinstance(item, Motion) and item.stitch not in (IN_FORCE, "sl st"):
            stitch = table().get(item.stitch)
            if stitch is not None and stitch.kind in ("basic", "post"):
                return item.stitch
    return ""
