"""The page in a real browser: WCAG 2.2 A and AA by axe-core, zoom, print, dark, and what a reader finds on it."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from companion.craft.choose import choose
from companion.craft.pictures import of_pieces
from companion.paper.page import page
from companion.paper.view import view
from companion.pattern.reader import read, read_file
from companion.resources import sample, shared_folder

Browser = Any
"""The tab of conftest.py."""
SAMPLES = sorted(path.name for path in (shared_folder() / "patterns").glob("*.txt"))
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa", "best-practice"]


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The page of every sample pattern."""
    folder = tmp_path_factory.mktemp("pages")
    found = {}
    for name in SAMPLES:
        pattern = read_file(sample(name))
        found[name] = folder / f"{name}.html"
        found[name].write_text(page(view(pattern), pictures=of_pieces(choose(pattern))), encoding="utf-8")
    return found


EVERYTHING = """Tumbling Pear
by Ada Invented
Copyright 2024 Ada Invented
Terms: US
Hook: 2.5 mm

Materials
- 25 g of green yarn
- two 6 mm safety eyes

Notes
Work tightly & evenly.

PEAR (make 2)
Worked in a spiral.
Rnd 1: 6 sc in a magic ring [6]
Rnd 2: (sc, inc) x 3 [10]
Place the eyes between rounds 1 and 2, two stitches apart.
Rnd 3: wibble <softly> [9]

STRAP
Row 1: ch 5, sc in 2nd ch from hook and in each ch across, turn [4]

ASSEMBLY
1. Sew the strap to the pear.
"""
LOOKS = {
    "light": ("screen", "light", 900, 1.0),
    "dark": ("screen", "dark", 900, 1.0),
    "zoomed to 200 per cent": ("screen", "light", 640, 2.0),
    "a telephone": ("screen", "dark", 320, 1.0),
    "print": ("print", "light", 900, 1.0),
}


@pytest.mark.parametrize("look", LOOKS, ids=str)
def test_no_violation_of_wcag(browser: Browser, axe: str, tmp_path: Path, look: str) -> None:
    """Checked with axe-core, rules of WCAG 2.2 A and AA and its best practices; a page that has every part."""
    path = tmp_path / "page.html"
    path.write_text(page(view(read(EVERYTHING))), encoding="utf-8")
    media, scheme, width, scale = LOOKS[look]
    browser.open(path, width=width, scale=scale)
    browser.look(media=media, scheme=scheme)
    assert browser.evaluate("document.querySelectorAll('.doubt, .note, .cautions, svg, .steps').length") >= 6
    browser.evaluate(axe)
    for switch in ("show-words", "show-both", "large"):
        browser.evaluate(f"document.getElementById('{switch}').click()")
        result = browser.evaluate(f"axe.run(document, {{runOnly: {RULES}}})")
        assert [(v["id"], v["nodes"][0]["html"]) for v in result["violations"]] == [], switch
        assert len(result["passes"]) > 15


@pytest.mark.parametrize("width", [320, 640, 900])
def test_nothing_runs_out_of_the_window(browser: Browser, pages: dict[str, Path], width: int) -> None:
    """WCAG 2.2, 1.4.10 Reflow: 320 CSS pixels without scrolling sideways; large print on."""
    for path in pages.values():
        browser.look()
        browser.open(path, width=width)
        browser.evaluate("document.getElementById('large').click()")
        assert browser.evaluate("document.documentElement.scrollWidth") <= width


def test_the_switches_show_words_abbreviations_or_both(browser: Browser, pages: dict[str, Path]) -> None:
    browser.look()
    browser.open(pages["pocket-mouse.txt"])

    def shown(kind: str) -> bool:
        script = f"getComputedStyle(document.querySelector('.{kind}')).display != 'none'"
        return bool(browser.evaluate(script))

    assert (shown("words"), shown("written")) == (True, False)
    browser.evaluate("document.getElementById('show-written').click()")
    assert (shown("words"), shown("written")) == (False, True)
    browser.evaluate("document.getElementById('show-both').click()")
    assert (shown("words"), shown("written")) == (True, True)
    before = browser.evaluate("parseFloat(getComputedStyle(document.body).fontSize)")
    browser.evaluate("document.getElementById('large').click()")
    assert browser.evaluate("parseFloat(getComputedStyle(document.body).fontSize)") >= 1.5 * before


