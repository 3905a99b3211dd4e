"""Which lines of a page are title, materials, pieces, rounds, notes and assembly.

Nothing is counted here. Every line of the source ends up in exactly one place of the `Document`, so that nothing is
dropped.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import Final

from companion.pattern.copies import Copies, copies_at_the_end, copies_said
from companion.pattern.headings import BULLET, NOT_A_NAME, NUMBERED, PAGE_NUMBER, UNDERLINE, Headings
from companion.pattern.labels import Label, find_label, inline_labels, stretches, up_to_the_next
from companion.pattern.lexer import fold
from companion.pattern.lines import begins_rounds, definition, designer, is_step
from companion.pattern.notes import sentences
from companion.pattern.page import (
    Document,
    Line,
    NoteDraft,
    PieceDraft,
    RoundDraft,
    Text,
    bare,
    is_rights_line,
    keyed,
    lines_of,
    piece_name,
    says_make,
    says_rights,
    section_of,
)
from companion.pattern.unlabelled import rounds_left_out

MAX_LINES: Final = 60
"""Lines one round may go on over."""

_WORKED: Final = re.compile(
    r"[(\[*]*\s*(?:\d+\s*)?(?:sc|dc|hdc|tr|htr|dtr|ch|chain|inc|dec|sl st|ss|blo|flo|single|double|half|in)\b"
)
"""How a line of instructions begins."""

_NUMBER_FIRST: Final = re.compile(r"\W*(?:[a-z]+\W+)?\d{1,3}\s*[-:.)]\s*")
"""A beginning such as "Stage 2 - " that may be a label nobody knows."""

_TOTAL_LAST: Final = re.compile(
    r"\b(?:\d+ ?(?:sc|dc|hdc|htr|tr)|inc|dec)\b.*(?:[(\[<]\s*\d+(?: \w+)?\s*[)\]>]|= ?\d+(?: \w+)?)\W*$"
)
"""Stitches, and what may be their total."""

_STITCHES: Final = re.compile(r"\b(?:sc|dc|hdc|htr|tr|dtr|sl st|ss|inc)\b")

_MAKE: Final = re.compile(r"\bmake\b", re.IGNORECASE)

_NAMED_START: Final = re.compile(
    r"\s*[-*•_]*\s*(?P<name>[A-Z][A-Za-z' -]{1,24}(?:\([^()]{1,20}\))?)[*_]*:[*_]*\s*"
    r"(?=(?:[Ww]ith [a-z]+,? )?(?:(?:[Cc][Hh]|[Cc]hain)\s?(?:[5-9]|\d{2,3})\b|MR\b|(?:[Ii]n a )?[Mm]agic\b))"
)
"""A name and a magic ring on one line, or a chain that is longer than that of a picot."""

_JOINS_YARN: Final = re.compile(r"\W*(?:(?:with|using)\b[^,.]*,?\s*)?(?:re)?(?:join|attach)|\W*(?:ch|chain)\s?\d{2}")
"""How a section begins that is not worked on into what was made before it."""

_TURNED: Final = re.compile(r"\bturn(?:ed)?\W*$")
"""How a row without a label ends."""

_COUNTING: Final = ("materials", "abbreviations", "notes", "gauge", "hook", "yarn", "caution")


def labels_of(lines: Sequence[Line]) -> list[Label | None]:
    """The label each line begins with, or None."""
    labels = [find_label(line.text) if line.text.strip() else None for line in lines]
    following: Label | None = None
    for k in range(len(lines) - 1, -1, -1):
        label = labels[k]
        if label is not None and label.numbers:
            label = labels[k] = up_to_the_next(label, lines[k].text, following)
            following = label
    return labels


class Layout:
    """Sorts lines into a Document. `is_instruction` says whether a line without a label reads as stitches."""

    def __init__(self, source: str, is_instruction: Callable[[str], bool]) -> None:
        self.source = source
        self.lines = lines_of(source)
        self.labels = labels_of(self.lines)
        self.is_instruction = is_instruction
        self.headings = Headings(self.lines, self.labels, is_instruction)
        self.document = Document()
        self.title_line: Line | None = None
        self.section = "preamble"
        self.bullets = False
        self.blank = True
        self.piece: PieceDraft | None = None
        self.copies = 1  # of the only piece, where that is said before it begins
        self.last_number: int | None = None  # of the rounds of this piece
        self.round: RoundDraft | None = None
        self.round_text = ""  # the last line of the open round
        self.depth = 0  # brackets open in it
        self.round_lines = 0

    def run(self) -> Document:
        """The document."""
        for i, line in enumerate(self.lines):
            if PAGE_NUMBER.match(line.text) or self.headings.heads_table(i):
                self.document.texts.append(Text("rule", line.text.strip(), line))
                continue
            if not line.text.strip() or UNDERLINE.match(line.text):
                if line.text.strip():
                    self.document.texts.append(Text("rule", line.text.strip(), line))
                self.blank = True
                if self.round is not None and not self._unfinished():
                    self.round = None
                continue
            self._line(i, line)
            self.blank = False
        self._keep_only_pieces_with_rounds()
        for piece in self.document.pieces:
            piece.entries += self.document.every_other
        return self.document

    def _line(self, i: int, line: Line) -> None:
        label = self.labels[i]
        if self._says_every_other(line):
            self.document.texts.append(Text("notes", BULLET.sub("", line.text, count=1).strip(), line))
            self.bullets = self.bullets or bool(BULLET.match(line.text))
        elif label is not None and not self._is_prose(label, line) and not self._heads_rounds(i, label, line):
            self._rounds(label, line)
        elif self.round is not None and self._goes_on(line):
            self.round.end = line.end
            self._grow(line.text)
        elif self._title(i, line):
            self.round = None
        elif (key := self._key(line)) is not None:
            self.round = None
            self._keyed(key[0], key[1], line)
        elif (copies := self._copies_said(line)) is not None:
            self.round = None
            self._copies(copies)
            self.document.texts.append(Text("piece", line.text.strip(), line))
        elif self.headings.is_heading(i, line, self.section) and not self._defines(line) and not self._numbers_on(line):
            self.round = None
            self._heading(line)
        else:
            self.round = None
            self._text(line)

        if self.piece is not None and self.section == "rounds" and (copies := copies_at_the_end(line.text)) is not None:
            self._copies(copies)

    def _copies_said(self, line: Line) -> Copies | None:
        """How often a line that says nothing else has the piece made, or the only piece, which is still to come."""
        to_come = self.section == "preamble" and not self.document.pieces
        return copies_said(line.text) if to_come or (self.piece is not None and self.section == "rounds") else None

    def _copies(self, copies: Copies) -> None:
        """The piece is made so often, where its heading did not say it."""
        if self.piece is None:
            self.copies = max(1, copies.number)
        elif self.piece.make == 1:
            self.piece.make = max(1, copies.number)
            self.piece.aside = self.piece.aside or copies.aside

    # --- rounds ---

    def _says_every_other(self, line: Line) -> bool:
        """ "All even rounds: sc around" in the notes at the top holds for the rounds that are written nowhere."""
        if self.piece is not None or self.document.pieces or self.section not in ("notes", "preamble", "instructions"):
            return False
        key = keyed(line.text)
        at = line.text.find(":") + 1 if key is not None and key[0] == "notes" else 0
        found: list[RoundDraft] = []
        for begin, end in sentences(line.text[at:]):
            label = find_label(line.text[at + begin : at + end])
            if label is None or label.every is None or label.numbers:
                continue
            outset = line.start + at + begin
            if self.is_instruction(self.source[outset + label.body : line.start + at + end]):
                start, body = outset + label.start, outset + label.body
                found.append(RoundDraft(label, outset, start, body, line.start + at + end, line.number, in_notes=True))
        self.document.every_other += found
        return bool(found)

    def _heads_rounds(self, i: int, label: Label, line: Line) -> bool:
        """ "Border:" alone on its line, with numbered rounds below it, is the heading of a piece."""
        beside = re.sub(r"[(\[][^()\[\]]*[)\]]", "", line.text[label.end :]).strip(" *_:")
        if label.kind != "step" or beside or self.is_instruction(line.text[label.body :]):
            return False
        following = next((k for k in range(i + 1, len(self.lines)) if self.lines[k].text.strip()), None)
        below = self.labels[following] if following is not None else None
        return says_make(line.text) or (below is not None and bool(below.numbers))

    def _is_prose(self, label: Label, line: Line) -> bool:
        """ "Rounds 3 and 4 are worked …" in notes or assembly is prose, although it begins like a label."""
        if not label.numbers and self.section in _COUNTING:
            return True  # "inc: increase", among the abbreviations
        if label.kind == "step" and keyed(line.text) is not None and not self.is_instruction(line.text[label.body :]):
            return True  # "Joining: whipstitch through back loops"
        if self.section in ("assembly", "materials", "notes", "preamble") and (
            self.piece is None or self.section != "preamble"
        ):
            stopped = ":" in line.text[label.end : label.body]
            if self.section in ("notes", "preamble") and (stopped or self.section == "preamble"):
                return not label.numbers and not self.is_instruction(line.text[label.body :])
            return not self.is_instruction(line.text[label.body :])
        return False

    def _rounds(self, label: Label, line: Line) -> None:
        """The round a line begins with, and any further ones on the same line."""
        if label.section and (self.piece is None or self.piece.name != label.section):
            self._begin_section(label, line)
        cuts = inline_labels(line.text, label.body)
        for k, (at, inner) in enumerate([(0, label), *cuts]):
            end = cuts[k][0] if k < len(cuts) else len(line.text)
            while end > at and line.text[end - 1] in " \t":
                end -= 1
            self._round(inner, line, at, end)

    def _begin_section(self, label: Label, line: Line) -> None:
        """ "Ribbing Rnd 1" goes on with what was made before it, unless yarn is joined for it."""
        before = self.piece
        goes_on = before is not None and before.has_rounds and not _JOINS_YARN.match(fold(line.text[label.body :]))
        make = before.make if before is not None and goes_on else 1
        self.piece = PieceDraft(label.section, make, line, line.end, headed=False, goes_on=goes_on)
        self.document.pieces.append(self.piece)

    def _round(self, label: Label | None, line: Line, at: int, end: int) -> None:
        piece = self._ensure_piece(line)
        lead = at + len(line.text[at:]) - len(line.text[at:].lstrip()) if label is None else at + label.start
        body = lead if label is None else at + label.body
        outset = len(line.text[:end]) - len(line.text[at:end].lstrip())
        draft = RoundDraft(
            label, line.start + outset, line.start + lead, line.start + min(body, end), line.start + end, line.number
        )
        piece.entries.append(draft)
        piece.end = line.end
        before = self.last_number or 0  # "2 & 4:" comes before "3:"
        self.last_number = max(before, label.numbers[-1][1]) if label is not None and label.numbers else None
        self.round, self.round_text, self.depth, self.round_lines = draft, "", 0, 0
        self._grow(line.text[body:end])
        self.section = "rounds"

    def _grow(self, text: str) -> None:
        self.round_text = text.strip().rstrip("*_ ")
        self.depth += sum(text.count(c) for c in "([{") - sum(text.count(c) for c in ")]}")
        self.round_lines += 1

    def _ensure_piece(self, line: Line) -> PieceDraft:
        if self.piece is None:
            name, make, _ = piece_name(self.document.title)
            if self.copies == 1 and _MAKE.search(self.document.title):  # not "Rug, 2 x 3 feet"
                self.copies = make
            self.piece = PieceDraft(name or "Piece", self.copies, line, line.end, headed=False)
            self.document.pieces.append(self.piece)
        return self.piece

    def _unfinished(self) -> bool:
        """Whether the open round cannot be complete yet: an open bracket, or a comma at its end."""
        if self.round_lines >= MAX_LINES:
            return False
        return self.depth > 0 or self.round_text.endswith((",", "+", "&", " and", " x", "×"))

    def _goes_on(self, line: Line) -> bool:
        """Whether a line without a label goes on with the round above."""
        text = line.text.strip()
        if text.startswith("#") or (self.blank and not self._unfinished()):
            return False
        if self._unfinished():
            return True
        if self.round_lines >= MAX_LINES:
            return False
        if not self.round_text or re.match(r"[*_]*[(\[=<]\s*\d", text):
            return True
        if re.search(r"(?:[(\[<]\s*=?\s*\d[^()\[\]]*[)\]>]|=\s*\d+(?: \w+)?)\s*\.?$", self.round_text):
            return False  # its total is printed: it is complete
        if self.round is not None and self.round.label is None and _TURNED.search(fold(self.round_text)):
            return False
        if BULLET.match(line.text) and not text.startswith("*"):
            return False
        if text[0].islower() or text[0] in "([*,;&+":
            return True
        return (text[0].isdigit() or line.text[0] in " \t") and self.is_instruction(text)

    # --- title and headings ---

    def _title(self, i: int, line: Line) -> bool:
        """Take the first line as the title, where it can be one. It may be the heading of the only piece, too."""
        document = self.document
        if document.title or document.pieces or document.texts or self.section != "preamble":
            return False
        text = bare(line.text)
        if not text or len(text) > 90 or section_of(text) is not None or keyed(line.text) is not None:
            return False
        if self.is_instruction(text):
            return False
        document.title = text.rstrip(":").strip()
        document.texts.append(Text("title", document.title, line))
        self.title_line = line
        if self.headings.rounds_follow(i):
            self._heading(line)
        return True

    def _heading(self, line: Line) -> None:
        text = bare(line.text).rstrip(":").strip()
        kind = section_of(text)
        self.blank = self.bullets = False
        if kind is not None:
            self.section = kind
            if kind == "instructions":
                self.piece = None
            self.document.texts.append(Text("heading", text, line))
            return
        name, make, aside = piece_name(text)
        self.piece = PieceDraft(name or "Piece", make, line, line.end, aside=aside)
        self.last_number = None
        self.document.pieces.append(self.piece)
        self.section = "rounds"

    # --- the other lines ---

    def _key(self, line: Line) -> tuple[str, str] | None:
        found = keyed(line.text)
        if found is None or (
            self.section == "abbreviations" and found[0] not in ("caution", "hook", "gauge", "notes", "terms")
        ):
            return None
        return found

    def _keyed(self, kind: str, value: str, line: Line) -> None:
        if not value:
            self.section, self.bullets, self.blank = kind, False, False
            self.document.texts.append(Text("heading", bare(line.text), line))
        elif kind == "notes" and self.section == "rounds" and self.piece is not None:
            self.piece.entries.append(NoteDraft(line.start, line.end, line.number))
        elif kind == "title" and not self.document.title:
            self.document.title = value
            self.document.texts.append(Text("title", value, line))
        else:
            if kind == "abbreviations":
                for part in re.split(r"[;,]\s*", value):
                    self._define(part, line)
            self.document.texts.append(Text(kind, value if kind not in ("notes", "rights") else bare(line.text), line))

    def _defines(self, line: Line) -> bool:
        """ "A: decrease" goes on with the list of abbreviations, also where the first round comes right below it."""
        listed = self.section == "abbreviations" and not self.blank and bool(self.document.definitions)
        if not listed or self.document.definitions[-1].line.number != line.number - 1 or says_make(line.text):
            return False
        found = definition(line.text, line)
        return found is not None and re.match(r"(?:in|with|using)\b", found.long) is None

    def _define(self, text: str, line: Line) -> None:
        found = definition(text, line)
        if found is not None:
            self.document.definitions.append(found)

    def _text(self, line: Line) -> None:
        text = line.text.strip()
        bullet = bool(BULLET.match(line.text))
        section = self.section
        if section in _COUNTING and self.blank and self._section_ends(section, bullet, line):
            section = self.section = "preamble"
        self.bullets = self.bullets or bullet
        if (section in ("rounds", "instructions") and not is_rights_line(text)) or (
            (section == "preamble" or self._first_round_follows(line)) and begins_rounds(line, self.is_instruction)
        ):
            self._among_rounds(line)
            return
        equates = section in ("preamble", "notes") and re.match(r"\s*[\w -]{1,24}\s*=", line.text)
        if section == "abbreviations" or equates:
            self._define(line.text, line)
        if section == "abbreviations" and (
            not self.document.definitions or self.document.definitions[-1].line is not line
        ):
            section = "notes"  # "Bobble: how it is made …" in sentences
        plain = BULLET.sub("", line.text, count=1).strip()
        by = designer(text) if section == "preamble" and not self.document.of("designer") else None
        if by is not None:
            self.document.texts.append(Text("designer", by, line))
        elif is_rights_line(text) or (section in ("preamble", "notes") and says_rights(text)):
            self.document.texts.append(Text("rights", text, line))
        else:
            self.document.texts.append(Text("notes" if section == "preamble" else section, plain, line))

    def _section_ends(self, section: str, bullet: bool, line: Line) -> bool:
        """Whether a line after a blank one no longer belongs to the section above it."""
        if section == "abbreviations":
            return definition(line.text, line) is None
        if section in ("gauge", "hook", "yarn", "caution"):
            return True
        return self.bullets and not bullet

    def _first_round_follows(self, line: Line) -> bool:
        """Whether the next line that is not empty is labelled as the first round or row."""
        following = (k for k in range(line.number, len(self.lines)) if self.lines[k].text.strip())
        label = self.labels[k] if (k := next(following, None)) is not None else None
        return label is not None and bool(label.numbers) and label.numbers[0][0] == 1

    def _among_rounds(self, line: Line) -> None:
        numbered = NUMBERED.match(line.text)
        if numbered and (self.headings.is_numbered_round(line.text) or self._numbers_on(line)):
            start, end = numbered.span("numbers")
            numbers = stretches(fold(numbered["numbers"]))
            label = Label(numbered["numbers"], "round", numbers, start, end, numbered.end())
            self._round(label, line, 0, len(line.text))
            return
        if (at := self._named_start(line)) is not None:
            name, make, aside = piece_name(bare(line.text[:at]).rstrip(":").strip())
            self.piece = PieceDraft(name, make, line, line.end, aside=aside)
            self.last_number = None
            self.document.pieces.append(self.piece)
            self._round(None, line, at, len(line.text.rstrip()))
            return
        piece = self._ensure_piece(line)
        piece.end = line.end
        if is_step(line, piece, self.is_instruction):
            self._round(None, line, 0, len(line.text.rstrip()))
        elif piece.has_rounds and (left_out := rounds_left_out(line.text)) is not None:
            begin = len(line.text) - len(line.text.lstrip())
            start, end = line.start + begin, line.start + len(line.text.rstrip())
            piece.entries.append(RoundDraft(None, start, start, start, end, line.number, left_out=left_out))
        else:
            piece.entries.append(NoteDraft(line.start, line.end, line.number))

    def _named_start(self, line: Line) -> int | None:
        """Where the stitches begin in "Tail: ch 13, sl st in 2nd ch from hook and across", a piece of one line."""
        match = _NAMED_START.match(line.text)
        if match is None or self.piece is None or not self.piece.has_rounds or keyed(line.text) is not None:
            return None
        name = match["name"].strip()
        known = section_of(name) is not None or NOT_A_NAME.match(name.lower()) or self.is_instruction(name)
        rest = line.text[match.end() :]
        if known or not _STITCHES.search(fold(rest)):
            return None
        if self.is_instruction(rest):
            return match.end()
        self.document.perhaps_rounds.append(line)
        return None

    def _numbers_on(self, line: Line) -> bool:
        """Whether a numbered line goes on with the numbers of the rounds above, and begins as instructions do."""
        numbered = NUMBERED.match(line.text)
        if numbered is None or self.last_number is None or self.last_number + 1 != int(numbered["first"]):
            return False
        return _WORKED.match(fold(line.text[numbered.end() :])) is not None

    def _may_be_labelled(self, line: Line) -> bool:
        begins = _NUMBER_FIRST.match(fold(line.text))
        return begins is not None and self.is_instruction(line.text[begins.end() :])

    def _keep_only_pieces_with_rounds(self) -> None:
        """A heading under which no round follows is no piece: its words, and those below it, are notes."""
        kept = []
        for piece in self.document.pieces:
            if piece.has_rounds:
                kept.append(piece)
                continue
            lines = [self.lines[entry.line - 1] for entry in piece.entries]
            if piece.line is not self.title_line:
                lines.insert(0, piece.line)
            self.document.texts.extend(Text("notes", bare(line.text), line) for line in lines)
            worked = _STITCHES if says_make(bare(piece.line.text)) else _TOTAL_LAST
            self.document.perhaps_rounds += [line for line in lines if worked.search(fold(line.text))]
        notes = (text.line for text in self.document.texts if text.kind == "notes")
        found = [line for line in notes if self._may_be_labelled(line) and line not in self.document.perhaps_rounds]
        self.document.perhaps_rounds += found
        self.document.pieces = kept
