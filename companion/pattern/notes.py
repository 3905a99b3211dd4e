"""What a pattern says in sentences: eyes, stuffing, tails, colours, sewing. Each becomes a Note with its kind."""

from __future__ import annotations

import re
from typing import Final

from companion.pattern.lexer import fold, lex, usual
from companion.pattern.model import Note, NoteKind, Span

_KINDS: Final[tuple[tuple[NoteKind, str], ...]] = (
    ("eyes", r"\beyes?\b"),
    (
        "picture",
        r"\b(?:photo|picture|image|diagram|chart|graph|colou?r grid|illustration|figure \d|fig\. ?\d|see below)\b",
    ),
    ("stuffing", r"\b(?:stuff|stuffing|fill|fibrefill|fiberfill|filling)\b"),
    ("close", r"\b(?:gather|close (?:the|up|off)|to close|draw .*closed|pull .*tight|cinch)\b"),
    ("tail", r"\btails?\b"),
    ("sew", r"\b(?:sew|sewing|attach|stitch (?:the|on|to)|pin|seam|whip ?stitch)\b"),
    ("colour", r"^(?:with|in|change to|switch to|using|join|colou?r|yarn)\b|\b(?:change|switch) (?:to|colou?r)"),
    ("marker", r"\bmarkers?\b"),
    ("stop", r"\b(?:fasten off|finish off|break (?:off|yarn)|cut (?:the )?yarn|weave in|bind off|end off)\b"),
)
_SENTENCE: Final = re.compile(r"[^.!?]*(?:\.(?=\d)[^.!?]*)*(?:[.!?]+(?=\s|$)|$)")


def sentences(text: str) -> list[tuple[int, int]]:
    """The sentences of one line as (start, end) offsets, blanks at their ends left out."""
    found: list[tuple[int, int]] = []
    start = 0
    for match in re.finditer(r"[.!?]+(?=\s+[^\sa-z]|\s*$)", text):
        found.append((start, match.end()))
        start = match.end()
    if text[start:].strip():
        found.append((start, len(text)))
    out = []
    for a, b in found:
        part = text[a:b]
        lead = len(part) - len(part.lstrip())
        if part.strip():
            out.append((a + lead, a + len(part.rstrip())))
    return out


def kind_of(text: str) -> NoteKind:
    """What a sentence is about."""
    folded = fold(text)
    for kind, pattern in _KINDS:
        if re.search(pattern, folded):
            return kind
    return "other"


def note_of(text: str, span: Span | None, when: str = "after") -> Note:
    """The Note of one sentence. Eyes carry the rounds they sit between and the stitches between the posts."""
    kind = kind_of(text)
    between: tuple[int, int] | None = None
    apart: int | None = None
    if kind == "eyes":
        tokens = [t for t in lex(text, usual().phrases) if t.type != "FILLER"]
        types = [t.type for t in tokens]
        for i, token_type in enumerate(types):
            numbers = [int(t.value) for t in tokens[i + 1 : i + 5] if t.type == "NUM"]
            if token_type == "ROUND" and len(numbers) >= 2 and between is None and types[i + 1] == "NUM":
                between = (numbers[0], numbers[1])
            elif token_type == "ROUND" and numbers and between is None and i + 1 < len(types) and types[i + 1] == "NUM":
                between = (numbers[0], numbers[0])
            if token_type == "NUM" and i + 1 < len(types) and types[i + 1] == "ST":
                near = fold(text)[tokens[i].start : tokens[i].start + 40]
                before = fold(text)[max(0, tokens[i].start - 24) : tokens[i].start]
                if re.search(r"apart|between|gap", near) or re.search(r"gap of|space of|leaving|with|about", before):
                    apart = int(tokens[i].value)
    if when not in ("before", "during", "after"):
        when = "after"
    return Note(kind, text, when, between, apart, span)  # type: ignore[arg-type]


_COLOUR: Final = re.compile(
    r"\W*(?:with|in|using|(?:change|switch) (?:colou?r )?to|join|colou?r:?|yarn:?)\s+(?:the\s+)?(.+?)"
    r"(?:\s+yarn|\s+colou?r)?[.:,;]*$",
    re.IGNORECASE,
)


def colour_of(text: str) -> str | None:
    """The colour that "With moss green", "Change to white." names; None where it names none."""
    match = _COLOUR.match(text.strip())
    return match[1] if match and len(match[1]) <= 40 else None
