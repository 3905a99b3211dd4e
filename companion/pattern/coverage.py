"""What of the source is not in the result: nothing, ever. The proof that no word is dropped."""

from __future__ import annotations

from companion.pattern.model import Pattern, Span


def unaccounted(pattern: Pattern) -> list[tuple[int, str]]:
    """Stretches of the source, as (line, words), that belong to no round, note or other part of the pattern."""
    lines = pattern.source.split("\n")
    left = [list(line) for line in lines]
    for span in _spans(pattern):
        for number in range(span.line, min(span.end_line, len(lines)) + 1):
            row = left[number - 1]
            start = span.column - 1 if number == span.line else 0
            end = span.end_column - 1 if number == span.end_line else len(row)
            row[start:end] = " " * (min(end, len(row)) - start)
    return [(n, "".join(row).strip()) for n, row in enumerate(left, 1) if "".join(row).strip()]


def _spans(pattern: Pattern) -> list[Span]:
    spans = [part.span for part in pattern.parts]
    for piece in pattern.pieces:
        spans += [note.span for note in piece.notes if note.span is not None]
        for entry in piece.rounds:
            spans.append(entry.span)
            spans += [note.span for note in entry.notes if note.span is not None]
    return spans
