"""Edges called by name: "along the first leg", "in the other side of the chain", "of round 7"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from companion.pattern.lexer import Token, fold
from companion.pattern.syntax import Reach

_NAMED: Final = frozenset({
    "WORD", "CH", "SIDE", "OF", "OTHER", "ORD", "FIRST", "LAST", "NEXT", "SAME", "IN", "ON", "TOP", "REMAIN",
    "ROW_END", "ROUND", "END", "FRONT_LOOP", "BACK_LOOP", "SPACE", "NUM", "EACH", "ST", "FROM", "AND",
    "TURN_CHAIN", "BOTH_LOOPS", "COLOUR_NAME", "FREE_LOOP",
})  # fmt: skip
_NAMES: Final = frozenset({
    "WORD", "CH", "SIDE", "ROW_END", "ROUND", "FREE_LOOP",
})  # fmt: skip
_AROUND: Final = re.compile(r"\barr?ou?n?d\b|\ball round\b")
_WHOLE: Final = re.compile(r"\b(?:round|rnd|rd|piece|join|beg|beginning|corner|evenly)\b")
_ALONG: Final = re.compile(r"\b(?:rows?|across|along|over)\b")
_TOP: Final = re.compile(r"(?:the )?top(?: edge| side)?(?: of (?:the )?(?:piece|work))?")
_BELOW: Final = frozenset({"previous", "prev", "prior", "preceding", "below"})


def edge_word(tokens: Sequence[Token], i: int, end: int, text: str) -> tuple[Token | None, int]:
    """The token for the word at `i`, "across", "along", "of", and where to go on.

    "across" and "along" mean the whole edge, unless a name follows; "of" and "on" mean nothing without one.
    """
    token = tokens[i]
    j = i + 1
    while j < end and tokens[j].type in _NAMED:
        if tokens[j].type == "AND" and (j + 1 >= end or tokens[j + 1].type not in _NAMED):
            break
        j += 1
    if [t.type for t in tokens[i + 1 : min(j + 1, end)]] == ["RING"]:
        return None, j + 1  # "sk next sc on ring": the edge there is
    if _is_the_round_below(tokens[i + 1 : j]):
        return None, j  # "into every stitch of the previous round"
    names = _NAMES | {"TOP"} if token.type == "ACROSS" else _NAMES  # "8 sc across top"; but "in top of ch 3"
    if any(t.type in names for t in tokens[i + 1 : j]) and not _is_count(tokens[i + 1 : j]):
        last = tokens[j - 1]
        return Token("REF", text[tokens[i + 1].start : last.end], token.start, last.end), j
    if token.type in ("ACROSS", "AROUND"):
        return token._replace(type="AROUND"), i + 1
    return None, i + 1


def reach_of(words: str) -> Reach:
    """What words like "all the way around", "to end of row", "to end" say of the way: around, across, or neither.

    "Evenly" alone, and a way up to a corner, are said of an edge that has row ends.
    """
    if says_around(words) or _WHOLE.search(words):
        return "around"
    return "across" if _ALONG.search(words) else ""


def says_around(words: str) -> bool:
    """Whether the word "around" is among them."""
    return _AROUND.search(fold(words)) is not None


def says_evenly(words: str) -> bool:
    """Whether the word "evenly" is among them, as it is said of edges with row ends."""
    return "evenly" in fold(words)


def may_be_any_edge(words: str) -> bool:
    """Whether any edge of a piece worked in rows may be meant: "along the strip"; but not "in each st of the strip"."""
    return says_around(words) or re.search(r"\balong\b", fold(words)) is not None


def is_top(name: str) -> bool:
    """Whether an edge is called the top, which is where the last row or round is."""
    return _TOP.fullmatch(fold(name)) is not None


def names_side(tokens: Sequence[Token], i: int, end: int) -> bool:
    """Whether "in" at `i` goes on with a side: "in the other side of the chain"."""
    return "SIDE" in [t.type for t in tokens[i + 1 : min(i + 3, end)]]


def _is_the_round_below(tokens: Sequence[Token]) -> bool:
    """ "of the round", "of previous row": nothing but the live edge."""
    return any(t.type == "ROUND" for t in tokens) and all(
        t.type in ("ROUND", "LAST") or (t.type == "WORD" and t.value in _BELOW) for t in tokens
    )


def _is_count(tokens: Sequence[Token]) -> bool:
    """ "across next 3 ch" counts, it names nothing."""
    types = [t.type for t in tokens]
    if "NUM" not in types or types[-1] not in ("CH", "ST", "SPACE", "NUM"):
        return False
    return not any(t in ("WORD", "SIDE", "ROUND") for t in types)
