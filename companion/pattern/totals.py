"""Which tokens are a printed total: "[18]", "(12 sc, 6 ch-2 sps)", "= 18", "makes 18", "18 stitches"."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from companion.pattern.lexer import Token
from companion.pattern.tokenkinds import STITCHY, UNIT

_SAID_WITH: Final = frozenset({
    "IN_ALL", "REMAIN", "MAKES", "EQUALS", "EACH", "ROUND", "END", "IN", "OF", "ON", "AT", "AROUND", "COLON",
})  # fmt: skip
_WORDS: Final = frozenset({
    "NUM", "ST", "STITCH", "SLST", "CH", "INC", "DEC", "TOG", "GATHER", "SPREAD", "SPACE", "SEP", "AND", "IN_ALL",
    "REMAIN", "EQUALS", "MAKES", "DASH", "PICOT", "COLON",
})  # fmt: skip


_LONGEST: Final = 40
"""Tokens beyond which counts are no total."""

_FULL: Final = frozenset({"AROUND", "ACROSS", "REPSTAR", "JOIN", "TURN", "RING"})
"""Words after which nothing of the round is left to be worked."""

_BEFORE_A_TOTAL: Final = frozenset(
    {"SEP", "CLOSE", "AROUND", "OFTEN", "OFTEN_IN_ALL", "MORE_TIMES", "ACROSS", "TO_LAST"}
)
_PLACED: Final = frozenset({"NUM", "EACH", "NEXT", "IN"})
"""Words before a stitch that need no number after it: "24 sc", "in each sc"."""


def looks_like_total(tokens: Sequence[Token]) -> bool:
    """Whether the tokens are nothing but counts: "18", "18 sts", "12 sc, 6 ch-2 sps", "18 in total"."""
    rest = [t for t in tokens if t.type not in _SAID_WITH]
    if not rest or rest[0].type != "NUM":
        return False
    if tokens[0].type not in ("NUM", "IN_ALL", "MAKES", "EQUALS", "REMAIN", "COLON"):
        return False
    number_next = True
    for k, token in enumerate(rest):
        if number_next:
            if token.type != "NUM" and not (token.type == "SPACE" and k):  # "15 sc, ch-4 sp": one of them
                return False
            number_next = False
        elif token.type in ("SEP", "AND", "DASH"):
            number_next = True
        elif token.type not in UNIT and token.type != "SPACE":
            return False
    return not number_next or rest[-1].type == "SEP"


def is_total_at(tokens: Sequence[Token], k: int) -> bool:
    """Whether a bracket opens at `k` that holds a total."""
    if tokens[k].type != "OPEN":
        return False
    end = min(len(tokens), k + _LONGEST)
    closing = next((j for j in range(k + 1, end) if tokens[j].type == "CLOSE"), k)
    return looks_like_total(tokens[k + 1 : closing])


def fold_trailing_total(tokens: list[Token]) -> list[Token]:
    """The tokens with a total that stands without brackets at the end put in brackets of value "="."""
    tokens = _once(tokens)
    n = len(tokens)
    while n and tokens[n - 1].type in ("SEP", "DASH", "COUNT_OF_ROUNDS"):
        n -= 1
    start = n
    while start > max(0, n - _LONGEST) and tokens[start - 1].type in _WORDS:
        start -= 1
    stitchy = next((i for i, t in enumerate(tokens) if t.type in STITCHY or t.type in ("REPEAT", "AS")), n)
    for k in range(start, n):
        kind = tokens[k].type
        marker = kind in ("EQUALS", "MAKES", "DASH", "IN_ALL") or (kind == "COLON" and k > stitchy)
        if marker and k and k > stitchy and k + 1 < n and looks_like_total(tokens[k + 1 : n]):
            if (kind == "DASH" and tokens[k - 1].type == "NUM" and not _set_apart(tokens, k, n)) or (
                kind == "COLON" and _acts_before(tokens, k, n)
            ):
                continue
            return _folded(tokens, k, k + 1, n)
    if (k := _after_the_end(tokens, start, n)) and k > stitchy:
        return _folded(tokens, k, k, n)
    if (found := _in_the_middle(tokens, stitchy, n)) is not None:
        return _folded(tokens, *found)
    k = n
    while k > start and tokens[k - 1].type != "SEP":
        k -= 1
    multiplied = 1 < k < n and (tokens[k - 2].type, tokens[k - 1].type, tokens[k].type) == ("CLOSE", "STAR", "NUM")
    k += multiplied  # "(sc, inc) *6 18 sts"
    rest = tokens[k:n]
    if not rest or k <= stitchy or rest[0].type not in ("NUM", "IN_ALL", "MAKES") or not looks_like_total(rest):
        return tokens
    if tokens[k - 1].type not in _BEFORE_A_TOTAL and not multiplied:
        return tokens  # "sc in next 3 sts"
    alone = len(rest) == 1 and tokens[k - 1].value in (".", ";", "…", "|", "/", "\\", "~")
    if alone or any(t.type in ("ST", "IN_ALL", "REMAIN", "MAKES") for t in rest):
        return _folded(tokens, k, k, n)
    return tokens


def _set_apart(tokens: Sequence[Token], k: int, n: int) -> bool:
    """Whether a dash with space around it comes before stitches: "5 sc, inc, sc 5 - 14 sts" is no range."""
    spaced = tokens[k - 1].end < tokens[k].start and tokens[k].end < tokens[k + 1].start
    return spaced and any(token.type == "ST" for token in tokens[k:n])


def _acts_before(tokens: Sequence[Token], k: int, n: int) -> bool:
    """Whether an act ends at the colon at `k`, so that stitches follow it, and no total: "12 sc, rotate: 12 sc"."""
    begin = k
    while begin and tokens[begin - 1].type not in ("SEP", "AND", "THEN", "CLOSE"):
        begin -= 1
    first = tokens[begin]
    letter = begin + 1 == k and (len(str(first.value)) == 1 or first.value in ("mc", "cc"))  # "A: 6 sc, B: 6 sc"
    acts = first.type in ("MARK", "CHANGE", "COLOUR", "COLOUR_NAME", "WITH", "START_AT") or (
        first.type == "NOTE" and first.value not in ("note", "tip")
    )
    acts = acts or (letter and first.type in ("WORD", "RING"))
    return acts and not any(token.type == "ST" for token in tokens[k:n])


def _once(tokens: list[Token]) -> list[Token]:
    """The tokens with a total that is said twice, "sc around, 24 (24)", as one in its brackets."""
    for k in range(len(tokens) - 3, 0, -1):
        number, opening, again = tokens[k : k + 3]
        if (number.type, opening.type) != ("NUM", "OPEN") or (again.type, again.value) != ("NUM", number.value):
            continue
        before, earlier = tokens[k - 1].type, tokens[k - 2].type if k > 1 else ""
        said = before in _BEFORE_A_TOTAL - {"CLOSE"} or before == "ST" or (before == "STITCH" and earlier in _PLACED)
        if said and is_total_at(tokens, k + 1):
            return [*tokens[:k], opening._replace(start=number.start), *tokens[k + 2 :]]
    return tokens


def _after_the_end(tokens: Sequence[Token], start: int, n: int) -> int:
    """Where counts stand in a sentence of their own after the round is full: "… around. 16 dc, 16 ch-2 sps"; or 0."""
    for k in range(max(start, 1), n):
        if tokens[k - 1].type == "SEP" and tokens[k - 1].value in (".", ";") and looks_like_total(tokens[k:n]):
            j = k - 1
            while j and tokens[j - 1].type not in ("SEP", "OPEN", "CLOSE", "STAR"):
                j -= 1
            if any(t.type in _FULL or (t.type == "EACH" and t.value != "rem") for t in tokens[j : k - 1]):
                return k
    return 0


def _in_the_middle(tokens: Sequence[Token], stitchy: int, n: int) -> tuple[int, int, int] | None:
    """A total that more sentences follow: "sc around = 24 sts. Join.", "sc around. 24 sts. Join."."""
    for k in range(stitchy + 1, n - 3):
        marker, number, unit, stop = tokens[k : k + 4]
        if number.type != "NUM" or (stop.type, stop.value) != ("SEP", "."):
            continue
        if unit.type == "ST" and (marker.type == "EQUALS" or (marker.type, marker.value) == ("SEP", ".")):
            return k, k + 1, k + 3
    return None


def _folded(tokens: list[Token], begin: int, inside: int, end: int) -> list[Token]:
    opening = Token("OPEN", "=", tokens[begin].start, tokens[begin].start)
    closing = Token("CLOSE", "=", tokens[end - 1].end, tokens[end - 1].end)
    return [*tokens[:begin], opening, *tokens[inside:end], closing, *tokens[end:]]
