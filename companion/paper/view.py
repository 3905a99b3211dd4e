"""A pattern prepared for being laid out: every form on paper is filled from this, so that all say the same."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from companion.paper.terms import carried_over, states_terms
from companion.pattern.model import (
    Note,
    Pattern,
    Piece,
    Round,
    Terms,
)
from companion.pattern.roundtext import round_text
from companion.pattern.stitches import by_spelling, table
from companion.wording import cautions
from companion.wording.instructions import Instructions, without_total
from companion.wording.spoken import Speakable, sentence

Carry = Callable[[str], str]
"""Carries running text over into the terms asked for."""
SHAPES = {
    "spiral": "Worked in a spiral. Do not join the rounds; move the marker up each round.",
    "joined": "Each round is joined with a slip stitch.",
    "turned": "Worked in rows, turned at the end of each.",
}
_TOLD = {
    shape: re.compile(rf"\b{word}", re.IGNORECASE)
    for shape, word in (("spiral", "spiral"), ("joined", "join"), ("turned", "turn"))
}
_KINDS = {"round": "Round", "row": "Row"}


@dataclass(frozen=True, slots=True)
class RoundView:
    """One entry. `label` "Round 5", `words` in full, `written` in abbreviations, `total` "30 stitches".

    `margin` is the number alone, for a margin. `doubt` tells what is wrong with the round, "" for nothing.
    """

    entry: Round
    label: str
    margin: str
    words: str
    written: str
    total: str
    doubt: str
    before: tuple[str, ...]
    after: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PieceView:
    """One piece. `key` names it in a file name and an address."""

    piece: Piece
    key: str
    name: str
    make: str
    shape: str
    notes: tuple[str, ...]
    rounds: tuple[RoundView, ...]


@dataclass(frozen=True, slots=True)
class View:
    """A whole pattern in one set of terms. `personal` is the line that marks somebody else's pattern as a copy."""

    pattern: Pattern
    terms: Terms
    title: str
    terms_line: str
    byline: str
    rights: str
    personal: str
    materials: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]
    abbreviations: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    pieces: tuple[PieceView, ...]
    assembly: tuple[str, ...]


def view(pattern: Pattern, terms: Terms | None = None, *, own: bool = False) -> View:
    """The pattern prepared in these terms, its own where none are given.

    `own`: the maker wrote it. Without that, a pattern with a designer or a copyright line is marked as a personal copy.
    """
    terms = terms or pattern.terms
    speak = Speakable(terms, pattern.terms, dict(pattern.abbreviations))
    read = Instructions(terms, speak)
    carry = partial(carried_over, written=pattern.terms, wanted=terms)
    facts = [("Hook", pattern.hook), ("Yarn", pattern.yarn), ("Gauge" if terms == "US" else "Tension", pattern.gauge)]
    pieces = _pieces(pattern, terms, read, carry)
    foreign = bool(pattern.designer or pattern.rights) and not own
    return View(
        pattern=pattern,
        terms=terms,
        title=pattern.title or "Untitled pattern",
        terms_line=f"{terms} terms.",
        byline=f"Designed by {pattern.designer}." if pattern.designer else "",
        rights=pattern.rights,
        personal="Personal copy, laid out for the maker's own use. All rights stay with the designer."
        if foreign
        else "",
        materials=tuple(carry(item) for item in pattern.materials),
        facts=tuple((name, carry(value)) for name, value in facts if value),
        abbreviations=(*used([r for piece in pieces for r in piece.rounds], terms), *_own_abbreviations(pattern)),
        notes=tuple(sentence(carry(note.text)) for note in _advice(pattern)),
        cautions=(*(sentence(carry(text)) for text in pattern.cautions), *cautions.usual(pattern)),
        pieces=pieces,
        assembly=tuple(sentence(carry(note.text)) for note in pattern.assembly),
    )


def _pieces(pattern: Pattern, terms: Terms, read: Instructions, carry: Carry) -> tuple[PieceView, ...]:
    views: list[PieceView] = []
    keys: set[str] = set()
    for piece in pattern.pieces:
        key = base = "".join(c if c.isalnum() else "-" for c in piece.name.lower()).strip("-") or "piece"
        number = 2
        while key in keys:
            key, number = f"{base}-{number}", number + 1
        keys.add(key)
        views.append(
            PieceView(
                piece=piece,
                key=key,
                name=piece.name.capitalize() if piece.name.isupper() else piece.name,
                make=f"Make {piece.make}." if piece.make > 1 else "",
                shape=_shape(piece, pattern),
                notes=tuple(sentence(carry(note.text)) for note in piece.notes),
                rounds=tuple(_rounds(piece, pattern, terms, read, carry)),
            )
        )
    return tuple(views)


