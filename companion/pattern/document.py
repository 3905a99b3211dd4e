"""The pattern as a page: which lines are title, materials, pieces, rounds, notes and assembly.

Nothing is counted here. Every line of the source ends up in exactly one place of the `Document`, so that nothing is
dropped.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Final

from companion.pattern.labels import Label, find_label
from companion.pattern.lexer import fold

_SECTIONS: Final[dict[str, str]] = {
    **dict.fromkeys(("materials", "materials needed", "supplies", "you will need", "you'll need", "what you need",
                     "what you will need", "materials and tools", "tools and materials", "materials & tools", "yarn and materials", "supplies needed"), "materials"),
    **dict.fromkeys(("abbreviations", "abbreviations used", "stitches", "stitches used", "stitch guide", "stitch key", "key",
                     "special stitches", "special stitch", "terms and abbreviations", "stitches and abbreviations", "abbreviation",
                     "terminology", "glossary", "stitch abbreviations", "abbreviations (us terms)", "abbreviations (uk terms)"), "abbreviations"),
    **dict.fromkeys(("notes", "note", "pattern notes", "before you start", "before you begin", "tips", "hints", "special notes", "general notes",
                     "introduction", "about", "about this pattern", "skill level", "level", "size", "finished size", "sizes", "measurements", "copyright"), "notes"),
    **dict.fromkeys(("assembly", "finishing", "making up", "putting it together", "sewing", "sewing up", "to finish", "to make up", "construction",
                     "assembling", "finishing touches", "assembly and finishing", "finishing and assembly", "joining", "to assemble", "to join", "putting together", "face", "final assembly", "sewing together"), "assembly"),
    **dict.fromkeys(("instructions", "pattern", "directions", "the pattern", "pattern instructions", "method", "let's begin", "start"), "instructions"),
    **dict.fromkeys(("gauge", "tension"), "gauge"),
    **dict.fromkeys(("hook", "hooks", "hook size"), "hook"),
    **dict.fromkeys(("yarn", "yarns"), "yarn"),
    **dict.fromkeys(("safety", "caution", "cautions", "warning", "safety note"), "caution"),
}  # fmt: skip

_KEYS: Final[dict[str, str]] = {
    "terms": "terms", "terminology": "terms", "hook": "hook", "hook size": "hook", "crochet hook": "hook", "hooks": "hook",
    "gauge": "gauge", "tension": "gauge", "yarn": "yarn", "yarns": "yarn", "yarn weight": "yarn", "materials": "materials", "supplies": "materials",
    "you will need": "materials", "you'll need": "materials", "caution": "caution", "warning": "caution", "safety": "caution", "safety note": "caution",
    "designer": "designer", "design": "designer", "designed by": "designer", "pattern by": "designer", "by": "designer", "author": "designer",
    "copyright": "rights", "licence": "rights", "license": "rights",
    "note": "notes", "notes": "notes", "pattern notes": "notes", "tip": "notes", "skill level": "notes", "level": "notes", "difficulty": "notes", "size": "notes", "sizes": "notes",
    "finished size": "notes", "measurements": "notes", "finished measurements": "notes", "title": "title", "abbreviations": "abbreviations", "stitches": "abbreviations", "stitches used": "abbreviations",
    "eyes": "materials", "stuffing": "materials", "notions": "materials", "special stitches": "abbreviations",
    "assembly": "assembly", "finishing": "assembly", "making up": "assembly",
}  # fmt: skip

_KEY_LINE: Final = re.compile(
    r"\s*(?:[-*•]\s+)?\**\s*(?P<key>[A-Za-z][A-Za-z' ]{1,24}?)\s*\**\s*:\s*\**\s*(?P<value>.*)"
)
_MAKE: Final = re.compile(
    r"[\s,;:–—-]*[(\[]?\s*(?:\b(?:make|work|crochet)\s+(?P<n>\d{1,3}|one|two|three|four|five|six|seven|eight|nine|ten|twelve|a pair|both)\b(?:\s+(?:of (?:these|them)|pieces|in all|the same|alike))?"
    r"|(?:x|×)\s?(?P<x>\d{1,3})\b|\b(?P<y>\d{1,3})\s?(?:x|×)(?!\w))(?P<rest>[^()\[\]]*)[)\]]?",
    re.IGNORECASE,
)
_WORDS: Final = {
    "one": 1,
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "six": 6,
    "seven": 7,
    "eight": 8,
    "nine": 9,
    "ten": 10,
    "twelve": 12,
    "a pair": 2,
    "both": 2,
}
_BULLET: Final = re.compile(r"\s*(?:[-*•·‣▪●]|\d{1,3}[.)])\s+")
_DEFINITION: Final = re.compile(
    r"\s*(?:[-*•]\s+)?\**(?P<short>[A-Za-z][\w .'/-]{0,24}?|\[[^\]]*\]|\([^)]*\)|\*[^=:]{0,20})\**\s*(?:=|:|\s[-–—]\s|\t|–|—)\s*(?P<long>\S.*)"
)
_DESIGNER: Final = re.compile(
    r"\s*(?:a\s+)?(?:(?:pattern|design|designed|written|created|crochet pattern|original design)\s+(?:is\s+)?)?by\s+(?P<name>[A-Z].{1,60})$",
    re.IGNORECASE,
)
_RIGHTS: Final = re.compile(r"©|\(c\)|\bcopyright\b|\ball rights reserved\b|\blicen[cs]e\b", re.IGNORECASE)
_UNDERLINE: Final = re.compile(r"\s*(?:[=\-_~*]\s?){3,}\s*$")


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the source. `number` counts from 1, `start` is its offset, `text` has no line end."""

    number: int
    start: int
    text: str

    @property
    def end(self) -> int:
        return self.start + len(self.text)


