"""Words for increases and decreases spread evenly: "inc 6 sts evenly around", "6 decreases evenly spaced".

What is said so becomes one token of the grammar, and beside other stitches "evenly" means no more than "around".
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

from companion.pattern.lexer import Token
from companion.pattern.totals import is_total_at

_ENDS: Final = frozenset({"SEP", "OPEN", "CLOSE", "STAR", "COLON", "DASH", "EQUALS", "AND", "THEN", "REPSTAR", "WITH"})
_WORKED: Final = frozenset({"STITCH", "INC", "DEC", "TOG", "GATHER", "SPREAD", "EVENLY_SHAPED", "THEM"})
_SHAPED: Final = frozenset({"INC", "DEC", "TOG"})
_BEFORE: Final = frozenset({"NUM", "STITCH", "EVENLY", "OFTEN"})
_STRETCH: Final = frozenset({"OVER", "IN", "ACROSS", "TO_LAST"})


class _Said(NamedTuple):
    """The words from one token to another: how many (None: not said), of what stitch, by which shaping."""

    begin: int
    end: int
    n: int | None
    stitch: str
    shaping: Token
    target: Token | None


def spread_evenly(tokens: list[Token], text: str) -> list[Token]:
    """The tokens with each such phrase as one EVENLY_SHAPED "number|stitch|terminal|word", the number empty if unsaid.

    "Increase evenly to 30 sts" leaves the 30 behind it as a total.
    """
    tokens = _said_apart(tokens)
    out: list[Token] = []
    begin, alone = 0, True  # nothing is worked before, or plain stitches all around, which increases are then among
    while begin < len(tokens):
        end = begin
        while end < len(tokens) and tokens[end].type not in _ENDS:
            end += 1
        clause = _places_open(tokens, begin, end, alone=alone) or _clause(tokens, begin, end, text, alone=alone)
        out += clause
        if any(t.type in ("AROUND", "ACROSS") for t in clause):
            alone = True
        elif any(t.type in _WORKED for t in clause):
            alone = False
        out += tokens[end : end + 1]
        begin = end + 1
        closed = [t.type for t in out[-2:]] == ["EVENLY_SHAPED", "CLOSE"]
        if closed and _number_alone(tokens, begin):  # "(sc, increasing 6 evenly) 24": all around once, and its total
            out += _as_total(tokens[begin])
            begin += 1
    return out


def _places_open(tokens: Sequence[Token], begin: int, end: int, *, alone: bool) -> list[Token]:
    """ "inc 6 sts" with nothing else in the round, or plain stitches all around: spread evenly, as far as is said."""
    clause = tokens[begin:end]
    kinds = [t.type for t in clause]
    if kinds not in (["INC", "NUM", "ST"], ["DEC", "NUM", "ST"]) or clause[1].value == 1 or not alone:
        return []
    k = end
    while k < len(tokens):
        if is_total_at(tokens, k):
            k = next(j for j in range(k, len(tokens)) if tokens[j].type == "CLOSE")
        elif tokens[k].type == "STITCH" and (stop := _all_around(tokens, k)):
            k = stop
        elif tokens[k].type in _WORKED | {"OFTEN", "REPEAT", "REPSTAR", "STAR"}:
            return []
        k += 1
    if any(t.type in ("OPEN", "STAR") for t in tokens[:begin]):
        return []
    value = f"{clause[1].value}||{clause[0].type}|{clause[0].value}"
    return [Token("EVENLY_SHAPED", value, clause[0].start, clause[-1].end)]


def _all_around(tokens: Sequence[Token], k: int) -> int:
    """The index of the last token of "sc in each st around" at `k`; 0 where that is not all of a clause."""
    j = k + 1
    while j < len(tokens) and tokens[j].type in ("IN", "EACH", "ST"):
        j += 1
    closed = j + 1 >= len(tokens) or tokens[j + 1].type in _ENDS
    return (
        j
        if j < len(tokens) and tokens[j].type in ("AROUND", "ACROSS") and tokens[k - 1].type in _ENDS and closed
        else 0
    )


def _said_apart(tokens: list[Token]) -> list[Token]:
    """ "6 increases, evenly spaced", "inc 6 (evenly around)": one clause with what is spread."""
    row: list[Token] = []
    k = 0
    while k < len(tokens):
        j = k + 1
        while j < len(tokens) and tokens[j].type in ("EVENLY", "AROUND"):
            j += 1
        apart = tokens[k].type in ("SEP", "OPEN") and j > k + 1 and tokens[k + 1].type == "EVENLY"
        if apart and _counts_shaping(row) and (j == len(tokens) or tokens[j].type in _ENDS):
            row += tokens[k + 1 : j]
            if tokens[k].type == "OPEN" and j < len(tokens) and tokens[j].type == "CLOSE":
                row[-1] = row[-1]._replace(end=tokens[j].end)
                j += 1
            k = j
        else:
            row.append(tokens[k])
            k += 1
    return row


def _counts_shaping(before: Sequence[Token]) -> bool:
    """Whether the last clause is so many increases or decreases, and nothing else."""
    k = len(before)
    while k and before[k - 1].type not in _ENDS:
        k -= 1
    types = {t.type for t in before[k:]}
    return bool(types & _SHAPED) and bool(types & {"NUM", "OFTEN"}) and types <= _SHAPED | _BEFORE | {"ST"}


def _number_alone(tokens: Sequence[Token], k: int) -> bool:
    return k < len(tokens) and tokens[k].type == "NUM" and (k + 1 == len(tokens) or tokens[k + 1].type in _ENDS)


def _as_total(number: Token) -> tuple[Token, Token, Token]:
    start, end = number.start, number.end
    return Token("OPEN", "=", start, start), number, Token("CLOSE", "=", end, end)


def _clause(tokens: Sequence[Token], begin: int, end: int, text: str, *, alone: bool) -> list[Token]:
    k = next((k for k in range(begin, end) if tokens[k].type in _SHAPED), None)
    if k is None and (several := _several_in_one(tokens[begin:end])):
        return several
    if k is None:
        return _elsewhere(tokens[begin:end])
    said = _said(tokens, begin, k, end, text, alone=alone)
    if said is None:
        return _left_open(tokens[begin:end])
    first, last = tokens[said.begin], tokens[said.end - 1]
    number = "" if said.n is None else said.n
    value = f"{number}|{said.stitch}|{said.shaping.type}|{said.shaping.value}"
    row = _elsewhere(tokens[begin : said.begin])
    if row:
        row.append(Token("SEP", "", first.start, first.start))
    row.append(Token("EVENLY_SHAPED", value, first.start, last.end))
    if said.target is not None:
        row += _as_total(said.target)
    following = list(tokens[said.end : end])
    if following and following[0].type == "ACROSS":
        following[0] = following[0]._replace(type="OVER")  # "evenly across next 12 sts"
    return row + following


def _several_in_one(clause: Sequence[Token]) -> list[Token]:
    """ "2 sc in 6 evenly spaced sts": six increases; nothing where the clause is not just that."""
    types = [t.type for t in clause if t.type not in ("AROUND", "ACROSS", "EACH")]
    if types != ["NUM", "STITCH", "IN", "NUM", "EVENLY", "ST"] or not 2 <= int(clause[0].value) <= 9:
        return []
    often = next(t for t in clause[2:] if t.type == "NUM")
    stitch = clause[1].value
    value = f"{often.value}|{stitch}|TOG|{stitch}{clause[0].value}inc"
    return [Token("EVENLY_SHAPED", value, clause[0].start, clause[-1].end)]


def _elsewhere(tokens: Sequence[Token]) -> list[Token]:
    """ "sc evenly around", "6 sc evenly spaced around": the round, and no more."""
    row: list[Token] = []
    for k, token in enumerate(tokens):
        if token.type != "EVENLY":
            row.append(token)
            continue
        beside = (*(t.type for t in tokens[k + 1 : k + 2]), *(t.type for t in tokens[k - 1 : k] if k))
        spaced = "spaced" in str(token.value) and beside[:1] != ("ST",)  # but not "in 6 evenly spaced sts"
        if not spaced and not {"AROUND", "ACROSS"} & set(beside):
            row.append(token._replace(type="AROUND"))
    return row


def _left_open(tokens: Sequence[Token]) -> list[Token]:
    """ "1 sc, 1 inc evenly around": the round, but with the mark that how it is spread is not said."""
    if not any(token.type == "EVENLY" for token in tokens):
        return list(tokens)
    row: list[Token] = []
    for token in tokens:
        if token.type == "AROUND" and row and row[-1].value == "evenly":
            row[-1] = row[-1]._replace(end=token.end)
        elif token.type == "EVENLY":
            row.append(token._replace(type="AROUND", value="evenly"))
        elif token.type != "AROUND":
            row.append(token)
    return row


def _said(tokens: Sequence[Token], begin: int, k: int, end: int, text: str, *, alone: bool) -> _Said | None:
    """What is said around the shaping at `k`, None where it is not of shaping that is spread.

    `alone`: nothing is worked before it in the round, or plain stitches all around.
    """
    first = k
    while first > begin and tokens[first - 1].type in _BEFORE:
        first -= 1
    numbers: list[int] = []
    stitch, spread = "", False
    target: Token | None = None
    for token in tokens[first:k]:
        spread = spread or token.type == "EVENLY"
        if token.type == "STITCH":
            stitch = str(token.value)
        elif token.type in ("NUM", "OFTEN"):
            numbers.append(int(token.value))
    j, around = k + 1, False
    while j < end:
        token = tokens[j]
        kind = token.type
        if kind == "EVENLY":
            spread = True
        elif kind == "AROUND" or (kind == "ACROSS" and j + 1 == end):
            around = True
        elif kind == "OFTEN" and not around:
            numbers.append(int(token.value))
            around = text[token.start : token.end].lower().endswith("around")
        elif kind == "NUM" and not numbers and not around:
            numbers.append(int(token.value))
        elif kind == "ST" and tokens[j - 1].type == "NUM":
            pass
        elif kind in ("IN", "EACH") and not numbers and any(t.type == "EVENLY" for t in tokens[j:end]):
            pass  # "inc in each of 6 sts evenly spaced"
        elif kind in ("IN", "ON", "OVER", "ACROSS") and (stop := _the_round(tokens, j, end)):
            j, around = stop - 1, True
        elif kind == "TO" and not numbers and j + 1 < end and tokens[j + 1].type == "NUM":
            target, j = tokens[j + 1], j + 1
        else:
            break
        j += 1
    rest = tokens[j].type if j < end else ""
    # Without "evenly", "3 sc inc around" may be three stitches and increases; "1 sc, 1 inc around" is the two of them
    # all around, and so may be "1 sc, 1 inc evenly around".
    plain_words = around and not stitch and alone and numbers != [1] and bool(numbers)
    spread = spread and (alone or numbers != [1])
    if not (spread or plain_words) or len(numbers) > 1 or (rest and rest not in _STRETCH):
        return None
    return _Said(first, j, numbers[0] if numbers else None, stitch, tokens[k], target)


def _the_round(tokens: Sequence[Token], j: int, end: int) -> int:
    """The index after "in rnd", "on this row", "in each round"; 0 where that is not said."""
    k = j + 1
    while k < end and tokens[k].type in ("EACH", "SAME", "NEXT"):
        k += 1
    return k + 1 if k < end and tokens[k].type == "ROUND" else 0
