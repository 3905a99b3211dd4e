"""References to other rounds: "repeat rounds 3 and 4", "as round 2 of the body", "as for the first leg"."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from companion.pattern.lexer import Token
from companion.pattern.repeated import how_far
from companion.pattern.syntax import NOT_SAID, Repeated

_LONGEST_NAME: Final = 3  # words
_BEFORE: Final = frozenset({"previous", "prev", "preceding", "above"})


def as_round(tokens: Sequence[Token], i: int, end: int, text: str, *, begins: bool) -> tuple[Token, int] | None:
    """ "repeat rounds 3 and 4", "as round 2", "as for body": one token, and the index after it.

    `begins`: whether a clause begins there. "As last round" must; "in the same places as last round" is another thing.
    Its value is "3 4 0 0 0 0 0|name": first and last number, how many rounds back, and the four of `Repeated`, each 0
    where it is not said.
    """
    if (tokens[i].type == "REPEAT" or begins) and (found := _rounds_back(tokens, i, end)) is not None:
        return found
    if (numbered := _numbered(tokens, i, i + 1, end, text)) is not None:
        return numbered
    j = i + 1
    if tokens[i].type == "AS":
        k = j
        while k < end and tokens[k].type in ("WORD", "FIRST", "ORD", "NUM", "LAST", "OTHER"):
            k += 1
        if k > j and any(t.type == "WORD" for t in tokens[j:k]):
            return Token(
                "AS_ROUND",
                f"0 0 0 {_numbers(Repeated())}|{text[tokens[j].start : tokens[k - 1].end]}",
                tokens[i].start,
                tokens[k - 1].end,
            ), k
    return None


def works_rounds(tokens: Sequence[Token], i: int, end: int, text: str) -> tuple[Token, int] | None:
    """ "Work rows 2 and 3 four more times", at its "rows": as "repeat" before it. Else "rows 2 and 3" is no more than a
    name of them.
    """
    return _numbered(tokens, i, i, end, text)


def _numbered(tokens: Sequence[Token], i: int, j: int, end: int, text: str) -> tuple[Token, int] | None:
    """The rounds whose numbers begin at `j`, what is said of them at `i`; None where no number does."""
    section, j = _section(tokens, j, end, text)
    if j + 1 >= end or tokens[j].type != "ROUND" or tokens[j + 1].type != "NUM":
        return None
    first = last = int(tokens[j + 1].value)
    j += 2
    while j + 1 < end and tokens[j].type in ("DASH", "AND", "TO", "SEP") and tokens[j + 1].type in ("NUM", "ROUND"):
        if tokens[j].type == "SEP" and tokens[j + 1].type != "NUM":
            break
        if tokens[j].type == "TO" and last != first:
            break  # "rows 2-3 to row 11": how far they are repeated
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
    far, j = how_far(tokens, j, end)
    if far == NOT_SAID and tokens[i].type == "ROUND":
        return None
    return Token("AS_ROUND", f"{first} {last} 0 {_numbers(far)}|{name}", tokens[i].start, tokens[j - 1].end), j


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
    far, j = how_far(tokens, j + 1, end)
    return Token("AS_ROUND", f"0 0 {back} {_numbers(far)}|", tokens[i].start, tokens[j - 1].end), j


def _numbers(far: Repeated) -> str:
    return " ".join(str(int(number)) for number in far)
