"""Random patterns against a counter that walks along single stitches; and written back. More of them on the bench."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchmarks.random_patterns import Made, make, spoil
from companion.pattern.model import Pattern
from companion.pattern.reader import read
from companion.pattern.writing import write


def counts(pattern: Pattern) -> list[tuple[str, list[tuple[int | None, int | None]]]]:
    return [(piece.name, [(r.worked_into, r.stitches) for r in piece.rounds]) for piece in pattern.pieces]


def walked(made: Made) -> list[tuple[str, list[tuple[int | None, int | None]]]]:
    return [(name, [(r.into, r.total) for r in rounds]) for name, rounds in made.pieces]


def meaning(pattern: Pattern) -> list[object]:
    return [
        (p.name.lower(), p.make, [(r.first, r.last, r.worked_into, r.stitches, r.instructions) for r in p.rounds])
        for p in pattern.pieces
    ]


@pytest.mark.parametrize("seed", range(150))
def test_rounds_are_counted_as_by_the_walk_along_the_row(seed: int) -> None:
    made = make(seed)
    pattern = read(made.text)
    assert pattern.problems == ()
    assert pattern.terms == made.terms
    assert counts(pattern) == walked(made)
    for piece in pattern.pieces:
        for entry in piece.rounds:
            assert sum(step.takes for step in entry.steps) == entry.worked_into
            assert sum(step.gives for step in entry.steps) == entry.stitches


@pytest.mark.parametrize("seed", range(150))
def test_one_wrong_total_is_one_error_on_its_line(seed: int) -> None:
    text, line = spoil(make(seed), seed)
    assert [(p.line, p.kind) for p in read(text).problems] == [(line, "total_mismatch")]


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 10**9), st.sampled_from(["US", "UK"]))
def test_written_out_in_either_terms_it_reads_back_to_the_same(seed: int, terms: str) -> None:
    pattern = read(make(seed).text)
    there = read(write(pattern, "US" if terms == "US" else "UK"))
    assert there.terms == terms
    assert meaning(there) == meaning(pattern)
    back = read(write(there, pattern.terms))
    assert meaning(back) == meaning(pattern)
