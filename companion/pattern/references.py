"""References to other rounds: "repeat rounds 3 and 4", "as round 2 of the body", "as for the first leg"."""

from __future__ import annotations

from collections.abc import Sequence

from companion.pattern.lexer import Token


def as_round(tokens: Sequence[Token], i: int, end: int, text: str) -> tuple[Token, int] | None:
    """ "repeat rounds 3 and 4", "as round 2", "as for body": one token "3-4|name", and the index after it."""
    j = i + 1
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
        name = ""
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
        return Token("AS_ROUND", f"{first}-{last}|{name}", tokens[i].start, tokens[j - 1].end), j
    if tokens[i].type == "AS":
        k = j
        while k < end and tokens[k].type in ("WORD", "FIRST", "ORD", "NUM", "LAST", "OTHER"):
            k += 1
        if k > j and any(t.type == "WORD" for t in tokens[j:k]):
            return Token(
                "AS_ROUND", f"0-0|{text[tokens[j].start : tokens[k - 1].end]}", tokens[i].start, tokens[k - 1].end
            ), k
    return None
