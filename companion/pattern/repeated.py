"""How far rounds are repeated: "4 more times", "for 8 more rows", "until you have 11 rows", "to row 11"."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from companion.pattern.lexer import Token
from companion.pattern.syntax import NOT_SAID, Repeated
from companion.pattern.tokenkinds import CLAUSE_ENDS

_THROUGH: Final = frozenset({"through", "thru"})
_DONE: Final = frozenset({
    "been", "worked", "completed", "complete", "done", "made", "reached", "finished", "is", "are", "exist",
})  # fmt: skip


def how_far(tokens: Sequence[Token], j: int, end: int) -> tuple[Repeated, int]:
    """How far rounds are repeated, as is said at `j`, and the index after it; `NOT_SAID` and `j` where it is not."""
    k = j + 1 if j < end and tokens[j].value == "," else j
    of_rounds = k + 1 < end and tokens[k + 1].type == "ROUND"
    if k < end and tokens[k].type in ("OFTEN", "MORE_TIMES") and not of_rounds:
        return Repeated(int(tokens[k].value)), k + 1
    found = _to_a_number(tokens, k, end) or _so_many(tokens, k, end)
    if found is None:
        return NOT_SAID, j
    k = found[1]
    while k < end and tokens[k].value in _DONE:
        k += 1
    return (found[0], k) if k >= end or tokens[k].type in CLAUSE_ENDS else (NOT_SAID, j)


def _to_a_number(tokens: Sequence[Token], k: int, end: int) -> tuple[Repeated, int] | None:
    """ "To row 11", "through row 11", "until row 11", "up to and including row 11", "for rows 4-11"."""
    kinds = [token.type for token in tokens[k : min(k + 4, end)]]
    if kinds[:2] == ["ROUND", "NUM"] and kinds[2:3] in (["DASH"], ["TO"]) and kinds[3:4] == ["NUM"]:
        first, last = int(tokens[k + 1].value), int(tokens[k + 3].value)
        return (Repeated(rows=last - first + 1, upto=last), k + 4) if first <= last else None
    including = kinds[:3] == ["UNTIL", "AND", "INCLUDES"]
    at = k + 3 if including else k + 1
    if [token.type for token in tokens[at : min(at + 2, end)]] != ["ROUND", "NUM"]:
        return None
    sure = including or kinds[0] == "TO" or (kinds[0] == "IN" and tokens[k].value in _THROUGH)
    return (Repeated(upto=int(tokens[at + 1].value), unsure=not sure), at + 2) if sure or kinds[0] == "UNTIL" else None


def _so_many(tokens: Sequence[Token], k: int, end: int) -> tuple[Repeated, int] | None:
    """ "For 8 more rows", "until you have 8 more rows"; "until 11 rows have been worked", "for a total of 11 rows"."""
    until = k < end and tokens[k].type == "UNTIL"
    in_all, said = False, k
    while said < end and tokens[said].type in ("UNTIL", "MAKES", "IN_ALL"):
        in_all |= tokens[said].type != "UNTIL"
        said += 1
    if said + 1 >= end or tokens[said + 1].type != "ROUND" or tokens[said].type not in ("NUM", "MORE_TIMES"):
        return None
    n, after = int(tokens[said].value), said + 2
    if tokens[said].type == "MORE_TIMES":
        return Repeated(rows=n), after
    while after < end and tokens[after].type in ("MAKES", "IN_ALL"):
        in_all, after = True, after + 1
    if until:
        return Repeated(upto=n), after
    return (Repeated(rows=n, upto=n, unsure=True) if in_all else Repeated(rows=n)), after
