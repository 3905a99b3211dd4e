"""Set phrases: a row of tokens that means one thing becomes one token, so that the grammar stays small."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from companion.pattern.context import IN_CONTEXT
from companion.pattern.lexer import Token, Vocabulary

Value = str | int
Make = Callable[[Sequence[Token]], Value]


def _at(index: int) -> Make:
    return lambda tokens: tokens[index].value


def _fixed(value: Value) -> Make:
    return lambda _: value


_PHRASES: Final[tuple[tuple[str, str, Make], ...]] = (
    ("FROM ORD CH HOOK", "START_AT", _at(1)),
    ("FROM ORD CH", "START_AT", _at(1)),
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
    ("CORNER ST", "SPACE", _fixed("corner")),
    ("CORNER STITCH", "SPACE", _fixed("corner")),
    ("CORNER", "SPACE", _fixed("corner")),
    ("REPEAT FROM STAR TO STAR", "REPSTAR", _fixed(0)),
    ("REPEAT FROM STAR", "REPSTAR", _fixed(0)),
    ("REPEAT STAR TO STAR", "REPSTAR", _fixed(0)),
    ("REPEAT BETWEEN STAR AND STAR", "REPSTAR", _fixed(0)),
    ("REPEAT BETWEEN STAR STAR", "REPSTAR", _fixed(0)),
    ("REPEAT BETWEEN STAR", "REPSTAR", _fixed(0)),
    ("REPEAT BETWEEN OPEN CLOSE", "REPEAT", _fixed(0)),
    ("REPEAT STAR", "REPSTAR", _fixed(0)),
    ("FROM STAR", "REPSTAR", _fixed(0)),
    ("REPEAT FROM FIRST", "REPEAT", _fixed(0)),
    ("OPEN OFTEN CLOSE", "OFTEN", _at(1)),
    ("OPEN MORE_TIMES CLOSE", "MORE_TIMES", _at(1)),
)
_OFTEN: Final = frozenset({"OFTEN", "MORE_TIMES", "OFTEN_IN_ALL"})

_Row = tuple[list[str], str, Make]
_BY_FIRST: Final[dict[str, dict[str, list[_Row]]]] = {}
"""The phrases by their first type and their second, longest first; "" has the one that is its first type alone."""
for _types, _terminal, _make in sorted(_PHRASES, key=lambda entry: -len(entry[0].split())):
    _row = _types.split()
    _BY_FIRST.setdefault(_row[0], {"": []}).setdefault("".join(_row[1:2]), []).append((_row, _terminal, _make))
for _by_second in _BY_FIRST.values():
    for _second, _rows in _by_second.items():
        if _second:
            _rows += _by_second[""]


def compose(tokens: list[Token], vocabulary: Vocabulary) -> list[Token]:
    """The tokens with every set phrase in place of its parts."""
    if vocabulary.sizes > 1:
        tokens = _choose_size(tokens, vocabulary)
    types = [token.type for token in tokens]
    out: list[Token] = []
    i, n, often = 0, len(tokens), False
    while i < n:
        token, kind = tokens[i], types[i]
        if (special := IN_CONTEXT.get(kind)) is not None and (found := special(tokens, i, out)) is not None:
            out += found[0]
            i = found[1]
            continue
        by_second = _BY_FIRST.get(kind)
        if by_second is not None:
            for row, terminal, make in by_second.get(types[i + 1] if i + 1 < n else "", by_second[""]):
                m = len(row)
                if types[i : i + m] == row:
                    part = tokens[i : i + m]
                    token = Token(terminal, make(part), token.start, part[-1].end)
                    often = often or terminal in _OFTEN
                    i += m - 1
                    break
        out.append(token)
        i += 1
    if often and "OPEN" in types:
        out = _bracketed_often(out)
    return out


def _bracketed_often(tokens: list[Token]) -> list[Token]:
    """ "(6 times)" is the same as "6 times"."""
    out: list[Token] = []
    for token in tokens:
        if token.type == "CLOSE" and len(out) > 1 and out[-1].type in _OFTEN and out[-2].type == "OPEN":
            often = out.pop()
            out[-1] = often._replace(start=out[-1].start, end=token.end)
        else:
            out.append(token)
    return out


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