def test_print_leaves_the_switches_out(browser: Browser, pages: dict[str, Path]) -> None:
    browser.open(pages["pocket-mouse.txt"])
    browser.look(media="print")
    for part in (".switches", "nav", ".skip"):
        assert browser.evaluate(f"getComputedStyle(document.querySelector('{part}')).display") == "none"
    browser.look()


def test_the_page_loads_nothing(browser: Browser, pages: dict[str, Path]) -> None:
    for path in pages.values():
        browser.open(path)
        assert browser.evaluate("performance.getEntriesByType('resource').length") == 0
        assert browser.evaluate("document.scripts.length") == 0


class Outline(HTMLParser):
    """Headings, list items of rounds, and all text of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.headings: list[tuple[str, str]] = []
        self.rounds = 0
        self.text = ""
        self._heading = ""
        self._in_rounds = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in ("h1", "h2", "h3"):
            self._heading = tag
            self.headings.append((tag, ""))
        if tag == "ol" and ("class", "rounds") in attrs:
            self._in_rounds += 1
        if tag == "li" and self._in_rounds:
            self.rounds += 1

    def handle_endtag(self, tag: str) -> None:
        if tag == self._heading:
            self._heading = ""
        if tag == "ol":
            self._in_rounds = 0

    def handle_data(self, data: str) -> None:
        self.text += data
        if self._heading:
            name, text = self.headings[-1]
            self.headings[-1] = (name, text + data)


@pytest.mark.parametrize("name", SAMPLES)
def test_a_heading_a_piece_and_a_list_item_a_round(pages: dict[str, Path], name: str) -> None:
    pattern = read_file(sample(name))
    outline = Outline()
    outline.feed(pages[name].read_text(encoding="utf-8"))
    headings = [text.lower() for tag, text in outline.headings if tag == "h2"]
    for piece in pattern.pieces:
        assert any(heading.startswith(piece.name.lower()) for heading in headings)
    assert outline.rounds == sum(len(piece.rounds) for piece in pattern.pieces)
    for piece in pattern.pieces:
        for entry in piece.rounds:
            assert f"{entry.stitches} stitches" in outline.text


def test_written_text_is_escaped() -> None:
    pattern = read(
        "<b>Bold</b> & Co\nTerms: US\n\nMaterials\n- <script>alert(1)</script>\n\nP\nRnd 1: 6 sc in magic ring\n"
    )
    made = page(view(pattern))
    assert "<script>" not in made
    assert "<b>Bold" not in made
    assert "&lt;b&gt;Bold" in made


def test_somebody_elses_pattern_keeps_its_name_and_rights() -> None:
    text = "Plum\nby Ada Invented\nCopyright 2024 Ada Invented\nTerms: US\n\nP\nRnd 1: 6 sc in magic ring [6]\n"
    shown = view(read(text))
    made = page(shown)
    assert "Designed by Ada Invented." in made
    assert "Copyright 2024 Ada Invented" in made
    assert "Personal copy" in made
    assert "Personal copy" not in page(view(read(text), own=True))


def test_each_piece_shows_its_size_and_its_stitches_in_words_too(pages: dict[str, Path]) -> None:
    text = pages["pocket-mouse.txt"].read_text(encoding="utf-8")
    for name in ("Body", "Ear", "Tail"):
        assert f">Size of {name}</title>" in text
        assert f">Stitches of {name}</title>" in text
    assert "<figcaption>Stitches by round</figcaption>" in text
    ids = re.findall(r' id="([^"]+)"', text)
    assert len(ids) == len(set(ids))
