"""Rounds around a piece: worked in rounds, that is its last round; worked in rows, its row ends too, which none counts.

That an edging around a flat piece goes into its row ends is common practice, no source. The numbers are by hand.
"""

from pathlib import Path

import pytest
import yaml

from companion.pattern.model import Pattern, Round
from companion.pattern.reader import read
from companion.pattern.writing import write

DATA = yaml.safe_load((Path(__file__).parent / "around.yaml").read_text(encoding="utf-8"))
HEAD = "Terms: US\nCh 1 does not count as a stitch.\nCh 3 counts as dc.\n\n"
Case = dict[str, object]


def name_of(case: Case) -> str:
    return f"{case['after']}: {case['words']}"


def begun(case: Case) -> str:
    return f"Thing\n{HEAD}STRIP\n{DATA['beginnings'][case['after']]}"


def continued(case: Case) -> str:
    return f"{begun(case)}{case['words']}\n"


def with_another_piece(case: Case) -> str:
    return f"{begun(case)}\nBAND\n{case['words']}\n"


def entries(pattern: Pattern) -> list[Round]:
    return [entry for piece in pattern.pieces for entry in piece.rounds]


def outcome(entry: Round) -> int | str | None:
    """The total of an entry as the cases write it."""
    if entry.basis == "worked_out":
        return entry.stitches
    return "unknown" if entry.basis == "unknown" else f"says {entry.stitches}"


def check(case: Case, text: str) -> None:
    before = len(entries(read(begun(case))))
    pattern = read(text)
    assert [outcome(entry) for entry in entries(pattern)[before:]] == case["made"]
    assert [outcome(entry) for entry in entries(pattern)[:before]] == [outcome(e) for e in entries(read(begun(case)))]
    assert sorted({p.kind for p in pattern.problems}) == sorted(case.get("problems", []))  # type: ignore[call-overload]


@pytest.mark.parametrize("case", DATA["rounds"], ids=name_of)
def test_what_goes_around_is_counted_where_it_can_be(case: Case) -> None:
    check(case, continued(case))


@pytest.mark.parametrize("case", DATA["named"], ids=name_of)
def test_a_piece_worked_in_rows_that_is_called_by_name_has_more_than_one_edge(case: Case) -> None:
    check(case, with_another_piece(case))


@pytest.mark.parametrize("case", DATA["rounds"], ids=name_of)
def test_what_is_written_of_it_reads_back(case: Case) -> None:
    pattern = read(continued(case))
    again = read(write(pattern))
    assert [entry.stitches for entry in entries(again)] == [entry.stitches for entry in entries(pattern)]


@pytest.mark.parametrize("name", DATA["beginnings"])
def test_the_beginnings_are_right_themselves(name: str) -> None:
    pattern = read(begun({"after": name}))
    bases = [entry.basis for entry in entries(pattern)]
    if name == "until so long":  # ends with a sentence that stands for rounds
        assert [problem.kind for problem in pattern.problems] == ["rounds_not_written"]
        assert bases.pop() == "unknown"
    else:
        assert not pattern.problems
    assert set(bases) == {"worked_out"}


@pytest.mark.parametrize("total", ["", " (36)"])
def test_the_maker_is_told_why_it_is_not_known_and_what_to_print(total: str) -> None:
    pattern = read(continued({"after": "strip", "words": f"Edging: (sc, ch 1) around{total}"}))
    (problem,) = pattern.problems
    assert problem.severity == "warning"
    assert "“(sc, ch 1) around”" in problem.message
    assert "row ends" in problem.message
    assert "along each side" in problem.hint
    assert ("total" in problem.hint) == (not total)


def test_what_it_is_worked_into_is_not_known_either() -> None:
    edging = entries(read(continued({"after": "strip", "words": "Edging: sc around (36)"})))[-1]
    assert edging.worked_into is None
    assert [step.instruction.text for step in edging.steps] == ["sc around"]  # type: ignore[union-attr]