def _shape(piece: Piece, pattern: Pattern) -> str:
    """How the rounds follow each other, where no note tells it already."""
    if piece.shape is None or any(_TOLD[piece.shape].search(n.text) for n in (*pattern.notes, *piece.notes)):
        return ""
    return SHAPES[piece.shape]


_BARE: dict[str, Any] = {"declared": None, "basis": "unknown", "first": None, "last": None, "label": ""}
"""What is taken from a round so that its stitches alone are written."""


def _rounds(piece: Piece, pattern: Pattern, terms: Terms, read: Instructions, carry: Carry) -> Iterator[RoundView]:
    """Every round; in the pattern's own terms as its writer wrote it, in the others written anew."""
    in_force = "sc"
    for entry in piece.rounds:
        anew, in_force = round_text(replace(entry, **_BARE), terms, in_force, written=pattern.terms)
        yield _round(entry, without_total(entry) if terms == pattern.terms else anew, read, carry)


def _round(entry: Round, written: str, read: Instructions, carry: Carry) -> RoundView:
    return RoundView(
        entry=entry,
        label=label(entry),
        margin=_numbers(entry) or "-",
        words=read.work(entry),
        written=written,
        total=total(entry),
        doubt=_doubt(entry),
        before=_notes(entry, carry, "before"),
        after=_notes(entry, carry, "during", "after"),
    )


def _notes(entry: Round, carry: Carry, *whens: str) -> tuple[str, ...]:
    return tuple(sentence(carry(note.text)) for when in whens for note in entry.notes if note.when == when)


def _advice(pattern: Pattern) -> Iterator[Note]:
    """The pattern's notes, without the lines that are laid out elsewhere: headings, terms, abbreviations."""
    kinds = {part.span.line: part.kind for part in pattern.parts}
    for note in pattern.notes:
        kind = kinds.get(note.span.line, "notes") if note.span else "notes"
        if kind == "notes" and not states_terms(note.text):
            yield note


def _own_abbreviations(pattern: Pattern) -> Iterator[tuple[str, str]]:
    """Those that the pattern defines and the stitch table does not know."""
    known = by_spelling(pattern.terms)
    yield from ((short, meaning) for short, meaning in pattern.abbreviations if short.lower() not in known)


def _numbers(entry: Round) -> str:
    if entry.first is None or entry.last is None:
        return ""
    return str(entry.first) if entry.times == 1 else f"{entry.first}-{entry.last}"


def label(entry: Round) -> str:
    """ "Round 5", "Rounds 9 to 11", "Edging": the round's name in print."""
    if entry.kind == "step" or entry.first is None or entry.last is None:
        return entry.label
    kind = _KINDS[entry.kind]
    return f"{kind} {entry.first}" if entry.times == 1 else f"{kind}s {entry.first} to {entry.last}"


def total(entry: Round) -> str:
    """ "30 stitches"; with "the pattern says" where it was not worked out, "" where nobody knows."""
    if entry.stitches is None:
        return ""
    count = f"{entry.stitches} stitch{'' if entry.stitches == 1 else 'es'}"
    if entry.chain_spaces:
        count += f" and {entry.chain_spaces} chain space{'' if entry.chain_spaces == 1 else 's'}"
    return count if entry.basis == "worked_out" else f"the pattern says {count}"


def _doubt(entry: Round) -> str:
    printed = entry.declared.stitches if entry.declared else None
    if entry.basis == "worked_out" and printed is not None and printed != entry.stitches:
        return f"Works out at {entry.stitches}, but the pattern says {printed}."
    return ""


def used(rounds: Sequence[RoundView], terms: Terms) -> tuple[tuple[str, str], ...]:
    """The abbreviations that stand in the written rounds, with their names, in the order of the stitch table."""
    text = " ".join(round_.written for round_ in rounds)
    found: list[tuple[str, str]] = []
    for stitch in table().values():
        names = stitch.names(terms)
        for short in names.abbreviations:
            if short != names.name and re.search(rf"(?<![a-z]){re.escape(short)}(?![a-z])", text, re.IGNORECASE):
                found.append((short, names.name))
    return tuple(dict.fromkeys(found))
