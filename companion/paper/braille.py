"""The pattern in braille, as a BRF file: braille ASCII, 40 cells by 25 lines unless asked otherwise.

Unified English Braille through liblouis' own program `lou_translate`. Stitch lines are always uncontracted: "ch" and
"st", contracted, could be read as other words. Prose may be contracted (grade 2). Lines and pages are laid out here: a
round has its number at the margin and its further lines indented, and is not split over two pages where it fits on
one. The last line of a page holds its number.
"""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from companion.errors import MakerError
from companion.paper.view import RoundView, View

Grade = Literal[1, 2]
TABLES: dict[Grade, str] = {1: "en-us-brf.dis,en-ueb-g1.ctb", 2: "en-us-brf.dis,en-ueb-g2.ctb"}
PROGRAM = "lou_translate"


class BrailleMissingError(MakerError):
    """liblouis is not here, so there is no braille."""


@dataclass(frozen=True, slots=True)
class Block:
    """Lines that belong together. `hang` is the indent of the first line, `indent` that of the others, in cells.

    `margin` stands before the text and is translated by itself: "1 6 sc" is two numbers, which braille would join.
    """

    text: str
    stitches: bool = False
    hang: int = 0
    indent: int = 0
    centred: bool = False
    space_before: bool = False
    keep_with_next: bool = False
    margin: str = ""


def available() -> bool:
    """True where liblouis' program can be run."""
    return shutil.which(PROGRAM) is not None


def brf(view: View, grade: Grade = 1, *, cells: int = 40, lines: int = 25) -> str:
    """The pattern as the text of a BRF file: pages end with a form feed, lines with carriage return and line feed.

    Raises `BrailleMissingError` where liblouis is missing.
    """
    blocks = list(_blocks(view))
    translated = _translated(blocks, grade)
    laid = [_laid(block, text, cells) for block, text in zip(blocks, translated, strict=True)]
    return _paged(blocks, laid, cells, lines)


def _blocks(view: View) -> Iterator[Block]:
    yield Block(view.title, centred=True)
    for text in (view.byline, view.rights, view.personal, f"Crochet pattern in {view.terms_line}"):
        if text:
            yield Block(text, hang=2)
    yield from _section("What you need", (*view.materials, *(f"{name}: {value}" for name, value in view.facts)))
    yield from _section("Abbreviations", tuple(f"{short}: {name}" for short, name in view.abbreviations), stitches=True)
    yield from _section("Cautions", view.cautions)
    yield from _section("Notes", view.notes)
    for piece in view.pieces:
        yield Block(f"{piece.name}. {piece.make}".strip(), centred=True, space_before=True, keep_with_next=True)
        for text in (piece.shape, *piece.notes):
            if text:
                yield Block(text, hang=2)
        for round_ in piece.rounds:
            for note in round_.before:
                yield Block(note, hang=4, indent=2)
            total = f" [{total_in_figures(round_)}]" if round_.total else ""
            yield Block(f"{round_.written}{total}", stitches=True, indent=4, margin=round_.margin)
            for text in (round_.doubt, *round_.after):
                if text:
                    yield Block(text, hang=4, indent=2)
    yield from _section("Assembly", tuple(f"{number}. {step}" for number, step in enumerate(view.assembly, start=1)))


def total_in_figures(round_: RoundView) -> str:
    """ "30", or in words where there is more to say: "the pattern says 30 stitches"."""
    plain = round_.entry.basis == "worked_out" and not round_.entry.chain_spaces
    return str(round_.entry.stitches) if plain else round_.total


def _section(title: str, texts: Sequence[str], *, stitches: bool = False) -> Iterator[Block]:
    if texts:
        yield Block(title, centred=True, space_before=True, keep_with_next=True)
        yield from (Block(text, stitches, indent=2) for text in texts)


def _translated(blocks: Sequence[Block], grade: Grade) -> list[str]:
    """Every block in braille, in order: stitch lines uncontracted, prose in the grade asked for."""
    by_grade: dict[Grade, list[int]] = {1: [], 2: []}
    for index, block in enumerate(blocks):
        by_grade[1 if block.stitches else grade].append(index)
    result = [""] * len(blocks)
    for which, indexes in by_grade.items():
        texts = [blocks[index].text for index in indexes]
        for index, braille in zip(indexes, translate(texts, which) if texts else [], strict=True):
            result[index] = braille
    margins = translate([block.margin for block in blocks], 1)
    return [f"{margin} {text}".strip() for margin, text in zip(margins, result, strict=True)]


def translate(texts: Sequence[str], grade: Grade = 1, *, back: bool = False) -> list[str]:
    """Texts to braille ASCII, or back again, one for one. Raises `BrailleMissingError` where liblouis is missing."""
    if not available():
        raise BrailleMissingError("Braille needs liblouis. Install it with: sudo apt-get install liblouis-bin")
    lines = "".join(" ".join(text.split()).replace("\\", "\\\\") + "\n" for text in texts)
    done = subprocess.run(
        [PROGRAM, "--backward" if back else "--forward", TABLES[grade]],
        input=lines,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    out = done.stdout.split("\n")
    if done.returncode or len(out) < len(texts):
        raise BrailleMissingError(
            f"liblouis could not make braille of this: {done.stderr.strip() or 'no reason given'}"
        )
    return out[: len(texts)]


def _laid(block: Block, braille: str, cells: int) -> list[str]:
    """A block broken into lines at spaces; a word longer than a line is broken where it must."""
    width = cells - (12 if block.centred else 0)
    lines: list[str] = []
    current = " " * block.hang
    empty = True
    for word in braille.split():
        while True:
            joined = current + ("" if empty else " ") + word
            if len(joined) <= width:
                current, empty = joined, False
                break
            if not empty:
                lines.append(current)
                current, empty = " " * block.indent, True
                continue
            cut = width - len(current)
            lines.append(current + word[:cut])
            word = word[cut:]
            current = " " * block.indent
    if not empty or not lines:
        lines.append(current)
    if block.centred:
        lines = [" " * ((cells - len(line)) // 2) + line for line in lines]
    return [line.rstrip() for line in lines]


def _paged(blocks: Sequence[Block], laid: Sequence[list[str]], cells: int, lines: int) -> str:
    """Blocks on pages: none is split that fits on one, no heading stands alone at the foot."""
    room = lines - 1
    pages: list[list[str]] = [[]]
    for index, (block, own) in enumerate(zip(blocks, laid, strict=True)):
        page = pages[-1]
        gap = 1 if block.space_before and page else 0
        needed = gap + len(own)
        if block.keep_with_next and index + 1 < len(laid):
            needed += min(len(laid[index + 1]), room - len(own))
        if page and len(page) + needed > room:
            page, gap = [], 0
            pages.append(page)
        page.extend([""] * gap)
        for line in own:
            if len(pages[-1]) == room:
                pages.append([])
            pages[-1].append(line)
    numbers = translate([str(number) for number in range(1, len(pages) + 1)])
    text = ""
    for page, number in zip(pages, numbers, strict=True):
        full = [*page, *[""] * (room - len(page)), number.rjust(cells)]
        text += "\r\n".join(full) + "\r\n\f"
    return text
