"""Braille: translated back by liblouis it says the same, and it is laid out as braille readers expect."""

from __future__ import annotations

import re

import pytest

from companion.paper import braille
from companion.paper.view import view
from companion.pattern.reader import read, read_file
from companion.resources import sample, shared_folder

pytestmark = pytest.mark.skipif(
    not braille.available(), reason="liblouis is not here: sudo apt-get install liblouis-bin"
)
SAMPLES = sorted(path.name for path in (shared_folder() / "patterns").glob("*.txt"))


def pages(text: str) -> list[list[str]]:
    return [page.removesuffix("\r\n").split("\r\n") for page in text.split("\f")[:-1]]


@pytest.mark.parametrize("grade", [1, 2])
@pytest.mark.parametrize("name", SAMPLES)
def test_pages_of_forty_cells_by_twenty_five_lines(name: str, grade: braille.Grade) -> None:
    text = braille.brf(view(read_file(sample(name))), grade)
    assert re.fullmatch(r"[ -_\r\n\f]*", text), "braille ASCII has 64 signs"
    for number, page in enumerate(pages(text), start=1):
        assert len(page) == 25
        assert all(len(line) <= 40 for line in page)
        assert page[-1].strip() == braille.translate([str(number)])[0]
        assert page[0].strip() != "", "no page begins with an empty line"


@pytest.mark.parametrize("name", SAMPLES)
def test_every_round_is_there_when_translated_back(name: str) -> None:
    """liblouis' own back-translation of the stitch lines gives the written lines again."""
    shown = view(read_file(sample(name)))
    lines = [line for page in pages(braille.brf(shown, 2)) for line in page[:-1]]
    joined = re.sub(r"\s+", " ", " ".join(lines))
    for piece in shown.pieces:
        for round_ in piece.rounds:
            line = f"{round_.written} [{round_.entry.stitches}]"
            number, there = braille.translate([round_.margin, line])
            assert f"{number} {there}" in joined
            (back,) = braille.translate([there], back=True)
            assert re.sub(r"\s", "", back).lower() == re.sub(r"\s", "", line).lower()


def test_stitch_lines_are_never_contracted() -> None:
    """Contracted, "ch" and "st" are one sign each, which stand for other words by themselves."""
    row = "Row 1: ch 5, sc in 2nd ch from hook and in each ch across [4]"
    pattern = read(f"Test\nTerms: US\n\nPIECE\n{row}\nStitch the children.\n")
    one, two = (braille.brf(view(pattern), grade) for grade in (1, 2))
    line = braille.translate(["ch 5, sc in 2nd ch from hook"])[0]
    assert line in re.sub(r"\s+", " ", one)
    assert line in re.sub(r"\s+", " ", two)
    assert "CH" in line
    contracted = braille.translate(["ch 5, sc in 2nd ch from hook"], 2)[0]
    assert contracted != line


def test_round_numbers_stand_at_the_margin_and_further_lines_are_indented() -> None:
    long = "Rnd 2: sc, inc, sc, inc, sc, inc, sc, inc [10]"
    text = f"Test\nTerms: US\n\nPIECE\nRnd 1: 6 sc in magic ring [6]\n{long}\n"
    lines = [line for page in pages(braille.brf(view(read(text)))) for line in page]
    second = braille.translate(["2"])[0]
    at = next(i for i, line in enumerate(lines) if line.startswith(f"{second} "))
    assert lines[at + 1].startswith("    ")


def test_no_round_is_split_where_it_fits_on_a_page() -> None:
    rounds = "".join(f"Rnd {n}: sc in each st around, and keep the stitches loose [6]\n" for n in range(2, 40))
    shown = view(read(f"Test\nTerms: US\n\nPIECE\nRnd 1: 6 sc in magic ring [6]\n{rounds}"))
    for page in pages(braille.brf(shown))[1:]:
        assert not page[0].startswith("    "), "a page begins with the further line of a round"


@pytest.mark.parametrize("text", ["a \\ b", "2.5 mm – ½ × 6", "é ß ñ", "", "x" * 300, "(a) [b] {c} <d> *e*"])
def test_any_text_is_translated_line_for_line(text: str) -> None:
    first, middle, last = braille.translate(["one", text, "two"])
    assert (first, last) == ("ONE", "TWO")
    assert "\n" not in middle


def test_without_liblouis_it_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(braille, "PROGRAM", "no-such-program")
    with pytest.raises(braille.BrailleMissingError, match="Install it with"):
        braille.translate(["x"])
