"""What `companion check` says of a pattern: the JSON object of its contract, and plain lines for people.

The lines are made to be listened to: one fact a line, no columns, no drawing.
"""

from __future__ import annotations

import json
from collections.abc import Iterator

from companion.pattern.model import Pattern, Problem, Round


def check_dict(pattern: Pattern) -> dict[str, object]:
    """The object of `companion check --json`, keys in the order of its contract.

    `stitches` is null where it was not worked out.
    """
    return {
        "title": pattern.title,
        "terms": pattern.terms,
        "pieces": [
            {
                "name": piece.name,
                "make": piece.make,
                "rounds": [
                    {
                        "label": entry.label,
                        "first": entry.first,
                        "last": entry.last,
                        "worked_into": entry.worked_into,
                        "stitches": entry.stitches if entry.basis == "worked_out" else None,
                        "line": entry.span.line,
                    }
                    for entry in piece.rounds
                ],
            }
            for piece in pattern.pieces
        ],
        "problems": [
            {
                "line": p.line,
                "column": p.column,
                "severity": p.severity,
                "kind": p.kind,
                "message": p.message,
                "hint": p.hint,
            }
            for p in pattern.problems
        ],
    }


def check_json(pattern: Pattern) -> str:
    """The same as one line of JSON."""
    return json.dumps(check_dict(pattern))


def check_lines(pattern: Pattern) -> Iterator[str]:
    """What `companion check` prints: the rounds with their totals, then the problems, then one closing line."""
    yield f"{pattern.title or 'Pattern without a title'}, {pattern.terms} terms."
    for piece in pattern.pieces:
        yield ""
        yield f"{piece.name}, make {piece.make}." if piece.make > 1 else f"{piece.name}."
        for nth, entry in enumerate(piece.rounds):
            yield _round_line(entry, entry.label or ("Step" if nth else "Set-up"))
    yield ""
    if not pattern.problems:
        yield "No problems found."
        return
    for problem in pattern.problems:
        yield _problem_line(problem)
    errors = len(pattern.errors)
    warnings = len(pattern.problems) - errors
    yield f"{_count(errors, 'error')}, {_count(warnings, 'warning')}."


def _round_line(entry: Round, label: str) -> str:
    if entry.basis == "pattern_says" and entry.declared is not None and entry.declared.stitches is not None:
        return f"{label}: the pattern says {entry.declared.stitches}; not worked out. Line {entry.span.line}."
    if entry.stitches is None:
        return f"{label}: total unknown. Line {entry.span.line}."
    total = _count(entry.stitches, "stitch", "stitches")
    if entry.times > 1:
        total += " each"
    into = ""
    if entry.worked_into is not None:
        into = " into a ring" if entry.worked_into == 0 and entry.into == "ring" else f" into {entry.worked_into}"
    said = ""
    if entry.declared is not None and entry.declared.stitches not in (None, entry.stitches):
        said = f" The pattern says {entry.declared.stitches}."
    return f"{label}: {total}{into}.{said}"


def _problem_line(problem: Problem) -> str:
    hint = f" {problem.hint}" if problem.hint else ""
    return f"Line {problem.line}, column {problem.column}, {problem.severity}: {problem.message}{hint}"


def _count(n: int, one: str, many: str | None = None) -> str:
    return f"{n} {one}" if n == 1 else f"{n} {many or one + 's'}"
