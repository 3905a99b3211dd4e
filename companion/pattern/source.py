"""The source text of a pattern: lines and columns of offsets, and stretches of it parsed."""

from __future__ import annotations

from bisect import bisect_right
from collections import OrderedDict
from collections.abc import Sequence
from typing import Final, TypeVar

from companion.pattern.lexer import Token, Vocabulary, lex
from companion.pattern.model import Span
from companion.pattern.parse import parse
from companion.pattern.syntax import Node

T = TypeVar("T")

_KEPT: Final = 8192
_LONGEST_KEPT: Final = 600


class Source:
    """A text with the vocabulary it is read by. Equal stretches are parsed once."""

    def __init__(self, text: str, vocabulary: Vocabulary) -> None:
        self.text = text
        self.vocabulary = vocabulary
        self._starts = [0, *(i + 1 for i, char in enumerate(text) if char == "\n")]
        self._parsed, self._lexed = _caches_of(vocabulary)

    def parsed(self, start: int, end: int) -> tuple[Node, ...]:
        """The instructions of a stretch in their usual reading; offsets in them count from `start`."""
        part = self.text[start:end]
        found = self._parsed.get(part)
        if found is None:
            found = parse(part, self.vocabulary, self.tokens(start, end))
            _keep(self._parsed, part, found)
        return found

    def tokens(self, start: int, end: int) -> Sequence[Token]:
        """The tokens of a stretch; offsets in them count from `start`. They are shared: leave them as they are."""
        part = self.text[start:end]
        found = self._lexed.get(part)
        if found is None:
            found = lex(part, self.vocabulary.phrases)
            _keep(self._lexed, part, found)
        return found

    def at(self, offset: int) -> tuple[int, int]:
        """Line and column, from 1, of an offset."""
        line = bisect_right(self._starts, offset)
        return line, offset - self._starts[line - 1] + 1

    def span(self, start: int, end: int) -> Span:
        """The Span of a stretch."""
        return Span(*self.at(start), *self.at(end))


Parses = OrderedDict[str, tuple[Node, ...]]
Lexed = OrderedDict[str, Sequence[Token]]

_CACHES: OrderedDict[int, tuple[Vocabulary, Parses, Lexed]] = OrderedDict()


def _caches_of(vocabulary: Vocabulary) -> tuple[Parses, Lexed]:
    """What was parsed and lexed so far with this vocabulary. Few are kept: the usual one, and a writer's own."""
    key = id(vocabulary)
    if key not in _CACHES:
        _CACHES[key] = (vocabulary, OrderedDict(), OrderedDict())
        if len(_CACHES) > 4:
            oldest = next(k for k in _CACHES if k != key)
            del _CACHES[oldest]
    return _CACHES[key][1:]


def _keep(cache: OrderedDict[str, T], text: str, found: T) -> None:
    if len(text) <= _LONGEST_KEPT:
        cache[text] = found
        if len(cache) > _KEPT:
            cache.popitem(last=False)