@dataclass(slots=True)
class RoundDraft:
    """A round as found on the page: offsets into the source of the whole and of the instructions."""

    label: Label | None
    start: int
    body: int
    end: int
    line: int


@dataclass(slots=True)
class NoteDraft:
    """A line of prose at its place among the rounds."""

    start: int
    end: int
    line: int


@dataclass(slots=True)
class PieceDraft:
    """A piece as found on the page."""

    name: str
    make: int
    start: int
    end: int
    line: int
    entries: list[RoundDraft | NoteDraft] = field(default_factory=list)
    aside: str = ""
    implied: bool = False

    @property
    def has_rounds(self) -> bool:
        return any(isinstance(entry, RoundDraft) for entry in self.entries)


@dataclass(slots=True)
class Document:
    """The page in order. `texts` holds the sections that are not rounds: kind -> (text, line start, line end, line)."""

    title: str = ""
    title_line: int = 0
    pieces: list[PieceDraft] = field(default_factory=list)
    texts: list[tuple[str, str, int, int, int]] = field(default_factory=list)
    definitions: list[tuple[str, str, int, int]] = field(default_factory=list)

    def of(self, kind: str) -> list[str]:
        """The texts of one kind, in order."""
        return [text for k, text, *_ in self.texts if k == kind]


def lines_of(source: str) -> list[Line]:
    """The lines of a source whose line ends are all newlines."""
    lines: list[Line] = []
    start = 0
    for number, text in enumerate(source.split("\n"), 1):
        lines.append(Line(number, start, text))
        start += len(text) + 1
    return lines


def bare(text: str) -> str:
    """A line without the marks of headings, lists and emphasis."""
    return re.sub(r"^[\s#>*_•=-]+|[\s*_=]+$", "", text).strip()


