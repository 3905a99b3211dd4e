"""A pattern written out clean, in US or UK terms. What is written reads back to the same pattern."""

from __future__ import annotations

from collections.abc import Iterator

from companion.pattern.model import Pattern, Piece, Terms
from companion.pattern.roundtext import in_terms, round_text


def write(pattern: Pattern, terms: Terms | None = None) -> str:
    """The pattern as text, in the terms it was read in or in others.

    What could not be read is written as it stands. A round whose printed total disagrees keeps the printed one, so
    that nobody takes the writing-out for a correction.
    """
    terms = terms or pattern.terms
    return "\n".join(_lines(pattern, terms)).rstrip("\n") + "\n"


def _lines(pattern: Pattern, terms: Terms) -> Iterator[str]:
    yield pattern.title or "Untitled pattern"
    if pattern.designer:
        yield f"Designer: {pattern.designer}"
    if pattern.rights:
        yield pattern.rights if any(c in pattern.rights for c in "©") else f"Copyright: {_without_key(pattern.rights)}"
    yield ""
    yield f"Terms: {terms}"
    for key, value in (
        ("Hook", pattern.hook),
        ("Yarn", pattern.yarn),
        ("Tension" if terms == "UK" else "Gauge", pattern.gauge),
    ):
        if value:
            yield f"{key}: {value}"
    for caution in pattern.cautions:
        yield f"Caution: {caution}"
    if pattern.materials:
        yield ""
        yield "Materials"
        yield from (f"- {item}" for item in pattern.materials)
    for piece in pattern.pieces:
        yield ""
        yield from _piece(piece, pattern.terms, terms)
    if pattern.assembly:
        yield ""
        yield "ASSEMBLY"
        yield from (f"{n}. {in_terms(note.text, pattern.terms, terms)}" for n, note in enumerate(pattern.assembly, 1))


def _without_key(text: str) -> str:
    return text.split(":", 1)[1].strip() if text.lower().startswith("copyright:") else text


def _piece(piece: Piece, written: Terms, terms: Terms) -> Iterator[str]:
    yield f"{piece.name.upper()} (make {piece.make})"
    for note in piece.notes:
        yield in_terms(note.text, written, terms)
    in_force = "sc"
    for entry in piece.rounds:
        line, in_force = round_text(entry, terms, in_force, written=written)
        yield line
        for note in entry.notes:
            if note.when != "before":
                yield in_terms(note.text, written, terms)
