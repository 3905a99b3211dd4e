"""Words that mean another thing beside others: "1st" of the round or from the hook, "round" for "around"."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from companion.pattern.lexer import Token
from companion.pattern.roundsaid import Found, each_round, even_in, rounds_said, so_many_times_rounds
from companion.pattern.syntax import ANY_SPACE
from companion.pattern.tokenkinds import CLAUSE_ENDS, STITCHY, UNIT, begins_clause, type_at

TO_CORNER: Final = "to corner"
"""How the value of a token begins that says to go up to a corner."""

_LOOP_WORDS: Final = frozenset({"loop", "loops", "lp", "lps"})
_STEPS: Final = frozenset({"steps", "instructions", "step", "things", "moves"})
_PLACING: Final = frozenset({
    "NEXT", "EACH", "FIRST", "LAST", "SAME", "ST", "STITCH", "ORD",
})  # fmt: skip


def _limit(tokens: Sequence[Token], i: int, out: Sequence[Token]) -> Found:
    if found := _to_last(tokens, i):
        return (found[0],), found[1]
    if tokens[i].type == "TO" and out and out[-1].type == "SLST" and type_at(tokens, i + 1) == "NEXT":
        return (tokens[i]._replace(type="IN"),), i + 1  # "sl st to next st"
    if tokens[i].type != "WITHIN" and not (out and out[-1].type == "SLST") and (corner := _to_corner(tokens, i)):
        return corner
    return None


def _across(tokens: Sequence[Token], i: int, out: Sequence[Token]) -> Found:
    """ "dc in each st across to next corner": the way ends at the corner. "Sc across next 3 sts": in each of them."""
    if type_at(tokens, i + 1) in ("TO", "UNTIL"):
        return _to_corner(tokens, i + 1)
    j = i + 1 + (type_at(tokens, i + 1) in ("NEXT", "FIRST", "LAST"))
    several = type_at(tokens, j) == "NUM" and (j > i + 1 or type_at(tokens, j + 1) in UNIT)
    return _over(tokens, i, out) if several else None


def _over(tokens: Sequence[Token], i: int, out: Sequence[Token]) -> Found:
    """ "Sc over next 3 sts" is one in each, as in "sc in next 3 sts"; "sc3tog" and clusters are made over them."""
    made = [token.type for token in out[-2:]]
    plain = made[-1:] in (["STITCH"], ["SLST"]) or made in (["STITCH", "NUM"], ["SLST", "NUM"])
    return ((tokens[i]._replace(type="IN"),), i + 1) if plain else None


def _number(tokens: Sequence[Token], i: int, out: Sequence[Token]) -> Found:
    if type_at(tokens, i + 1) == "TIMES" and _times_first(tokens, i, out):
        return (tokens[i],), i + 2
    if [t.type for t in tokens[i + 1 : i + 3]] == ["TIMES", "OVER"] and type_at(tokens, i + 3) in CLAUSE_ENDS:
        return (tokens[i]._replace(type="OFTEN", end=tokens[i + 2].end),), i + 3  # "six times over"
    after = [t.type for t in tokens[i + 1 : i + 4]]
    if after == ["MORE", "NUM", "TIMES"] or (after[:2] == ["TIMES", "NUM"] and _of_rounds(out)):
        return (tokens[i],), i + 1  # "rows 2 and 3 another 4 times", "rows 2-3 x 4": the number of a round
    if type_at(tokens, i + 1) == "ST" and _all_said(tokens, i, out):
        return (tokens[i],), i + 2  # "sc 12 sts"
    return rounds_said(tokens, i, out) if type_at(tokens, i + 1) == "ROUND" else None


def _of_rounds(out: Sequence[Token]) -> bool:
    """Whether a number is the next of "rows 2 and", or the first of "row"."""
    k = len(out)
    while k > 1 and out[k - 1].type in ("DASH", "AND", "TO", "SEP") and out[k - 2].type == "NUM":
        k -= 2
    return k > 0 and out[k - 1].type == "ROUND"


def _all_said(tokens: Sequence[Token], i: int, out: Sequence[Token]) -> bool:
    """Whether a clause is just one stitch, the number at `i` and "sts", perhaps with "around"."""
    begins = bool(out) and out[-1].type == "STITCH" and begins_clause(out[:-1])
    return begins and type_at(tokens, i + 2) in CLAUSE_ENDS | {"AROUND", "ACROSS"}


def _repeat(tokens: Sequence[Token], i: int, out: Sequence[Token]) -> Found:
    """ "repeat these 2 steps": a REPEAT of value 2, in a clause of its own."""
    number, unit = tokens[i + 1 : i + 2], tokens[i + 2 : i + 3]
    if not str(tokens[i].value).endswith(("these", "this", "that")) or [t.type for t in number] != ["NUM"]:
        return None
    if not unit or not (unit[0].type == "ST" or unit[0].value in _STEPS):
        return None
    repeat = tokens[i]._replace(value=number[0].value, end=unit[0].end)
    closed = begins_clause(out)
    return ((repeat,) if closed else (Token("SEP", "", repeat.start, repeat.start), repeat)), i + 3


def _even(tokens: Sequence[Token], i: int, _: Sequence[Token]) -> Found:
    """ "work even in sc": the stitch all around."""
    even, after = even_in(tokens, tokens[i], i + 1)
    return (even, after) if after > i + 1 else None


def _even_round(tokens: Sequence[Token], i: int, _: Sequence[Token]) -> Found:
    """ "Even rnd in sc"."""
    return (
        even_in(tokens, tokens[i], i + 2) if tokens[i].value == "even" and type_at(tokens, i + 1) == "ROUND" else None
    )


def _in(tokens: Sequence[Token], i: int, out: Sequence[Token]) -> Found:
    """ "Continue in sc", "in hdc around": the stitch all around."""
    if (found := each_round(tokens, i, out)) is not None:
        return found
    if not begins_clause(out) or type_at(tokens, i + 1) != "STITCH":
        return None
    if type_at(tokens, i + 2) in ("AROUND", "ACROSS"):
        return (tokens[i + 1],), i + 2
    return even_in(tokens, tokens[i], i) if type_at(tokens, i + 2) in CLAUSE_ENDS else None


def _in_all(tokens: Sequence[Token], i: int, _: Sequence[Token]) -> Found:
    token = tokens[i]
    following = type_at(tokens, i + 1)
    if token.value == "in all" and (following == "OTHER" or (following == "EACH" and tokens[i + 1].value == "others")):
        others = Token("EACH", "others", tokens[i + 1].start, tokens[i + 1].end)
        return (token._replace(type="IN", value="in"), others), i + 2  # "in all other sts", "in all others"
    if token.value == "in all" and (following in UNIT or following == "NUM"):
        return (token._replace(type="IN", value="in"), token._replace(type="EACH", value="all")), i + 1
    return None


def _same(tokens: Sequence[Token], i: int, _: Sequence[Token]) -> Found:
    """ "st at base of ch 3"."""
    if str(tokens[i].value).endswith("ch") and type_at(tokens, i + 1) == "NUM":
        return (tokens[i]._replace(end=tokens[i + 1].end),), i + 2
    return None


def _ordinal(tokens: Sequence[Token], i: int, _: Sequence[Token]) -> Found:
    """ "sl st in 1st st" counts from the beginning of the round; "1st ch from hook", "1st st of" do not."""
    if tokens[i].value == 3 and type_at(tokens, i + 1) == "SPACE" and tokens[i + 1].value in _LOOP_WORDS:
        return (Token("THIRD_LOOP", "third", tokens[i].start, tokens[i + 1].end),), i + 2  # "hdc in 3rd loop only"
    if tokens[i].value == 1 and type_at(tokens, i + 1) in UNIT and type_at(tokens, i + 2) not in ("HOOK", "OF"):
        return (tokens[i]._replace(type="FIRST"),), i + 1
    return None


def _round(tokens: Sequence[Token], i: int, out: Sequence[Token]) -> Found:
    """ "dc in each st round", "rep from * round", as UK writers have it."""
    after_it = bool(out) and (out[-1].type in UNIT or out[-1].type in ("REPEAT", "REPSTAR"))
    if tokens[i].value == "round" and after_it and type_at(tokens, i + 1) in CLAUSE_ENDS:
        return (tokens[i]._replace(type="AROUND"),), i + 1
    return None


def _around(tokens: Sequence[Token], i: int, out: Sequence[Token]) -> Found:
    token = tokens[i]
    if token.value == "to join" and _clause_slips(out):
        return (token._replace(type="JOIN"),), i + 1
    if str(token.value).startswith("rest of") and out and out[-1].type == "IN":
        return (token._replace(type="EACH"),), i + 1  # "sc in the rest of the round"
    if token.value == "around" and _around_a_post(tokens, i):
        return (token._replace(type="IN"),), i + 1
    return None


def _clause_slips(out: Sequence[Token]) -> bool:
    """Whether the clause so far is a slip stitch: "sl st to the first dc to join"."""
    for token in reversed(out):
        if token.type == "SLST":
            return True
        if token.type not in ("IN", "TO", "FIRST", "ST", "STITCH", "TOP", "OF", "CH", "NUM", "SAME"):
            return False
    return False


def _around_a_post(tokens: Sequence[Token], i: int) -> bool:
    """ "fpdc around next st": the post of a stitch; but not "around first leg"."""
    j = i + 1
    if j >= len(tokens) or tokens[j].type not in _PLACING:
        return False
    while j < len(tokens) and tokens[j].type in (*_PLACING, "OF", "NUM"):
        if tokens[j].type in UNIT:
            return True
        j += 1
    return j < len(tokens) and tokens[j].type in UNIT


def _to_corner(tokens: Sequence[Token], i: int) -> Found:
    """ "dc in each st to next corner", "to ch-2 sp": one token, "to corner" with its number of chains if it is said."""
    j = i + 1
    while type_at(tokens, j) in ("NEXT", "FIRST", "EACH"):
        j += 1
    corner = type_at(tokens, j) == "CORNER"
    j += corner
    chains = ""
    if [type_at(tokens, j), type_at(tokens, j + 1)] == ["CH", "NUM"] and type_at(tokens, j + 2) in ("SPACE", "CORNER"):
        chains, j, corner = f" {tokens[j + 1].value}", j + 3, True
    elif type_at(tokens, j) == "CH" and type_at(tokens, j + 1) == "SPACE":
        chains, j, corner = f" {ANY_SPACE}", j + 2, True
    elif not corner and type_at(tokens, j) == "SPACE":  # "dc in each st to next sp"
        chains, j, corner = f" {ANY_SPACE}", j + 1, True
    elif corner and (
        type_at(tokens, j) == "SPACE"
        or (type_at(tokens, j) in ("ST", "STITCH") and type_at(tokens, j + 1) in CLAUSE_ENDS)
    ):
        j += 1
    return ((Token("AROUND", f"{TO_CORNER}{chains}", tokens[i].start, tokens[j - 1].end),), j) if corner else None


def _times_first(tokens: Sequence[Token], i: int, out: Sequence[Token]) -> bool:
    """ "6 x inc", "6 x (sc, inc)": the number comes first; but not in "(…) 6x" or "rep 6x"."""
    after = tokens[i + 2].type if i + 2 < len(tokens) else ""
    if tokens[i + 1].value != "x":
        return after == "OPEN" and not out  # "8 times (2 sc, inc)"
    before = out[-1].type if out else "SEP"
    if after in STITCHY:
        return before in ("SEP", "OPEN", "STAR", "COLON", "DASH", "AND", "THEN")
    if after == "OPEN":
        return before in ("SEP", "OPEN", "COLON", "DASH", "AND", "THEN")
    return False


def _to_last(tokens: Sequence[Token], i: int) -> tuple[Token, int] | None:
    """ "to last 3 sts", "until last st", "until 3 sts remain", "to within 3 sts of end": one token and what follows."""
    n = len(tokens)
    j, keep, last, within = i, 1, False, False
    if tokens[j].type in ("TO", "UNTIL"):
        j += 1
    if j < n and tokens[j].type == "WITHIN":
        j, within = j + 1, True
    if j < n and tokens[j].type == "LAST":
        j, last = j + 1, True
    number = j
    if j < n and tokens[j].type == "NUM":
        keep, j = int(tokens[j].value), j + 1
    if [t.type for t in tokens[j : j + 3]] == ["CH", "NUM", "SPACE"]:  # "to last ch-1 sp": all the stitches before it
        keep, j = 0, j + 3
    elif j < n and tokens[j].type in UNIT:
        j += 1
    elif j < n and tokens[j].type in ("SPACE", "TOP"):
        keep, j = (0 if tokens[j].type == "SPACE" else keep), j + 1
    if last:
        return Token("TO_LAST", keep, tokens[i].start, tokens[j - 1].end), j
    if j > number and j < n and tokens[j].type == "REMAIN":
        return Token("TO_LAST", keep, tokens[i].start, tokens[j].end), j + 1
    if within and j > number:
        if j + 1 < n and tokens[j].type in ("OF", "FROM") and tokens[j + 1].type in ("END", "THEN", "AROUND"):
            j += 2
        return Token("TO_LAST", keep, tokens[i].start, tokens[j - 1].end), j
    return None


IN_CONTEXT: Final[dict[str, Callable[[Sequence[Token], int, Sequence[Token]], Found]]] = {
    "TO": _limit,
    "UNTIL": _limit,
    "WITHIN": _limit,
    "ACROSS": _across,
    "OVER": _over,
    "NUM": _number,
    "EACH": each_round,
    "IN": _in,
    "EVENLY": _even_round,
    "EVEN": _even,
    "REPEAT": _repeat,
    "IN_ALL": _in_all,
    "SAME": _same,
    "ORD": _ordinal,
    "ROUND": _round,
    "TIMES": so_many_times_rounds,
    "AROUND": _around,
}
"""Token type -> what it means there: asked with all tokens, its index, and what came out of those before it."""
