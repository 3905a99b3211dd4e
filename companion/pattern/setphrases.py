"""Set phrases: a row of tokens that means one thing becomes one token, so that the grammar stays small."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from companion.pattern.lexer import Token, Vocabulary

STITCHY: Final = frozenset({
    "STITCH", "GATHER", "SPREAD", "PICOT", "CH", "SLST", "INC", "DEC", "TOG", "SKIP", "THEM", "EVEN",
})  # fmt: skip
"""Tokens that stand for something made with the hook."""

UNIT: Final = frozenset({
    "ST", "STITCH", "SLST", "CH", "INC", "DEC", "GATHER", "SPREAD", "TOG", "PICOT",
})  # fmt: skip
"""Tokens that can be worked into, or counted."""

_PLACING: Final = frozenset({
    "NEXT", "EACH", "FIRST", "LAST", "SAME", "ST", "STITCH", "ORD",
})  # fmt: skip

Value = str | int
Make = Callable[[Sequence[Token]], Value]


def _at(index: int) -> Make:
    return lambda tokens: tokens[index].value


def _fixed(value: Value) -> Make:
    return lambda _: value


_PHRASES: Final[tuple[tuple[str, str, Make], ...]] = (
    ("ORD CH HOOK", "FROM_HOOK", _at(0)),
    ("ORD ST HOOK", "FROM_HOOK", _at(0)),
    ("ORD HOOK", "FROM_HOOK", _at(0)),
    ("TOP OF TURN_CHAIN", "TOP", _fixed(0)),
    ("TOP TURN_CHAIN NUM", "TOP", _fixed(0)),
    ("TOP TURN_CHAIN", "TOP", _fixed(0)),
    ("TOP CH NUM", "TOP", _fixed(0)),
    ("TOP NUM CH", "TOP", _fixed(0)),
    ("TOP FIRST CH NUM", "TOP", _fixed(0)),
    ("TOP FIRST NUM CH", "TOP", _fixed(0)),
    ("TOP FIRST CH", "TOP", _fixed(0)),
    ("ORD CH OF TURN_CHAIN NUM", "TOP", _fixed(0)),
    ("ORD CH OF TURN_CHAIN", "TOP", _fixed(0)),
    ("ORD CH OF FIRST CH NUM", "TOP", _fixed(0)),
    ("ORD CH OF FIRST NUM CH", "TOP", _fixed(0)),
    ("ORD CH OF CH NUM", "TOP", _fixed(0)),
    ("ORD CH OF NUM CH", "TOP", _fixed(0)),
    ("ORD OF CH NUM", "TOP", _fixed(0)),
    ("ORD OF NUM CH", "TOP", _fixed(0)),
    ("ORD OF FIRST CH NUM", "TOP", _fixed(0)),
    ("ORD OF FIRST NUM CH", "TOP", _fixed(0)),
    ("ORD OF TURN_CHAIN NUM", "TOP", _fixed(0)),
    ("ORD OF TURN_CHAIN", "TOP", _fixed(0)),
    ("TURN_CHAIN", "TOP", _fixed(0)),
    ("TIMES NUM MORE TIMES", "MORE_TIMES", _at(1)),
    ("NUM MORE TIMES", "MORE_TIMES", _at(0)),
    ("NUM TIMES MORE", "MORE_TIMES", _at(0)),
    ("ONCE MORE", "MORE_TIMES", _fixed(1)),
    ("TWICE MORE", "MORE_TIMES", _fixed(2)),
    ("MORE NUM TIMES", "MORE_TIMES", _at(1)),
    ("NUM MORE", "MORE_TIMES", _at(0)),
    ("TIMES NUM TIMES IN_ALL", "OFTEN_IN_ALL", _at(1)),
    ("TIMES NUM IN_ALL", "OFTEN_IN_ALL", _at(1)),
    ("TIMES NUM TIMES", "OFTEN", _at(1)),
    ("TIMES NUM", "OFTEN", _at(1)),
    ("NUM TIMES IN_ALL", "OFTEN_IN_ALL", _at(0)),
    ("IN_ALL NUM TIMES", "OFTEN_IN_ALL", _at(1)),
    ("NUM TIMES AROUND", "OFTEN", _at(0)),
    ("NUM TIMES", "OFTEN", _at(0)),
    ("TWICE", "OFTEN", _fixed(2)),
    ("THRICE", "OFTEN", _fixed(3)),
    ("ONCE", "OFTEN", _fixed(1)),
    ("CORNER CH NUM SPACE", "SPACE", _at(2)),
    ("CH NUM CORNER SPACE", "SPACE", _at(1)),
    ("CH NUM SPACE", "SPACE", _at(1)),
    ("CH NUM CORNER", "SPACE", _at(1)),
    ("NUM CH CORNER", "SPACE", _at(0)),
    ("NUM CH SPACE", "SPACE", _at(0)),
    ("CH SPACE", "SPACE", _fixed(0)),
    ("CORNER SPACE", "SPACE", _fixed("corner")),
    ("SPACE OF CORNER", "SPACE", _fixed("corner")),
    ("CORNER", "SPACE", _fixed("corner")),
    ("REPEAT FROM STAR TO STAR", "REPSTAR", _fixed(0)),
    ("REPEAT FROM STAR AROUND", "REPSTAR", _fixed(0)),
    ("REPEAT FROM STAR", "REPSTAR", _fixed(0)),
    ("REPEAT STAR TO STAR", "REPSTAR", _fixed(0)),
    ("REPEAT BETWEEN STAR AND STAR", "REPSTAR", _fixed(0)),
    ("REPEAT BETWEEN STAR STAR", "REPSTAR", _fixed(0)),
    ("REPEAT BETWEEN STAR", "REPSTAR", _fixed(0)),
    ("REPEAT STAR", "REPSTAR", _fixed(0)),
    ("FROM STAR", "REPSTAR", _fixed(0)),
    ("REPEAT FROM FIRST", "REPEAT", _fixed(0)),
    ("OPEN OFTEN CLOSE", "OFTEN", _at(1)),
    ("OPEN MORE_TIMES CLOSE", "MORE_TIMES", _at(1)),
    ("IN BACK_LOOP OF", "BACK_LOOP", _at(1)),
)
_BY_FIRST: Final[dict[str, list[tuple[list[str], str, Make]]]] = {}
for _types, _terminal, _make in sorted(_PHRASES, key=lambda entry: -len(entry[0].split())):
    _row = _types.split()
    _BY_FIRST.setdefault(_row[0], []).append((_row, _terminal, _make))


def compose(tokens: list[Token], vocabulary: Vocabulary) -> list[Token]:
    """The tokens with every set phrase in place of its parts."""
    if vocabulary.sizes > 1:
        tokens = _choose_size(tokens, vocabulary)
    types = [token.type for token in tokens]
    out: list[Token] = []
    i, n = 0, len(tokens)
    while i < n:
        token = tokens[i]
        kind = types[i]
        if kind in ("TO", "UNTIL", "WITHIN") and (found := _to_last(tokens, i)):
            out.append(found[0])
            i = found[1]
            continue
        if kind == "NUM" and types[i + 1 : i + 2] == ["TIMES"] and _times_first(tokens, i, out):
            out.append(token)
            i += 2
            continue
        if kind == "IN_ALL" and token.value == "in all" and i + 1 < n and tokens[i + 1].type in (*UNIT, "NUM"):
            out += (token._replace(type="IN", value="in"), token._replace(type="EACH", value="all"))
            i += 1
            continue
        if kind == "SAME" and str(token.value).endswith("ch") and types[i + 1 : i + 2] == ["NUM"]:
            out.append(token._replace(end=tokens[i + 1].end))  # "st at base of ch 3"
            i += 2
            continue
        if kind == "ORD" and token.value == 1 and _is_the_first(types, i):
            out.append(token._replace(type="FIRST"))  # "sl st in 1st st"
            i += 1
            continue
        if kind == "ROUND" and token.value == "round" and _all_round(out) and _ends_clause(types, i + 1):
            out.append(token._replace(type="AROUND"))  # "dc in each st round", as UK writers have it
            i += 1
            continue
        if kind == "AROUND" and token.value == "to join" and _clause_slips(out):
            out.append(token._replace(type="JOIN"))
            i += 1
            continue
        if kind == "AROUND" and token.value == "around" and _around_a_post(tokens, i):
            out.append(token._replace(type="IN"))
            i += 1
            continue
        if kind in ("TO", "UNTIL") and not (out and out[-1].type == "SLST") and (corner := _to_corner(tokens, i)):
            out.append(token._replace(type="AROUND", end=tokens[corner - 1].end))
            i = corner
            continue
        for row, terminal, make in _BY_FIRST.get(kind, ()):
            m = len(row)
            if types[i : i + m] == row:
                part = tokens[i : i + m]
                out.append(Token(terminal, make(part), token.start, part[-1].end))
                i += m
                break
        else:
            out.append(token)
            i += 1
    if any(t.type == "OPEN" for t in out):
        out = _bracketed_often(out)
    return out


def _is_the_first(types: Sequence[str], i: int) -> bool:
    """Whether "1st" counts from the beginning of the round, and not from the hook or in a chain."""
    return i + 1 < len(types) and types[i + 1] in UNIT and types[i + 2 : i + 3] not in (["HOOK"], ["OF"])


def _all_round(out: Sequence[Token]) -> bool:
    """Whether "round" means "around" after these: "in each st round", "rep from * round"."""
    return bool(out) and (out[-1].type in UNIT or out[-1].type in ("REPEAT", "REPSTAR"))


def _clause_slips(out: Sequence[Token]) -> bool:
    """Whether the clause so far is a slip stitch: "sl st to the first dc to join"."""
    for token in reversed(out):
        if token.type == "SLST":
            return True
        if token.type not in ("IN", "TO", "FIRST", "ST", "STITCH", "TOP", "OF", "CH", "NUM", "SAME"):
            return False
    return False


def _ends_clause(types: Sequence[str], i: int) -> bool:
    """Whether a clause ends before `i`."""
    return i >= len(types) or types[i] in ("SEP", "OPEN", "CLOSE", "EQUALS", "DASH", "COLON", "THEN", "AND")


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


def _to_corner(tokens: Sequence[Token], i: int) -> int:
    """ "dc in each st to next corner": the index after it, or 0."""
    j = i + 1
    while j < len(tokens) and tokens[j].type in ("NEXT", "FIRST", "EACH"):
        j += 1
    if j < len(tokens) and tokens[j].type == "CORNER":
        return j + 2 if j + 1 < len(tokens) and tokens[j + 1].type == "SPACE" else j + 1
    if (
        j + 2 < len(tokens)
        and tokens[j].type == "CH"
        and tokens[j + 1].type == "NUM"
        and tokens[j + 2].type in ("SPACE", "CORNER")
    ):
        return j + 3
    return 0


def _bracketed_often(tokens: list[Token]) -> list[Token]:
    """ "(6 times)" is the same as "6 times"."""
    out: list[Token] = []
    for token in tokens:
        if (
            token.type == "CLOSE"
            and len(out) > 1
            and out[-1].type in ("OFTEN", "MORE_TIMES", "OFTEN_IN_ALL")
            and out[-2].type == "OPEN"
        ):
            often = out.pop()
            out[-1] = often._replace(start=out[-1].start, end=token.end)
        else:
            out.append(token)
    return out


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
    if j < n and tokens[j].type in UNIT:
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


def _choose_size(tokens: list[Token], vocabulary: Vocabulary) -> list[Token]:
    """ "20 (24, 28)": the number of the size that was chosen."""
    out: list[Token] = []
    i, n, others = 0, len(tokens), vocabulary.sizes - 1
    while i < n:
        token = tokens[i]
        if token.type == "NUM" and i + 2 < n and tokens[i + 1].type == "OPEN":
            numbers, j = [token], i + 2
            while j < n and tokens[j].type in ("NUM", "SEP", "DASH") and len(numbers) <= vocabulary.sizes:
                if tokens[j].type == "NUM":
                    numbers.append(tokens[j])
                j += 1
            if j < n and tokens[j].type == "CLOSE" and len(numbers) == others + 1:
                chosen = numbers[min(vocabulary.size, len(numbers)) - 1]
                out.append(Token("NUM", chosen.value, token.start, tokens[j].end))
                i = j + 1
                continue
        out.append(token)
        i += 1
    return out
