"""What a pattern tester would ask about, listed for the designer before the pattern goes out."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from companion.pattern.model import Pattern, Piece
from companion.wording import cautions

_SEWN = re.compile(r"\b(sew\w*|attach\w*|join\w*|stitch\w*)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Finding:
    """One question. `line` is where it arises, None for what is missing altogether."""

    line: int | None
    kind: str
    text: str


def findings(pattern: Pattern) -> tuple[Finding, ...]:
    """Every question, those of the whole pattern first, then by line; errors of the reading among them."""
    found = [*_whole(pattern), *(finding for piece in pattern.pieces for finding in _piece(piece, pattern))]
    found += [Finding(problem.line, problem.kind, problem.message) for problem in pattern.errors]
    return tuple(sorted(found, key=lambda finding: finding.line or 0))


def _whole(pattern: Pattern) -> Iterator[Finding]:
    if not pattern.terms_stated:
        yield Finding(None, "terms_missing", "Which terms? Say US terms or UK terms at the top.")
    if not pattern.gauge:
        word = "gauge" if pattern.terms == "US" else "tension"
        yield Finding(None, "gauge_missing", f"Which {word}? Give stitches and rounds to 10 cm.")
    if not pattern.hook:
        yield Finding(None, "hook_missing", "Which hook? Give its size in millimetres.")
    if not pattern.materials and not pattern.yarn:
        yield Finding(None, "yarn_missing", "Which yarn, and how much of it?")
    if cautions.has_small_parts(pattern) and not cautions.warns_of_small_parts(pattern):
        text = "Eyes or other small parts without a caution: say that a child under three needs embroidered ones."
        yield Finding(None, "caution_missing", text)


def _piece(piece: Piece, pattern: Pattern) -> Iterator[Finding]:
    line = piece.span.line
    if piece.shape is None:
        yield Finding(line, "shape_missing", f"{piece.name}: joined, in a spiral, or turned? Say which.")
    for entry in piece.rounds:
        if entry.declared is None and entry.kind != "step":
            yield Finding(entry.span.line, "total_missing", f"{piece.name}, {entry.label}: no total is printed.")
        if entry.basis != "worked_out" and entry.kind != "step":
            text = f"{piece.name}, {entry.label}: the stitches could not be worked out."
            yield Finding(entry.span.line, "not_worked_out", text)
    if len(pattern.pieces) > 1 and pattern.pieces[0] is not piece and not _put_on(piece, pattern):
        yield Finding(line, "never_sewn", f"{piece.name}: nothing says where it is sewn or joined on.")


def _put_on(piece: Piece, pattern: Pattern) -> bool:
    """True where assembly, or another piece's text, names this piece as sewn or joined."""
    name = re.compile(rf"\b{re.escape(piece.name.rstrip('s'))}(s|es)?\b", re.IGNORECASE)
    elsewhere = [note.text for note in (*pattern.assembly, *pattern.notes)]
    for other in pattern.pieces:
        if other is not piece:
            elsewhere += [entry.text for entry in other.rounds]
            elsewhere += [note.text for note in (*other.notes, *(n for entry in other.rounds for n in entry.notes))]
    return any(name.search(text) and _SEWN.search(text) for text in elsewhere)


def listed(pattern: Pattern) -> str:
    """The list as plain text, one question a line."""
    found = findings(pattern)
    if not found:
        return "Nothing to ask: a tester would find all that is needed.\n"
    head = f"Questions a tester would ask: {len(found)}.\n\n"
    return head + "".join(f"{f'Line {item.line}: ' if item.line else ''}{item.text}\n" for item in found)
