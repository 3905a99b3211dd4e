"""References to other rounds: "repeat rounds 3 and 4", "as round 2 of the body", "as for the first leg"."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from companion.pattern.lexer import Token

_LONGEST_NAME: Final = 3  # words
_BEFORE: Final = frozenset({"previous", "prev", "preceding", "above"})


def as_round(tokens: Sequence[Token], i: int, end: int, text: str, *, begins: bool) -> tuple[Token, int] | None:
    """ "repeat rounds 3 and 4", "as round 2", "as for body": one token, and the index after it.

    `begins`: whether a clause begins there. "As last round" must; "in the same places as last round" is another thing.
    Its value is "3 4 0 0|name": first and last number, how many rounds back and how often, each 0 where it is not said.
    """
    j = i + 1
    if (tokens[i].type == "REPEAT" or begins) and (found := _rounds_back(tokens, i, end)) is not None:
        return found
    section, j = _section(tokens, j, end, text)
    if j + 1 < end and tokens[j].type == "ROUND" and tokens[j + 1].type == "NUM":
        first = last = int(tokens[j + 1].value)
        j += 2
        while j + 1 < end and tokens[j].type in ("DASH", "AND", "TO", "SEP") and tokens[j + 1].type in ("NUM", "ROUND"):
            if tokens[j].type == "SEP" and tokens[j + 1].type != "NUM":
                break
            j += 1
            if tokens[j].type == "ROUND":
                j += 1
            if j < end and tokens[j].type == "NUM":
                last = int(tokens[j].value)
                j += 1
        name = section
        if (
            j + 1 < end
            and tokens[j].type in ("OF", "FROM", "ON")
            and tokens[j + 1].type in ("WORD", "FIRST", "ORD", "LAST")
        ):
            k = j + 1
            while k < end and tokens[k].type in ("WORD", "FIRST", "ORD", "NUM", "LAST", "OTHER"):
                k += 1
            name = text[tokens[j + 1].start : tokens[k - 1].end]
            j = k
        if j < end and tokens[j].value in ("alternately", "alternating"):
            j += 1  # "repeat rounds 2 and 3 alternately": one after the other, as it is without the word
        times, j = _times(tokens, j, end)
        return Token("AS_ROUND", f"{first} {last} 0 {times}|{name}", tokens[i].start, tokens[j - 1].end), j
    if tokens[i].type == "AS":
        k = j
        while k < end and tokens[k].type in ("WORD", "FIRST", "ORD", "NUM", "LAST", "OTHER"):
            k += 1
        if k > j and any(t.type == "WORD" for t in tokens[j:k]):
            return Token(
                "AS_ROUND", f"0 0 0 0|{text[tokens[j].start : tokens[k - 1].end]}", tokens[i].start, tokens[k - 1].end
            ), k
    return None


def _section(tokens: Sequence[Token], j: int, end: int, text: str) -> tuple[str, int]:
    """The "ribbing" of "repeat ribbing round 1", and the index after it; empty where the number comes at once."""
    k = j
    while k < end and k < j + _LONGEST_NAME and tokens[k].type in ("WORD", "FILLER"):
        k += 1
    numbered = [token.type for token in tokens[k : min(k + 2, end)]] == ["ROUND", "NUM"]
    if not numbered or not any(token.type == "WORD" for token in tokens[j:k]):
        return "", j
    return text[tokens[j].start : tokens[k - 1].end], k


def _rounds_back(tokens: Sequence[Token], i: int, end: int) -> tuple[Token, int] | None:
    """ "repeat the last 2 rounds 3 more times", "repeat these two rows", "repeat previous round", "as last round"."""
    j, back = i + 1, 1
    shown = str(tokens[i].value).endswith(("this", "these"))
    if j < end and (tokens[j].type == "LAST" or tokens[j].value in _BEFORE):
        j, shown = j + 1, True
    if j < end and tokens[j].type == "NUM":
        back, j = int(tokens[j].value), j + 1
    if not shown or not back or j >= end or tokens[j].type != "ROUND":
        return None
    times, j = _times(tokens, j + 1, end)
    return Token("AS_ROUND", f"0 0 {back} {times}|", tokens[i].start, tokens[j - 1].end), j


def _times(tokens: Sequence[Token], j: int, end: int) -> tuple[int, int]:
    """How often rounds are repeated as is said at `j`, and the index after it; 0 where it is not said."""
    if j < end and tokens[j].type in ("OFTEN", "MORE_TIMES"):
        return int(tokens[j].value), j + 1
    return 0, j
