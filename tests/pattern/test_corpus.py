"""Patterns in every style, with totals worked out by hand beside them; and patterns with planted faults."""

from dataclasses import replace
from pathlib import Path

import pytest
import yaml

from companion.pattern.coverage import unaccounted
from companion.pattern.model import Act, InOne, Instruction, Pattern, Repeat, Round
from companion.pattern.reader import read, read_file
from companion.pattern.writing import write

CORPUS = Path(__file__).parent / "corpus"
GOOD = yaml.safe_load((CORPUS / "good.yaml").read_text(encoding="utf-8"))
FAULTY = yaml.safe_load((CORPUS / "faulty.yaml").read_text(encoding="utf-8"))


def counted(entry: Round) -> str:
    """An entry as the totals file writes it: "5-8 24>24" is rounds 5 to 8, each worked into 24 and making 24."""
    number = (
        "-" if entry.first is None else f"{entry.first}" if entry.first == entry.last else f"{entry.first}-{entry.last}"
    )
    return f"{number} {entry.worked_into}>{entry.stitches}"


def meaning(pattern: Pattern) -> list[object]:
    """All that a pattern says of its pieces and rounds, but for the words it says it in."""

    def wordless(items: tuple[Instruction, ...]) -> tuple[Instruction, ...]:
        return tuple(
            replace(item, text="")
            if isinstance(item, Act) and item.kind != "colour"
            else replace(item, body=wordless(item.body))
            if isinstance(item, Repeat | InOne)
            else item
            for item in items
        )

    return [
        (
            piece.name.lower(),
            piece.make,
            *((r.kind, r.first, r.last, r.worked_into, r.stitches, wordless(r.instructions)) for r in piece.rounds),
        )
        for piece in pattern.pieces
    ]


def test_the_corpus_is_as_large_as_promised() -> None:
    assert len(GOOD) >= 60
    assert len(FAULTY) >= 30
    assert {path.name for path in (CORPUS / "good").iterdir()} == set(GOOD)
    assert {path.name for path in (CORPUS / "faulty").iterdir()} == set(FAULTY)


@pytest.mark.parametrize("name", GOOD)
def test_every_round_is_worked_out_as_by_hand(name: str) -> None:
    expected = GOOD[name]
    pattern = read_file(CORPUS / "good" / name)
    assert pattern.terms == expected["terms"]
    assert [(p.name, p.make) for p in pattern.pieces] == [(p["name"], p["make"]) for p in expected["pieces"]]
    for piece, by_hand in zip(pattern.pieces, expected["pieces"], strict=True):
        assert [counted(entry) for entry in piece.rounds] == by_hand["rounds"]
        bases = ["unknown" if row.endswith("None") else "worked_out" for row in by_hand["rounds"]]
        assert [entry.basis for entry in piece.rounds] == bases


@pytest.mark.parametrize("name", GOOD)
def test_good_patterns_raise_no_false_alarm(name: str) -> None:
    pattern = read_file(CORPUS / "good" / name)
    assert sorted({p.kind for p in pattern.problems}) == sorted(GOOD[name]["warnings"])
    assert not pattern.errors


@pytest.mark.parametrize("name", GOOD)
def test_the_steps_of_a_round_add_up_to_its_total(name: str) -> None:
    for piece in read_file(CORPUS / "good" / name).pieces:
        for entry in piece.rounds:
            assert sum(step.gives for step in entry.steps) == (entry.stitches or 0)


@pytest.mark.parametrize("name", FAULTY)
def test_every_planted_fault_is_found_on_its_line_and_nothing_else(name: str) -> None:
    pattern = read_file(CORPUS / "faulty" / name)
    assert sorted(f"{p.line} {p.kind}" for p in pattern.problems) == sorted(FAULTY[name])


@pytest.mark.parametrize("name", FAULTY)
def test_every_problem_says_what_to_do_next(name: str) -> None:
    for found in read_file(CORPUS / "faulty" / name).problems:
        assert found.message.endswith(".")
        assert found.hint.endswith(".")
        assert 1 <= found.column <= len(read_file(CORPUS / "faulty" / name).source.split("\n")[found.line - 1]) + 1


@pytest.mark.parametrize("folder", ["good", "faulty"])
def test_no_word_of_the_source_is_dropped(folder: str) -> None:
    for path in sorted((CORPUS / folder).iterdir()):
        assert unaccounted(read_file(path)) == [], path.name


@pytest.mark.parametrize("name", GOOD)
@pytest.mark.parametrize("terms", ["US", "UK"])
def test_a_pattern_written_out_reads_back_to_the_same(name: str, terms: str) -> None:
    pattern = read_file(CORPUS / "good" / name, size=1)
    again = read(write(pattern, "US" if terms == "US" else "UK"))
    assert again.terms == terms
    assert meaning(again) == meaning(pattern)
    assert not again.errors
