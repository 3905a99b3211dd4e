"""The parts of a page: lines, drafts of rounds, notes and pieces, and the document they make up."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import cache
from typing import Final

from companion.pattern.copies import NUMBER_WORDS
from companion.pattern.data import load
from companion.pattern.labels import Kind, Label
from companion.pattern.unlabelled import LeftOut


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the source. `number` counts from 1, `start` is its offset, `text` has no line end."""

    number: int
    start: int
    text: str

    @property
    def end(self) -> int:
        """The offset after its last character."""
        return self.start + len(self.text)


@dataclass(slots=True)
class RoundDraft:
    """A round as found on the page: offsets into the source of the whole, with the marks of lists and emphasis before
    it (`outset`), of its label (`start`) and of the instructions (`body`). `in_notes` where it stands in the notes,
    "All even rounds: sc around", and is said of every piece. `left_out` where it is a sentence that stands for rounds
    that are not written out."""

    label: Label | None
    outset: int
    start: int
    body: int
    end: int
    line: int
    in_notes: bool = False
    left_out: LeftOut | None = None

    @property
    def kind(self) -> Kind:
        """What it is called: a round, a row, or neither."""
        return self.label.kind if self.label is not None else "step"

    @property
    def is_row(self) -> bool:
        """Whether it is called a row."""
        return self.kind == "row"


@dataclass(slots=True)
class NoteDraft:
    """A line of prose at its place among the rounds."""

    start: int
    end: int
    line: int


@dataclass(slots=True)
class PieceDraft:
    """A piece as found on the page. `aside` is what its heading says besides name and number: "in grey".

    `line` is its heading or, where it has none (`headed` false), its first line. `goes_on` where it is worked on into
    the piece before it, though its numbers begin anew: "Ribbing Rnd 1".
    """

    name: str
    make: int
    line: Line
    end: int
    headed: bool = True
    entries: list[RoundDraft | NoteDraft] = field(default_factory=list)
    aside: str = ""
    goes_on: bool = False

    @property
    def has_rounds(self) -> bool:
        """Whether any round was found under its heading."""
        return any(isinstance(entry, RoundDraft) for entry in self.entries)

    @property
    def has_labels(self) -> bool:
        """Whether any of its rounds has a label."""
        return any(isinstance(entry, RoundDraft) and entry.label is not None for entry in self.entries)


@dataclass(frozen=True, slots=True)
class Text:
    """A line that is no round: which section it belongs to, its words, and where it stands."""

    kind: str
    words: str
    line: Line


@dataclass(frozen=True, slots=True)
class Definition:
    """A line that says what an abbreviation stands for."""

    short: str
    long: str
    line: Line


@dataclass(slots=True)
class Document:
    """The page in order. `every_other` are the rounds said in the notes, of all pieces at once.

    `perhaps_rounds` are lines among the notes that look like rounds whose label could not be read.
    """

    title: str = ""
    pieces: list[PieceDraft] = field(default_factory=list)
    texts: list[Text] = field(default_factory=list)
    definitions: list[Definition] = field(default_factory=list)
    every_other: list[RoundDraft] = field(default_factory=list)
    perhaps_rounds: list[Line] = field(default_factory=list)

    def of(self, kind: str) -> list[str]:
        """The words of one kind of section, in order."""
        return [text.words for text in self.texts if text.kind == kind]


def lines_of(source: str) -> list[Line]:
    """The lines of a source whose line ends are all newlines."""
    lines: list[Line] = []
    start = 0
    for number, text in enumerate(source.split("\n"), 1):
        lines.append(Line(number, start, text))
        start += len(text) + 1
    return lines


@cache
def _sections() -> dict[str, dict[str, str]]:
    raw = load("sections.yaml")
    return {which: {name: kind for kind, names in kinds.items() for name in names} for which, kinds in raw.items()}


def section_of(heading: str) -> str | None:
    """The section a heading begins, or None where it names none."""
    return _sections()["headings"].get(" ".join(heading.lower().rstrip(": ").split()))


_KEY_LINE: Final = re.compile(
    r"\s*(?:[-*•]\s+)?[*_]*\s*(?P<key>[A-Za-z][A-Za-z' ]{0,24}?)\s*[*_]*\s*:\s*[*_]*\s*(?P<value>.*)"
)


def keyed(line: str) -> tuple[str, str] | None:
    """ "Hook: 4 mm" -> ("hook", "4 mm"); None where the word before the colon is no known one."""
    match = _KEY_LINE.match(line)
    if match is None:
        return None
    kind = _sections()["keys"].get(match["key"].strip().lower())
    return (kind, match["value"].strip().strip("*_").strip()) if kind is not None else None


def bare(text: str) -> str:
    """A line without the marks of headings, lists and emphasis."""
    return text.strip().lstrip("#>*_•=~- \t").rstrip("*_=~# \t").strip()


_WORDS: Final = {**NUMBER_WORDS, "both": 2, "twice": 2}
_MAKE: Final = re.compile(
    r"[\s,;:–—-]*[(\[]?\s*(?:"
    r"\b(?:make|work|crochet)\s+"
    r"(?P<n>\d{1,3}|" + "|".join(_WORDS) + r")\b"
    r"(?:\s+(?:of (?:these|them|each)|pieces|in all|the same|alike))?"
    r"|(?:x|×)\s?(?P<x>\d{1,3})\b|\b(?P<y>\d{1,3})\s?(?:x|×)(?!\w)"
    r"|(?<=[a-z])\s?\*\s?(?P<star>\d{1,2})(?=\s*:?\s*$)|(?<=[(\[])(?P<pieces>\d{1,3})\s?(?:pieces|pcs?)\b)"
    r"(?P<rest>[^()\[\]]*)[)\]]?",
    re.IGNORECASE,
)


def piece_name(heading: str) -> tuple[str, int, str]:
    """ "Leg (make 2, in grey)" -> ("Leg", 2, "in grey")."""
    match = _MAKE.search(heading)
    make, aside = 1, ""
    if match:
        number = match["n"] or match["x"] or match["y"] or match["star"] or match["pieces"] or "1"
        make = _WORDS.get(number.lower(), 0) or int(number)
        aside = match["rest"].strip(" ,;:-–")
        heading = f"{heading[: match.start()]} {heading[match.end() :]}"
    name = re.sub(r"\s+", " ", heading).strip(" :,;-–—.")
    bracket = re.search(r"\s*[(\[]([^()\[\]]*)[)\]]\s*$", name)
    if bracket and bracket.start() > 0:
        aside = aside or bracket[1].strip()
        name = name[: bracket.start()].strip()
    return name, max(1, min(make, 999)), aside


_RIGHTS: Final = re.compile(r"©|\(c\)|\bcopyright\b|\ball rights reserved\b|\blicen[cs]ed?\b", re.IGNORECASE)
_RIGHTS_LINE: Final = re.compile(r"\W*(?:©|\(c\) ?\d|copyright\b)", re.IGNORECASE)


def says_rights(text: str) -> bool:
    """Whether it speaks of copyright or a licence."""
    return _RIGHTS.search(text) is not None


def is_rights_line(text: str) -> bool:
    """Whether a line is nothing but a notice of copyright, as at the foot of a page."""
    return _RIGHTS_LINE.match(text) is not None


def says_make(heading: str) -> bool:
    """Whether a heading says how many are made."""
    return _MAKE.search(heading) is not None
