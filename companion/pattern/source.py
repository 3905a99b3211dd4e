"""The source text of a pattern: lines and columns of offsets, and stretches of it parsed."""

from __future__ import annotations

from bisect import bisect_right
from collections import OrderedDict
from typing import Final

from companion.pattern.lexer import Vocabulary
from companion.pattern.model import Span
from companion.pattern.parse import parse
from companion.pattern.syntax import Parsed

_KEPT: Final = 8192
_LONGEST_KEPT: Final = 600


class Source:
    """A text with the vocabulary it is read by. Equal stretches are parsed once."""

    def __init__(self, text: str, vocabulary: Vocabulary) -> None:
        self.text = text
        self.vocabulary = vocabulary
        self._starts = [0, *(i + 1 for i, char in enumerate(text) if char == "\n")]
        self._parsed = _cache_of(vocabulary)

    def parsed(self, start: int, end: int) -> Parsed:
        """The parsed instructions of a stretch; offsets in them count from `start`."""
        part = self.text[start:end]
        found = self._parsed.get(part)
        if found is None:
            found = parse(part, self.vocabulary)
            if len(part) <= _LONGEST_KEPT:
                self._parsed[part] = found
                if len(self._parsed) > _KEPT:
                    self._parsed.popitem(last=False)
        return found

    def at(self, offset: int) -> tuple[int, int]:
        """Line and column, from 1, of an offset."""
        line = bisect_right(self._starts, offset)
        return line, offset - self._starts[line - 1] + 1

    def span(self, start: int, end: int) -> Span:
        """The Span of a stretch."""
        return Span(*self.at(start), *self.at(end))


_CACHES: OrderedDict[int, tuple[Vocabulary, OrderedDict[str, Parsed]]] = OrderedDict()


def _cache_of(vocabulary: Vocabulary) -> OrderedDict[str, Parsed]:
    """The parses made so far with this vocabulary. Few vocabularies are kept: the usual one, and a writer's own."""
    key = id(vocabulary)
    if key not in _CACHES:
        _CACHES[key] = (vocabulary, OrderedDict())
        if len(_CACHES) > 4:
            oldest = next(k for k in _CACHES if k != key)
            del _CACHES[oldest]
    return _CACHES[key][1]
