"""Every printed total of the good patterns made wrong, one at a time: one error, on its line, and no other."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from companion.pattern.model import Pattern, Span, Total
from companion.pattern.reader import read, read_file

GOOD = sorted((Path(__file__).parent / "corpus" / "good").iterdir())


def spoilt(pattern: Pattern) -> Iterator[tuple[int, str]]:
    """The source with one printed total one too large, and the line of it; for every total in turn."""
    for piece in pattern.pieces:
        for entry in piece.rounds:
            total = entry.declared
            if total is not None and total.span is not None and total.stitches is not None:
                text = raised(pattern.source.split("\n"), total, total.span)
                if text is not None:
                    yield total.span.line, text


def raised(lines: list[str], total: Total, span: Span) -> str | None:
    """The text with this total raised; None where its first number is not that of its stitches, or it is a chunk."""
    if span.end_line != span.line:
        return None
    line, start, end = lines[span.line - 1], span.column - 1, span.end_column - 1
    number = re.search(r"\d+", line[start:end])
    if number is None or int(number[0]) != total.stitches:
        return None
    changed = line[: start + number.start()] + str(total.stitches + 1) + line[start + number.end() :]
    return "\n".join([*lines[: span.line - 1], changed, *lines[span.line :]])


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.name)
def test_a_wrong_total_is_one_error_on_its_line(path: Path) -> None:
    for line, text in spoilt(read_file(path, size=1)):
        errors = [(p.line, p.kind) for p in read(text, size=1).errors]
        assert errors == [(line, "total_mismatch")], text.split("\n")[line - 1]
