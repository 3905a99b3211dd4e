"""Stitches said in one clause with an act: "rotate and sc in next 4 ch". The act ends where the work begins.

A note is kept and not counted, so stitches that it swallowed would be gone without a word. Where the work begins is
seen from an "and", a "then" or the like before it; stitches that are there without one make the clause unreadable.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from companion.pattern.lexer import Token
from companion.pattern.tokenkinds import STITCHY, UNIT

_CONNECTING: Final = frozenset({"AND", "THEN", "COLON"})
_MADE: Final = STITCHY - {"THEM"}
_LOOPS: Final = frozenset({"BACK_LOOP", "FRONT_LOOP", "THIRD_LOOP", "BOTH_LOOPS"})
_SPOTS: Final = _LOOPS | UNIT | {
    "EACH", "NEXT", "FIRST", "LAST", "SAME", "ORD", "NUM", "RING", "SPACE", "FROM_HOOK", "SKIPPED", "TOP", "ROW_END",
    "FREE_LOOP", "OTHER", "LAYERS",
}  # fmt: skip
_WAYS: Final = _LOOPS | {
    "EACH", "NEXT", "FIRST", "LAST", "SAME", "AROUND", "ACROSS", "OVER", "TO_LAST", "OFTEN", "OFTEN_IN_ALL",
    "TOGETHER", "RING", "EVENLY", "START_AT", "LAYERS",
}  # fmt: skip
_OF_A_PLACE: Final = _WAYS - {"ACROSS", "OFTEN", "OFTEN_IN_ALL", "RING", "EVENLY", "START_AT"} | {
    "IN", "ON", "OF", "FROM", "TO", "BETWEEN", "ORD", "SKIPPED", "OTHER", "TOP", "CENTER_OF", "REMAIN", "NOT",
    "COUNTS",
}  # fmt: skip
_WHILE: Final = frozenset({"UNTIL", "AS"})
_WHILE_WORDS: Final = frozenset({"as", "when", "while", "whenever", "after", "once", "where"})
_BESIDE: Final = frozenset({
    "under", "underneath", "behind", "below", "beneath", "above", "near", "beside", "past", "per", "after", "against",
    "or", "than", "about", "around",
})  # fmt: skip
_DONE_TO_STITCHES: Final = frozenset({
    "leave", "leaving", "keep", "keeping", "hold", "gather", "place", "put", "hide", "embroider", "pin", "sew", "add",
    "attach", "insert", "weave", "pull", "secure", "close", "stuff", "stuffing", "carry", "carrying", "thread", "tie",
    "drop", "pick up", "tighten", "shape", "remember", "don't forget", "make sure", "making sure", "be sure",
})  # fmt: skip
_APART: Final = frozenset({
    "apart", "away", "wide", "high", "tall", "long", "deep", "up", "down", "below", "above", "over", "further",
})  # fmt: skip
_ARTICLE: Final = re.compile(r"\b(?:the|this|your|that's|it's)\s*$")
_INDEFINITE: Final = re.compile(r"(?<!work )(?<!make )\ban?\s*$")
_WORKING: Final = re.compile(r"\b(?:work|working|make|making)\b")

Act = tuple[str, int]
"""The kind of an act, "unread" where it holds stitches and where they begin is not said, and the index after it."""


def ended_before_work(tokens: Sequence[Token], i: int, act: Act, clause_end: int, text: str) -> Act:
    """The act that begins at `i`, without the work that is said in the same clause."""
    kind, end = act
    aside = False
    for k in range(i + 1, end):
        aside = aside or _says_when(tokens[k])
        if not _works(tokens, i, k, clause_end, text) or (kind == "counts" and tokens[k].type == "CH"):
            continue
        begin = _connected(tokens, i, k)
        return ("unread", end) if aside or begin is None else (kind, begin)
    return act


def has_number_or_place(tokens: Sequence[Token], k: int, end: int) -> bool:
    """Whether stitches are said at `k`, and how many or where: "3 sc", "sc 3", "sc in next", "sc around"."""
    if tokens[k].type == "NUM":
        return k + 1 < end and tokens[k + 1].type in _MADE
    if tokens[k].type not in _MADE:
        return False
    following = tokens[k + 1].type if k + 1 < end else ""
    beyond = tokens[k + 2].type if k + 2 < end else ""
    if following in ("IN", "ON"):
        return beyond in _SPOTS
    return following in _WAYS or following == "NUM" or (following in _MADE and beyond != "")


def _says_when(token: Token) -> bool:
    return token.type in _WHILE or (token.type == "WORD" and token.value in _WHILE_WORDS)


def _connected(tokens: Sequence[Token], i: int, k: int) -> int | None:
    """Where the act ends whose clause goes on with work at `k`, None where nothing parts the two."""
    k = _with_loops(tokens, i, k)
    if k - 1 > i and tokens[k - 1].type == "WITH":
        k -= 1
        return k - 1 if tokens[k - 1].type in _CONNECTING and k - 1 > i else k
    if tokens[k - 1].type in _CONNECTING:
        return k - 1 if k - 1 > i else k
    return k if tokens[k - 1].type in ("TURN", "NOTE") else None  # "rotate sc in next 4"


def _with_loops(tokens: Sequence[Token], i: int, k: int) -> int:
    """Where the words begin that say the loop of the work at `k`: "and in FLO sc in each st"."""
    begin = k
    while begin - 1 > i and tokens[begin - 1].type in _LOOPS | {"LAYERS"}:
        begin -= 1
    return begin - 1 if begin < k and begin - 1 > i and tokens[begin - 1].type in ("IN", "ON") else begin


def _works(tokens: Sequence[Token], i: int, k: int, end: int, text: str) -> bool:
    """Whether something is made at `k`, and not only named: "and sc in next 4"; but not "in the first sc"."""
    begin = _with_loops(tokens, i, k)
    before = tokens[begin - 1]
    connected = before.type in _CONNECTING
    if tokens[k].type == "CH" and not connected:
        return False  # "hold ch 4 in front"
    if _in_another_round(tokens, k, end):
        return False
    if not has_number_or_place(tokens, k, end) and not (connected and _bare(tokens, k, end, text)):
        return False
    if tokens[k].type == "NUM" and _measures(tokens, k, end):
        return False
    between = text[before.end : tokens[begin].start].lower()
    if _ARTICLE.search(between) or (not connected and before.type != "WITH" and _INDEFINITE.search(between)):
        return False
    if before.type == "WITH":
        return "SLST" not in (tokens[k].type, tokens[min(k + 1, end - 1)].type)
    if tokens[begin].type == "NUM" and _says_when(before):
        return False  # "until 6 sc remain"; but "hide the tail while you sc 12"
    if i < begin - 2 and [t.type for t in tokens[begin - 2 : begin]] in (
        ["AND", "IN"],
        ["THEN", "IN"],
        ["WITH", "NEXT"],
    ):
        return True  # "and continue in sc around", "attach the arm with next 4 sc"
    if before.type in _OF_A_PLACE or (before.type == "WORD" and before.value in _BESIDE):
        return False
    if before.type in ("MARK", "CHANGE", "NUM"):
        return False
    named = before.type == "NOTE" and before.value in _DONE_TO_STITCHES  # "leaving 3 sc between"
    return not named or _WORKING.search(between) is not None  # "keep working sc in each st"


def _in_another_round(tokens: Sequence[Token], k: int, end: int) -> bool:
    """ "Before you sc the next round", "stuff and dec in each round": advice for other rounds than this."""
    types = [token.type for token in tokens[k + 1 : min(k + 4, end)]]
    types = types[1:] if types[:1] == ["IN"] else types
    return types[:1] in (["NEXT"], ["EACH"]) and types[1:2] == ["ROUND"]


def _measures(tokens: Sequence[Token], k: int, end: int) -> bool:
    """ "5 sc apart", "6 sc from the marker": a distance."""
    after = tokens[k + 2] if k + 2 < end else None
    return after is not None and (after.type in ("BETWEEN", "FROM") or after.value in _APART)


def _bare(tokens: Sequence[Token], k: int, end: int, text: str) -> bool:
    """Whether a stitch at `k` is made without a number or a place that is known.

    "Turn and inc", "fold and sc through ear and body" are; "between inc and dec", "stuff and sc tightly" are not.
    """
    following = tokens[k + 1].start if k + 1 < len(tokens) else len(text)
    if tokens[k].type not in _MADE or text[tokens[k].end : following].strip(" .,;:!"):
        return False
    alone = k + 1 == end or tokens[k + 1].type in _CONNECTING or tokens[k + 1].type == "IN"
    return tokens[k - 1].type == "COLON" or (alone and tokens[k - 2].type not in UNIT)
