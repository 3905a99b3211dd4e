"""One round's text to syntax nodes, by the grammar in `grammar.lark`; what it does not take becomes an UnreadNode."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from importlib.resources import files
from typing import Any, Final

from lark import Lark, UnexpectedToken
from lark.lexer import Lexer

from companion.pattern.arrange import arrange
from companion.pattern.build import Build
from companion.pattern.data import cache_file
from companion.pattern.lexer import Token, Vocabulary, lex
from companion.pattern.readings import other_readings
from companion.pattern.syntax import Node, Parsed, UnreadNode

MAX_REPAIRS: Final = 8
"""How many clauses of one round may be set aside as unread before the whole round is."""

MAX_CHARACTERS: Final = 20_000
"""A longer round is kept as written and not read: no round is that long."""

_DELIMITERS: Final = frozenset({
    "SEP", "GOPEN", "GCLOSE", "SOPEN", "SCLOSE", "REPSTAR", "TOTAL_OPEN", "TOTAL_CLOSE",
})  # fmt: skip


class _Row(Lexer):
    """Hands the arranged tokens to lark as they are."""

    def __init__(self, _: object) -> None:
        pass

    def lex(self, tokens: Any, _: Any = None) -> Iterator[Any]:
        return iter(tokens)


@cache
def _parser() -> Lark:
    """The parser. Its tables are kept in the user's cache folder: building them takes longer than reading a pattern."""
    grammar = files("companion.pattern").joinpath("grammar.lark").read_text(encoding="utf-8")
    kept = cache_file("grammar.lark.cache")
    return Lark(
        grammar, parser="lalr", start="round", lexer=_Row, transformer=Build(), cache=str(kept) if kept else False
    )


def parse(text: str, vocabulary: Vocabulary) -> Parsed:
    """The readings of one round's instructions. Never raises; offsets count from the start of `text`."""
    if len(text) > MAX_CHARACTERS:
        return Parsed((UnreadNode(0, len(text)),))
    tokens = arrange(lex(text, vocabulary.phrases), text, vocabulary)
    nodes = _nodes(tokens, text)
    return Parsed(nodes, other_readings(nodes))


def _nodes(tokens: list[Token], text: str) -> tuple[Node, ...]:
    lark = _parser()
    for _ in range(MAX_REPAIRS):
        try:
            return lark.parse(tokens)  # type: ignore[return-value]
        except UnexpectedToken as error:
            tokens = _set_aside(tokens, error.token)
    return (UnreadNode(tokens[0].start, len(text.rstrip())),)


def _set_aside(tokens: list[Token], culprit: object) -> list[Token]:
    """The tokens with the clause that holds the unexpected one replaced by a single UNREAD."""
    k = next((i for i, t in enumerate(tokens) if t is culprit), len(tokens))
    if k == len(tokens) or (tokens[k].type in _DELIMITERS and k):
        k -= 1
    a = b = k
    while a > 0 and tokens[a - 1].type not in _DELIMITERS:
        a -= 1
    while b < len(tokens) and tokens[b].type not in _DELIMITERS:
        b += 1
    if b <= a or (b - a == 1 and tokens[a].type == "UNREAD"):
        return [Token("UNREAD", "", tokens[0].start, tokens[-1].end)]
    row = [Token("UNREAD", "", tokens[a].start, tokens[b - 1].end)]
    if a and tokens[a - 1].type in ("GCLOSE", "SCLOSE", "TOTAL_CLOSE", "REPSTAR"):
        row.insert(0, Token("SEP", "", tokens[a].start, tokens[a].start))
    if b < len(tokens) and tokens[b].type in ("GOPEN", "SOPEN", "TOTAL_OPEN"):
        row.append(Token("SEP", "", tokens[b].start, tokens[b].start))
    return [*tokens[:a], *row, *tokens[b:]]
