"""Which lines are headings of pieces: by how they look, and by whether a first round follows."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import Final

from companion.pattern.copies import copies_said
from companion.pattern.labels import Label
from companion.pattern.lexer import fold
from companion.pattern.page import Line, bare, is_rights_line, keyed, piece_name, says_make, section_of
from companion.pattern.terms import stated_terms

BULLET: Final = re.compile(r"^\s*(?:[-*•·‣▪●]|\d{1,3}[.)])\s+")
NUMBERED: Final = re.compile(
    r"^\s*(?:\|\s*)?(?P<numbers>(?P<first>\d{1,3})(?:(?:[.)]?\s?[-–—]\s?|\s?(?:to|through|thru|&|and)\s)\d{1,3})?)"
    r"\s*[.):|]\s+",
    re.IGNORECASE,
)
"""The number alone before a round: "7:", "7-9.", "7 to 9:"; "| 7 | 12 sc | 12 |", in a table."""

_AS_ROUNDS: Final = re.compile(r"\W*(?:the )?(?:same as|as|repeat|rep)\b.*\b(?:rounds?|rnds?|rows?)\s?\d")
""" "Same as pot rounds 1-4": worked where a number stands before it."""

_TABLE_RULE: Final = re.compile(r"\s*\|?\s*:?-+:?\s*(?:\|\s*:?-+:?\s*)*\|?\s*$")
"""The line below the head of a table: "|---|---|"."""

UNDERLINE: Final = re.compile(r"\s*(?:[=\-_~*·•]\s?){3,}\s*$")
PAGE_NUMBER: Final = re.compile(r"\s*(?:page|p\.)\s*\d{1,3}(?:\s*(?:of|/)\s*\d{1,3})?\s*$", re.IGNORECASE)
NOT_A_NAME: Final = re.compile(
    r"(?:with|in|using|change|switch|join|continue|work|worked|stuff|place|do|repeat|fasten|cut|ch|chain|sew|insert|"
    r"turn|rep|put|add|leave|note|keep|sc|dc|hdc|htr|tr|increas\w*|decreas\w*|colou?r [a-z0-9]|main colou?r|contrast|"
    r"you|now|the next|begin|start)\b"
)

_REPEATS_ROUNDS: Final = re.compile(r"(?:rep|rpt|repeat)\b.*\b(?:row|round|rnd|rd)s?\b")
""" "Rep rows 2-3 x4" ends like "Wing x2", but is no name."""


class Headings:
    """Looks at lines and what comes after them. `is_instruction` says whether a line reads as stitches."""

    def __init__(
        self, lines: Sequence[Line], labels: Sequence[Label | None], is_instruction: Callable[[str], bool]
    ) -> None:
        self.lines = lines
        self.labels = labels
        self.is_instruction = is_instruction

    def rounds_follow(self, i: int) -> bool:
        """Whether a first round or a starting chain comes next, with nothing between but a colour or a little prose."""
        seen = 0
        for j in range(i + 1, min(i + 12, len(self.lines))):
            line = self.lines[j]
            text = line.text.strip()
            if not text or UNDERLINE.match(text) or self.heads_table(j) or copies_said(text) is not None:
                continue
            label = self.labels[j]
            if label is not None:
                return not label.numbers or label.numbers[0][0] == 1 or seen == 0
            if self.is_numbered_round(text):
                return True
            if re.match(
                r"\W*(?:(?:ch|chain|make|start|begin|commence|with|using|mr|magic|into|in)\b|\d)", fold(text)
            ) and self.is_instruction(text):
                return True
            if (key := keyed(text)) is not None and key[0] == "notes" and key[1]:
                continue  # "Note: …" between a heading and its first round
            if section_of(bare(text)) is not None or keyed(text) is not None or text.startswith("#"):
                return False
            name_like = (
                len(text.split()) <= 5
                and not text.endswith((".", ",", "!", ")"))
                and not NOT_A_NAME.match(text.lower())
            )
            seen += 1
            if name_like or seen > 3 or _shouts(text) or says_make(text):
                return False
        return False

    def is_numbered_round(self, text: str) -> bool:
        """Whether a line is a number and instructions behind it."""
        numbered = NUMBERED.match(text)
        if numbered is None:
            return False
        return _AS_ROUNDS.match(fold(text[numbered.end() :])) is not None or self.is_instruction(text[numbered.end() :])

    def heads_table(self, i: int) -> bool:
        """Whether a line is the head of a table, or the rule below that."""
        marks = [line.text for line in self.lines[i : i + 2] if "|" in line.text]
        return bool(marks) and any(_TABLE_RULE.match(text) for text in marks)

    def is_heading(self, i: int, line: Line, section: str) -> bool:
        """Whether a line is a heading, in a section of that kind."""
        raw = line.text.strip()
        if self.is_numbered_round(raw):
            return False
        text = bare(raw)
        if not text or len(text) > 80:
            return False
        if section_of(text) is not None:
            return True
        if section == "assembly" and not self.rounds_follow(i):
            return False
        if raw.startswith("#") or re.fullmatch(r"(\*\*|__)[^*_]+\1:?", raw):
            return True
        if BULLET.match(line.text) and not self.rounds_follow(i):
            return False
        if text.count("|") > 1 or text.startswith("(") or stated_terms(text) is not None or is_rights_line(text):
            return False
        words = text.split()
        if _REPEATS_ROUNDS.match(fold(text)):
            return False
        if self.is_instruction(piece_name(text)[0] if says_make(text) else text):
            return False
        if says_make(text) and len(piece_name(text)[0].split()) <= 6 and not text.endswith("."):
            return self.rounds_follow(i) or section != "materials"
        if _shouts(re.sub(r"\([^)]*\)", "", text)) and len(words) <= 8:
            return True
        if text.endswith((".", ",", ";", "!")) or len(words) > 8 or NOT_A_NAME.match(text.lower()):
            return False
        return self.rounds_follow(i)


def _shouts(text: str) -> bool:
    """Whether all its letters are capitals."""
    letters = [c for c in text if c.isalpha()]
    return len(letters) >= 2 and all(c.isupper() for c in letters)
