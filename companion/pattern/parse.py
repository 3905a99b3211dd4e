"""One round's text to syntax nodes, by the grammar in `grammar.lark`; what it does not take becomes an UnreadNode."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Final

from companion.pattern.arrange import arrange
from companion.pattern.build import Build
from companion.pattern.data import folder
from companion.pattern.lexer import Token, Vocabulary, lex
from companion.pattern.syntax import Node, UnreadNode
from companion.pattern.tables import Tables, UnexpectedToken

MAX_REPAIRS: Final = 8
"""How many clauses of one round may be set aside as unread before the whole round is."""

MAX_CHARACTERS: Final = 20_000
"""A longer round is kept as written and not read: no round is that long."""

_DELIMITERS: Final = frozenset({
    "SEP", "GOPEN", "GCLOSE", "SOPEN", "SCLOSE", "REPSTAR", "TOTAL_OPEN", "TOTAL_CLOSE",
})  # fmt: skip


@cache
def _tables() -> Tables:
    return Tables(folder() / "grammar.lark", Build())


def parse(text: str, vocabulary: Vocabulary, lexed: Sequence[Token] | None = None) -> tuple[Node, ...]:
    """One round's instructions in their usual reading. Never raises; offsets count from the start of `text`.

    `lexed` are its tokens, where they are known already.
    """
    if len(text) > MAX_CHARACTERS:
        return (UnreadNode(0, len(text)),)
    tokens = lex(text, vocabulary.phrases) if lexed is None else lexed
    return _nodes(arrange(tokens, text, vocabulary), text)


def _nodes(tokens: list[Token], text: str) -> tuple[Node, ...]:
    for _ in range(MAX_REPAIRS):
        try:
            return _tables().parse(tokens)  # type: ignore[no-any-return]
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
        return [Token("UNREAD", "", min(t.start for t in tokens), max(t.end for t in tokens))]
    # Not every token stands where it was written: a loop comes before its stitches.
    row = [Token("UNREAD", "", min(t.start for t in tokens[a:b]), max(t.end for t in tokens[a:b]))]
    if a and tokens[a - 1].type in ("GCLOSE", "SCLOSE", "TOTAL_CLOSE", "REPSTAR"):
        row.insert(0, Token("SEP", "", tokens[a].start, tokens[a].start))
    if b < len(tokens) and tokens[b].type in ("GOPEN", "SOPEN", "TOTAL_OPEN"):
        row.append(Token("SEP", "", tokens[b].start, tokens[b].start))
    return [*tokens[:a], *row, *tokens[b:]]
