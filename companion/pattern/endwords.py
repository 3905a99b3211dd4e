"""Words for shaping at the ends of a row: "inc 1 st at each end", "dec at end of row", "inc in first and last st".

What is said so becomes one token of the grammar, together with the plain stitches between that are said beside it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from companion.pattern.clauses import LOOPS
from companion.pattern.lexer import Token
from companion.pattern.tokenkinds import STITCHY
from companion.pattern.totals import is_total_at

_BETWEEN_CLAUSES: Final = frozenset({"SEP", "AND", "WITH", "THEN", "COLON"})
_ENDS: Final = _BETWEEN_CLAUSES | {"OPEN", "CLOSE", "STAR", "DASH", "EQUALS"}
_SHAPED: Final = frozenset({"INC", "DEC", "TOG"})
_WORK: Final = (STITCHY - {"CH"}) | {"STAR", "REPEAT", "REPSTAR", "OFTEN", "MORE_TIMES", "OFTEN_IN_ALL", "AS"}
_LONGEST: Final = 40
"""Tokens of the longest bracket that is looked into."""


def shaped_at_ends(tokens: list[Token]) -> list[Token]:
    """The tokens with such a phrase as one ENDS_SHAPED "1|stitch|terminal|word|plain stitch|both", or first, or last.

    The number is 0 where it can be said of a round, too. All stay as they are where the row has other stitches.
    """
    for k, token in enumerate(tokens):
        found = _said(tokens, k) if token.type in _SHAPED or token.type == "STITCH" else None
        if found is None:
            continue
        begin, end, stitch, shaping, ends = found
        of_row = int(tokens[end - 1].type not in ("LAST", "ST"))  # a round has no ends, but a first and a last stitch
        before, plain_before = _plain_before(tokens, begin)
        after, plain_after = _plain_after(tokens, end)
        if plain_before and plain_after:
            return tokens
        if _has_work(tokens[:before]) or _has_work(tokens[after:]):
            return tokens
        plain = plain_before or plain_after or stitch
        value = f"{of_row}|{stitch}|{shaping.type}|{shaping.value}|{plain}|{ends}"
        shaped = Token("ENDS_SHAPED", value, tokens[before].start, tokens[after - 1].end)
        return [*tokens[:before], shaped, *tokens[after:]]
    return tokens


def _said(tokens: Sequence[Token], k: int) -> tuple[int, int, str, Token, str] | None:
    """Where the phrase around the shaping at `k` begins and ends, the stitch said, the shaping, and at which ends."""
    shaping, begin, stitch, ends = tokens[k], k, "", "both"
    if shaping.type == "STITCH":  # "2 sc in first and last st"
        twice = k and (tokens[k - 1].type, tokens[k - 1].value) == ("NUM", 2)
        if not twice or not (end := _first_and_last(tokens, k + 1)):
            return None
        begin, stitch, shaping = k - 1, str(shaping.value), shaping._replace(type="INC", value="inc")
    else:
        j = k + 1
        if begin and tokens[begin - 1].type == "STITCH" and shaping.type != "TOG":
            begin, stitch = begin - 1, str(tokens[begin - 1].value)
        if begin and (tokens[begin - 1].type, tokens[begin - 1].value) == ("NUM", 1):
            begin -= 1
        elif j < len(tokens) and (tokens[j].type, tokens[j].value) == ("NUM", 1):
            j += 1
            if j < len(tokens) and tokens[j].type == "STITCH" and not stitch:  # "inc 1 dc at each end"
                j, stitch = j + 1, str(tokens[j].value)
        if j < len(tokens) and tokens[j].type == "ST":
            j += 1
        end = _both_ends(tokens, j) or _first_and_last(tokens, j)
        if not end:
            end, ends = _one_end(tokens, j)
    closed = end == len(tokens) or tokens[end].type in _ENDS
    opened = not begin or tokens[begin - 1].type in _ENDS
    return (begin, end, stitch, shaping, ends) if end and closed and opened else None


def _both_ends(tokens: Sequence[Token], j: int) -> int:
    """The index after "at each end of row", "at both ends", "each side", "at beg and end"; 0 where that is not said."""
    types = [t.type for t in tokens[j : j + 5]]
    placed = types[:1] == ["ON"] or (types[:1] == ["IN"] and tokens[j].value == "at")
    if placed:
        j, types = j + 1, types[1:]
    each = types[:1] == ["EACH"] and tokens[j].value == "each"
    if each:
        j, types = j + 1, types[1:]
    elif placed and (types[:2] == ["FIRST", "AND"] or types[:1] == ["AND"]):  # "at beg and end", "at start and end"
        at = types.index("AND") + 1
        j, types, each = j + at, types[at:], True
        if types[:1] == ["IN"]:
            j, types = j + 1, types[1:]
    if not (placed or each) or types[:1] not in (["END"], ["SIDE"], ["ROW_END"]):
        return 0
    word = str(tokens[j].value)
    if types[0] == "ROW_END":
        return j + 1 if each and word == "end of row" else 0
    if not each and word not in ("ends", "sides"):
        return 0
    of_row = types[1:3] == ["OF", "ROUND"] and tokens[j + 2].value == "row"
    return j + 3 if of_row else j + 1


def _one_end(tokens: Sequence[Token], j: int) -> tuple[int, str]:
    """The index after "at end of row", "at beg of row", and which end that is; 0 where that is not said."""
    types = [t.type for t in tokens[j : j + 4]]
    if types[:1] != ["IN"] or tokens[j].value != "at":
        return 0, ""
    if types[1:2] in (["ROW_END"], ["END"]) and tokens[j + 1].value in ("end of row", "end"):
        return j + 2, "last"
    if types[1:] == ["FIRST", "OF", "ROUND"] and tokens[j + 3].value == "row":
        return j + 4, "first"
    return 0, ""


def _first_and_last(tokens: Sequence[Token], j: int) -> int:
    """The index after "in first and last st", "in first st and in last st"; 0 where that is not said."""
    for kind in ("IN", "FIRST", "ST", "AND", "IN", "LAST", "ST"):
        if j < len(tokens) and tokens[j].type == kind:
            j += 1
        elif kind in ("FIRST", "AND", "LAST"):
            return 0
    return j


def _plain_before(tokens: Sequence[Token], begin: int) -> tuple[int, str]:
    """Where plain stitches said before the phrase begin, and the stitch; the phrase itself where there are none."""
    end = begin
    while end and tokens[end - 1].type in _BETWEEN_CLAUSES:
        end -= 1
    k = end
    while k and tokens[k - 1].type not in _ENDS:
        k -= 1
    while k < end and tokens[k].type in LOOPS:  # "BLO sc across, inc 1 st at each end": all of it
        k += 1
    stitch = _plain(tokens[k:end])
    return (k, stitch) if stitch else (begin, "")


def _plain_after(tokens: Sequence[Token], end: int) -> tuple[int, str]:
    """The same of plain stitches after the phrase: where they end."""
    k = end
    while k < len(tokens) and tokens[k].type in _BETWEEN_CLAUSES:
        k += 1
    stop = k
    while stop < len(tokens) and tokens[stop].type not in _ENDS:
        stop += 1
    stitch = _plain(tokens[k:stop])
    return (stop, stitch) if stitch else (end, "")


def _plain(clause: Sequence[Token]) -> str:
    """The stitch of "sc across", "sc in each st", "sc between", "sc in all others"; empty for all else."""
    types = [t.type for t in clause]
    if types[:1] != ["STITCH"] or len(types) < 2:
        return ""
    rest = [kind for kind in types[1:] if kind not in ("IN", "ST")]
    rest = ["EACH" if kind == "IN_ALL" else kind for kind in rest]
    if rest[:1] == ["EACH"]:
        rest = rest[1:]
    elif not rest:
        return ""
    return str(clause[0].value) if rest in ([], ["ACROSS"], ["AROUND"], ["BETWEEN"]) else ""


def _has_work(tokens: Sequence[Token]) -> bool:
    """Whether anything but chains is worked or repeated there; stitches that a total in brackets counts are not."""
    k = 0
    while k < len(tokens):
        if tokens[k].type == "OPEN":
            close = next((j for j in range(k, min(len(tokens), k + _LONGEST)) if tokens[j].type == "CLOSE"), k)
            if not is_total_at(tokens, k) and all(t.type != "COUNTS" for t in tokens[k:close]):
                return True
            k = close
        elif tokens[k].type in _WORK:
            return True
        k += 1
    return False
