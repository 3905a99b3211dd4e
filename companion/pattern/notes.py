"""What a pattern says in sentences: eyes, stuffing, tails, colours, sewing. Each becomes a Note with its kind."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise
from typing import Final, Literal

from companion.pattern.lexer import Token, fold, lex, usual
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
    if _bracketed_colour(folded):
        return "colour"
    for kind, pattern in _KINDS:
        if re.search(pattern, folded):
            return kind
    return "other"


def _bracketed_colour(folded: str) -> bool:
    """ "(grey)" on a line of its own."""
    inside = re.fullmatch(r"\s*[(\[]([a-z ]{1,30})[)\]][:.]?\s*", folded)
    if inside is None:
        return False
    types = {token.type for token in lex(inside[1], usual().phrases)}
    return "COLOUR_NAME" in types and types <= {"COLOUR_NAME", "COLOUR", "WORD", "AND"}


def note_of(text: str, span: Span | None, when: Literal["before", "during", "after"] = "after") -> Note:
    """The Note of one sentence. Eyes carry the rounds they sit between and the stitches between the posts."""
    kind = kind_of(text)
    if kind != "eyes":
        return Note(kind, text, when, span=span)
    tokens = [t for t in lex(text, usual().phrases) if t.type != "FILLER"]
    return Note(kind, text, when, _rounds_of(tokens), _apart(tokens, fold(text)), span)


def _is_round(token: Token) -> bool:
    return token.type == "ROUND" or (token.type == "WORD" and token.value == "r")


def _rounds_of(tokens: Sequence[Token]) -> tuple[int, int] | None:
    """ "between rounds 8 and 9", "R10-R11", "the 11th and 12th rounds", "on round 10" (twice the same)."""
    for k, token in enumerate(tokens):
        if not _is_round(token):
            continue
        after = [t for t in tokens[k + 1 : k + 5] if not _is_round(t)]
        if after and after[0].type == "NUM":
            first = int(after[0].value)
            if len(after) > 2 and after[1].type in ("AND", "DASH", "TO") and after[2].type == "NUM":
                return first, int(after[2].value)
            joined = len(after) > 1 and after[1].type == "NUM"  # "R10-R11"
            return first, int(after[1].value) if joined else first
        before = tokens[max(0, k - 3) : k]
        if len(before) == 3 and [t.type for t in before] == ["ORD", "AND", "ORD"]:
            return int(before[0].value), int(before[2].value)
        if before and before[-1].type == "ORD":
            return int(before[-1].value), int(before[-1].value)
    return None


def _apart(tokens: Sequence[Token], folded: str) -> int | None:
    """ "five stitches apart", "with 6 stitches between them", "a gap of 4 stitches"."""
    for token, following in pairwise(tokens):
        if token.type == "NUM" and following.type == "ST":
            after = folded[token.start : token.start + 40]
            before = folded[max(0, token.start - 24) : token.start]
            if re.search(r"apart|between|gap", after) or re.search(r"gap of|space of|leaving|with|about", before):
                return int(token.value)
    return None


_COLOUR: Final = re.compile(
    r"\W*(?:with|in|using|(?:change|switch) (?:colou?r )?to|join|colou?r:?|yarn:?)\s+(?:the\s+)?(.+?)"
    r"(?:\s+yarn|\s+colou?r)?[.:,;]*$",
    re.IGNORECASE,
)


def colour_of(text: str) -> str | None:
    """The colour that "With moss green", "Change to white." names; None where it names none."""
    if _bracketed_colour(fold(text)):
        return text.strip(" ()[]:.")
    match = _COLOUR.match(text.strip())
    return match[1] if match and len(match[1]) <= 40 else None