class Layout:
    """Sorts lines into a Document. `is_instruction` says whether a line without a label reads as stitches."""

    def __init__(self, source: str, is_instruction: Callable[[str], bool]) -> None:
        self.lines = lines_of(source)
        self.labels = [find_label(line.text) if line.text.strip() else None for line in self.lines]
        self.is_instruction = is_instruction
        self.document = Document()
        self.section = "preamble"
        self.bullets = False
        self.blank = True
        self.piece: PieceDraft | None = None
        self.open_round: RoundDraft | None = None
        self.numbered_list = False

    def run(self) -> Document:
        for i, line in enumerate(self.lines):
            if not line.text.strip() or _UNDERLINE.match(line.text):
                self.blank = True
                self.open_round = self.open_round if self._unfinished() else None
                continue
            self._line(i, line)
            self.blank = False
        self._drop_empty_pieces()
        return self.document

    # --- one line ---

    def _line(self, i: int, line: Line) -> None:
        label = self.labels[i]
        if label is not None and not self._is_prose_label(label, line):
            self._round(label, line)
            return
        if self.open_round is not None and self._continues(line):
            self.open_round.end = line.end
            return
        self.open_round = None
        if not self.document.title and not self.document.pieces and self._is_title(i, line):
            self.document.title, self.document.title_line = bare(line.text).rstrip(":"), line.number
            if not self._rounds_follow(i):
                return
            self._heading(line)
            return
        key = self._key(line)
        if key is not None:
            self._keyed(key[0], key[1], line)
            return
        if self._is_heading(i, line):
            self._heading(line)
            return
        self._text(line)

    def _is_prose_label(self, label: Label, line: Line) -> bool:
        """ "Round the edge ..." has no number; "Rounds 3 and 4 are worked ..." in a notes section is prose."""
        if not label.numbers and label.kind == "step" and self.section == "preamble" and self.piece is None:
            return False
        if self.section == "assembly" or self.section == "materials":
            return not self.is_instruction(line.text[label.body :])
        if self.section == "notes" and not line.text[label.end : label.body].strip():
            return not self.is_instruction(line.text[label.body :])
        return False

    def _round(self, label: Label, line: Line) -> None:
        piece = self._ensure_piece(line)
        draft = RoundDraft(label, line.start + label.start, line.start + label.body, line.end, line.number)
        piece.entries.append(draft)
        piece.end = line.end
        self.open_round = draft
        self.section = "rounds"

    def _ensure_piece(self, line: Line) -> PieceDraft:
        if self.piece is None:
            self.piece = PieceDraft(self.document.title or "Piece", 1, line.start, line.end, line.number, implied=True)
            self.document.pieces.append(self.piece)
        return self.piece

    def _unfinished(self) -> bool:
        """Whether the open round cannot be complete yet: an open bracket or a comma at its end."""
        if self.open_round is None:
            return False
        text = self._round_text()
        return (
            text.rstrip().endswith((",", "*")) or text.count("(") > text.count(")") or text.count("[") > text.count("]")
        )

    def _round_text(self) -> str:
        assert self.open_round is not None
        first = self.open_round.line - 1
        parts = []
        for line in self.lines[first:]:
            if line.start > self.open_round.end:
                break
            parts.append(line.text)
        return "\n".join(parts)

    def _continues(self, line: Line) -> bool:
        """Whether a line without a label goes on with the round above."""
        text = line.text.strip()
        assert self.open_round is not None
        if self._unfinished():
            return True
        body = self.lines_text(self.open_round.body, self.open_round.end)
        if not body.strip():
            return True
        if text[0] in "([=<" and re.match(r"[(\[=<]\s*\d", text):
            return True
        if re.search(r"[)\]>]\s*\.?\s*$", body) and re.search(r"[(\[<]\s*=?\s*\d[^()\[\]]*[)\]>]\s*\.?\s*$", body):
            return False
        if text[0].islower() or text[0] in "([*,;&+":
            return not _BULLET.match(line.text)
        if line.text[0] in " \t" and self.is_instruction(text) and not _BULLET.match(line.text):
            return True
        return text[0].isdigit() and self.is_instruction(text) and not _BULLET.match(line.text)

    def lines_text(self, start: int, end: int) -> str:
        parts = [line.text[max(0, start - line.start) : max(0, end - line.start)] for line in self._between(start, end)]
        return "\n".join(parts)

    def _between(self, start: int, end: int) -> list[Line]:
        assert self.open_round is not None
        found = []
        for line in self.lines[self.open_round.line - 1 :]:
            if line.start > end:
                break
            if line.end >= start:
                found.append(line)
        return found

    # --- headings ---

    def _is_title(self, i: int, line: Line) -> bool:
        text = bare(line.text)
        if not text or len(text) > 90 or self.is_instruction(text):
            return False
        if _KEY_LINE.match(line.text) and self._key(line) is not None:
            return False
        return text.lower().rstrip(":") not in _SECTIONS

    def _rounds_follow(self, i: int) -> bool:
        """Whether the next lines, but for a colour or a short note, begin with a first round or a starting chain."""
        seen = 0
        for j in range(i + 1, min(i + 8, len(self.lines))):
            text = self.lines[j].text.strip()
            if not text or _UNDERLINE.match(text):
                continue
            label = self.labels[j]
            if label is not None:
                return not label.numbers or label.numbers[0][0] == 1 or seen == 0
            if self.is_instruction(text) and re.match(
                r"\W*(?:ch|chain|make|start|begin|with|using|\d+[.)]|mr|magic|6|\d)\b", fold(text)
            ):
                return True
            if bare(text).lower().rstrip(":") in _SECTIONS or self._key(self.lines[j]) is not None:
                return False
            seen += 1
            if seen > 2 or len(text) > 120 or self._shouts(text):
                return False
        return False

    @staticmethod
    def _shouts(text: str) -> bool:
        letters = [c for c in text if c.isalpha()]
        return len(letters) >= 2 and all(c.isupper() for c in letters)

    def _is_heading(self, i: int, line: Line) -> bool:
        raw = line.text.strip()
        text = bare(raw)
        if not text or len(text) > 80:
            return False
        if text.lower().rstrip(":") in _SECTIONS:
            return True
        if self.section == "assembly" and (_BULLET.match(line.text) or not self._rounds_follow(i)):
            return bool(raw.startswith("#")) and self._rounds_follow(i)
        if raw.startswith("#") or (raw.startswith("**") and raw.rstrip(":").endswith("**") and raw.count("**") == 2):
            return True
        if _BULLET.match(line.text) and not self._rounds_follow(i):
            return False
        words = text.split()
        name = _MAKE.sub("", text).strip()
        if _MAKE.search(text) and len(name.split()) <= 6 and not self.is_instruction(text) and not text.endswith("."):
            return True
        if self._shouts(re.sub(r"\([^)]*\)", "", text)) and len(words) <= 8 and not self.is_instruction(text):
            return True
        if text.endswith((".", ",", ";", "!")) or len(words) > 8:
            return False
        if raw.endswith(":") and len(words) <= 6:
            return self._rounds_follow(i)
        if re.match(
            r"(?:with|in|using|change|switch|join|continue|work|stuff|place|do|repeat|fasten|cut|ch|chain|sew)\b",
            text.lower(),
        ):
            return False
        return self._rounds_follow(i) and not self.is_instruction(text)

    def _heading(self, line: Line) -> None:
        text = bare(line.text).rstrip(":").strip()
        kind = _SECTIONS.get(text.lower())
        self.blank, self.bullets = False, False
        if kind == "instructions":
            self.section, self.piece = "instructions", None
            self.document.texts.append(("heading", text, line.start, line.end, line.number))
            return
        if kind is not None:
            self.section = kind
            self.document.texts.append(("heading", text, line.start, line.end, line.number))
            return
        name, make, aside = piece_name(text)
        self.piece = PieceDraft(name or "Piece", make, line.start, line.end, line.number, aside=aside)
        self.document.pieces.append(self.piece)
        self.section = "rounds"

    # --- the other lines ---

    def _key(self, line: Line) -> tuple[str, str] | None:
        match = _KEY_LINE.match(line.text)
        if match is None:
            return None
        kind = _KEYS.get(match["key"].strip().lower())
        if kind is None or (self.section == "abbreviations" and kind not in ("caution", "hook", "gauge", "notes")):
            return None
        return kind, match["value"].strip().strip("*").strip()

    def _keyed(self, kind: str, value: str, line: Line) -> None:
        if not value:
            self.section, self.bullets, self.blank = kind, False, False
            self.document.texts.append(("heading", bare(line.text), line.start, line.end, line.number))
            return
        if kind == "notes" and self.section == "rounds" and self.piece is not None:
            self.piece.entries.append(NoteDraft(line.start, line.end, line.number))
            return
        if kind == "title":
            self.document.title, self.document.title_line = value, line.number
            return
        if kind == "abbreviations":
            for part in re.split(r"[;,]\s*", value):
                definition = _DEFINITION.match(part)
                if definition:
                    self.document.definitions.append(
                        (definition["short"].strip(), definition["long"].strip(), line.start, line.number)
                    )
        text = value if kind in ("hook", "yarn", "designer") else bare(line.text)
        if kind in ("gauge", "terms", "materials", "caution"):
            text = value if kind != "gauge" else value
        self.document.texts.append((kind, text, line.start, line.end, line.number))

    def _text(self, line: Line) -> None:
        text = line.text.strip()
        bullet = bool(_BULLET.match(line.text))
        section = self.section
        if section in ("materials", "abbreviations", "notes", "gauge", "hook", "yarn", "caution") and self.blank:
            ends = self.bullets and not bullet
            if section == "abbreviations":
                ends = _DEFINITION.match(line.text) is None
            if section in ("gauge", "hook", "yarn", "caution"):
                ends = True
            if ends:
                section = self.section = "preamble"
        self.bullets = self.bullets or bullet
        if section in ("rounds", "instructions") or (section == "preamble" and self._starts_rounds(line)):
            self._among_rounds(line)
            return
        plain = _BULLET.sub("", line.text).strip()
        if section == "abbreviations":
            definition = _DEFINITION.match(line.text)
            if definition:
                self.document.definitions.append(
                    (definition["short"].strip(), definition["long"].strip(), line.start, line.number)
                )
        designer = _DESIGNER.match(bare(text))
        if section == "preamble" and designer and not self.document.of("designer"):
            self.document.texts.append(("designer", designer["name"].strip(" ."), line.start, line.end, line.number))
            return
        if section in ("preamble", "notes") and _RIGHTS.search(text):
            self.document.texts.append(("rights", text, line.start, line.end, line.number))
            return
        kind = "notes" if section == "preamble" else section
        self.document.texts.append((kind, plain, line.start, line.end, line.number))

    def _starts_rounds(self, line: Line) -> bool:
        text = bare(line.text)
        if not self.is_instruction(text):
            return False
        return bool(
            re.match(r"(?:ch|chain|make|begin|start|into|\d+\s*(?:sc|dc|hdc|ch)|magic|mr|\d+[.)])\b", fold(text))
        )

    def _among_rounds(self, line: Line) -> None:
        numbered = re.match(r"\s*(\d{1,3})[.)]\s+", line.text)
        if numbered and self.is_instruction(line.text[numbered.end() :]):
            n = int(numbered[1])
            label = Label(
                numbered.group().strip(), "round", ((n, n),), numbered.start(1), numbered.end(1), numbered.end()
            )
            self._round(label, line)
            return
        piece = self._ensure_piece(line)
        piece.end = line.end
        if self._is_step(piece, line):
            lead = len(line.text) - len(line.text.lstrip())
            draft = RoundDraft(None, line.start + lead, line.start + lead, line.end, line.number)
            piece.entries.append(draft)
            self.open_round = draft
            self.section = "rounds"
            return
        piece.entries.append(NoteDraft(line.start, line.end, line.number))

    def _is_step(self, piece: PieceDraft, line: Line) -> bool:
        text = bare(line.text)
        if not self.is_instruction(text):
            return False
        if not piece.has_rounds:
            return True
        folded = fold(text)
        if re.search(r"\b(?:fasten off|finish off|sew|weave|tail|stuff)\b", folded):
            return False
        return bool(re.search(r"\b(?:around|across|to end|evenly)\b|[(\[]\s*\d+[^)\]]*[)\]]\s*\.?$", folded))

    def _drop_empty_pieces(self) -> None:
        """A heading under which no round follows is no piece: its words are kept as notes."""
        kept = []
        for piece in self.document.pieces:
            if piece.has_rounds:
                kept.append(piece)
                continue
            name = self.lines[piece.line - 1]
            self.document.texts.append(("notes", bare(name.text), name.start, name.end, name.number))
            for entry in piece.entries:
                line = self.lines[entry.line - 1]
                self.document.texts.append(("notes", line.text.strip(), line.start, line.end, line.number))
        self.document.pieces = kept


def piece_name(text: str) -> tuple[str, int, str]:
    """ "Leg (make 2, in grey)" -> ("Leg", 2, "in grey")."""
    match = _MAKE.search(text)
    make, aside = 1, ""
    if match:
        number = match["n"] or match["x"] or match["y"] or "1"
        make = _WORDS.get(number.lower(), 0) or int(number)
        aside = match["rest"].strip(" ,;:-–")
        text = (text[: match.start()] + " " + text[match.end() :]).strip()
    name = re.sub(r"\s+", " ", text).strip(" :,;-–—")
    return name, max(1, min(make, 999)), aside
