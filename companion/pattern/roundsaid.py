"""Rounds that are counted in the instructions: "2 rounds even in sc", "4 rounds of sc", "sc around, 4 rounds"."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from companion.pattern.lexer import Token
from companion.pattern.tokenkinds import CLAUSE_ENDS, STITCHY, begins_clause, type_at

Found = tuple[tuple[Token, ...], int] | None
"""What stands in place of the tokens from a place on, and the index after them; None where nothing is special."""

_FULL: Final = frozenset({"EVEN", "AROUND", "ST"})
"""Words after which "for 3 rounds" goes on with the same clause."""

_MOST_IN_EACH: Final = 5
"""Stitches in each stitch of a round beyond which "each" alone is said of rounds: common practice, no source."""

_OF_ROUNDS: Final = frozenset({"each", "every", "ea", "per"})


def rounds_said(tokens: Sequence[Token], i: int, out: Sequence[Token]) -> Found:
    """What "4 rounds" at `i` says: how many there are of this round, or a stitch all around and how many of that."""
    return _even(tokens, i, out) or _all_around(tokens, i, out) or _beside(tokens, i, out)


def so_many_times_rounds(tokens: Sequence[Token], i: int, out: Sequence[Token]) -> Found:
    """ "sc around x 4 rounds"."""
    follows = tokens[i].value == "x" and type_at(tokens, i + 1) == "NUM" and type_at(tokens, i + 2) == "ROUND"
    if not follows or type_at(tokens, i + 3) not in CLAUSE_ENDS or not out or _in_a_bracket(out):
        return None
    return _counted(tokens[i + 1].value, tokens[i].start, tokens[i + 2].end), i + 3


def each_round(tokens: Sequence[Token], i: int, out: Sequence[Token]) -> Found:
    """ "24 sc each", "24 sc in each round", of several rounds: nothing more is said of their stitches."""
    counted = sorted(token.type for token in out[-2:]) == ["NUM", "STITCH"]
    j = i + 1 if tokens[i].type == "EACH" else i + 2
    if not counted or type_at(tokens, j - 1) != "EACH" or tokens[j - 1].value not in _OF_ROUNDS:
        return None
    if type_at(tokens, j) == "ROUND":
        return ((), j + 1) if type_at(tokens, j + 1) in CLAUSE_ENDS else None
    many = any(token.type == "NUM" and int(token.value) > _MOST_IN_EACH for token in out[-2:])
    return ((), j) if j == i + 1 and many and type_at(tokens, j) in CLAUSE_ENDS else None


def even_in(tokens: Sequence[Token], even: Token, j: int) -> tuple[tuple[Token, ...], int]:
    """ "even" or, where a stitch is said after it, that stitch all around; and the index after it."""
    if [t.type for t in tokens[j : j + 2]] != ["IN", "STITCH"]:
        return (even,), j
    stitch = tokens[j + 1]
    return (stitch._replace(start=even.start), Token("AROUND", "to end", stitch.end, stitch.end)), j + 2


def _even(tokens: Sequence[Token], i: int, out: Sequence[Token]) -> Found:
    """ "2 rounds even in sc": a round, and how many there are of it."""
    j = i + 2
    if not begins_clause(out) or type_at(tokens, j) != "EVENLY" or tokens[j].value != "even":
        return None
    even, after = even_in(tokens, tokens[j]._replace(type="EVEN", start=tokens[i].start), j + 1)
    if type_at(tokens, after) not in CLAUSE_ENDS:
        return None
    return (*even, *_counted(tokens[i].value, even[-1].end, even[-1].end)), after


def _all_around(tokens: Sequence[Token], i: int, out: Sequence[Token]) -> Found:
    """ "1 round sc", "3 rows of hdc", "sc 1 round": the stitch all around, and how many there are of it."""
    number, unit = tokens[i], tokens[i + 1]
    way = "across" if str(unit.value).startswith("row") else "around"
    around = Token("AROUND", way, number.start, unit.end)
    count = _counted(number.value, unit.end, unit.end) if number.value != 1 else ()
    if out and out[-1].type == "STITCH" and begins_clause(out[:-1]):
        return ((around, *count), i + 2) if type_at(tokens, i + 2) in CLAUSE_ENDS or not count else None
    j = i + 3 if type_at(tokens, i + 2) == "OF" else i + 2
    if not begins_clause(out) or type_at(tokens, j) != "STITCH" or type_at(tokens, j + 1) not in CLAUSE_ENDS:
        return None
    stitch, end = tokens[j]._replace(start=number.start), tokens[j].end
    return (stitch, around._replace(start=end, end=end), *(one._replace(start=end, end=end) for one in count)), j + 1


def _beside(tokens: Sequence[Token], i: int, out: Sequence[Token]) -> Found:
    """ "sc around for 3 rounds", "12 sc for 3 rounds", "sc around (12), 3 rounds in all", "3 rounds: sc around"."""
    j = i + 3 if type_at(tokens, i + 2) == "IN_ALL" else i + 2
    if type_at(tokens, j) not in CLAUSE_ENDS:
        return None
    goes_on = bool(out) and (out[-1].type in _FULL or _counted_motion(out))
    alone = begins_clause(out) and not _in_a_bracket(out)
    return (_counted(tokens[i].value, tokens[i].start, tokens[j - 1].end), j) if goes_on or alone else None


def _counted(n: str | int, start: int, end: int) -> tuple[Token, Token]:
    """Tokens that say, in a clause of their own, that there are so many rounds."""
    return Token("SEP", "", start, start), Token("COUNT_OF_ROUNDS", n, start, end)


def _counted_motion(out: Sequence[Token]) -> bool:
    """Whether "12 sc" or "sc 12" is just complete."""
    types = [token.type for token in out[-2:]]
    return len(types) == 2 and "NUM" in types and (types[0] in STITCHY or types[1] in STITCHY)


def _in_a_bracket(out: Sequence[Token]) -> bool:
    """Whether a bracket is open: those of "(12 sts, 4 rounds)" are looked at as a whole."""
    types = [token.type for token in out]
    return types.count("OPEN") > types.count("CLOSE")
