"""Whether the draft, written out and read again, is what was said: no name a heading, no note taken for stitches."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from companion.dictation.draft import Draft, DraftPiece
from companion.dictation.script import pattern_of
from companion.pattern.model import Act, InOne, Instruction, Piece, Repeat
from companion.phrases.line import Colour, Group, Item, Motion

_ABOUT = ("title", "terms", "hook", "yarn", "gauge", "designer")
_Outline = tuple[str, int, int, list[str]]
_SOMETHING = Motion("sc", 6, into="ring")  # stands in where a piece has no rounds yet


def reads_as_said(draft: Draft) -> bool:
    """True where the reader finds the same title, pieces, number of rounds, colours and notes, and no riddle."""
    full = replace(draft, pieces=tuple(map(_with_something, draft.pieces)))
    pattern = pattern_of(full)
    return (
        all(getattr(pattern, name) == getattr(draft, name) for name in _ABOUT)
        and pattern.materials == draft.needed
        and tuple(note.text for note in pattern.assembly) == draft.assembly
        and not any(problem.kind == "unreadable" for problem in pattern.problems)
        and list(map(_said, full.pieces)) == list(map(_read, pattern.pieces))
        and all(_has_notes(said, read) for said, read in zip(full.pieces, pattern.pieces, strict=True))
    )


def _with_something(piece: DraftPiece) -> DraftPiece:
    if any(entry.has_work for entry in piece.rounds):
        return piece
    return piece.with_round(replace(piece.round, items=(*piece.round.items, _SOMETHING)))


def _said(piece: DraftPiece) -> _Outline:
    rounds = [entry for entry in piece.rounds if entry.has_work]
    colours = [colour for entry in rounds for colour in _colours(entry.items)]
    return piece.name.casefold(), piece.make, sum(entry.times for entry in rounds), colours


def _read(piece: Piece) -> _Outline:
    colours = [colour for entry in piece.rounds for colour in _colours_read(entry.instructions)]
    return piece.name.casefold(), piece.make, sum(entry.times for entry in piece.rounds), colours


def _colours(items: Sequence[Item]) -> Iterator[str]:
    for item in items:
        if isinstance(item, Colour):
            yield item.name
        elif isinstance(item, Group):
            yield from _colours(item.items)


def _colours_read(items: Sequence[Instruction]) -> Iterator[str]:
    for item in items:
        if isinstance(item, Act) and item.kind == "colour":
            yield item.text
        elif isinstance(item, Repeat | InOne):
            yield from _colours_read(item.body)


def _has_notes(said: DraftPiece, read: Piece) -> bool:
    notes = [*said.notes, *(note for entry in said.rounds for note in entry.notes)]
    found = " ".join(note.text for note in (*read.notes, *(note for entry in read.rounds for note in entry.notes)))
    return all(note in found for note in notes)
