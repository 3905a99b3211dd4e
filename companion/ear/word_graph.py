"""A grammar seen word by word, for recognisers that know words and not characters.

Open tails are left out: such a recogniser cannot leave its list of words. So are digits and hyphens, which are other
ways of writing what the grammar holds in words.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from companion.phrases.graph import Grammar, Node

_EDGE = ""  # stands for the beginning and the end of a sentence where words have neighbours


@dataclass(frozen=True, slots=True)
class WordGraph:
    """Places in a grammar, counted from 0, the start: from each the words that may come next and where they lead."""

    steps: tuple[tuple[tuple[str, int], ...], ...]
    ends: frozenset[int]

    def words(self) -> frozenset[str]:
        """Every word of the grammar."""
        return frozenset(word for steps in self.steps for word, _ in steps)


def word_graph(grammar: Grammar) -> WordGraph:
    """The word graph of a grammar, without places from which no sentence can end."""
    order: list[Node] = [grammar.start]
    number = {id(grammar.start): 0}
    steps: list[list[tuple[str, int]]] = []
    for node in order:
        found = []
        for word, after in _words_from(node, first=node is grammar.start):
            if id(after) not in number:
                number[id(after)] = len(order)
                order.append(after)
            found.append((word, number[id(after)]))
        steps.append(found)
    ends = frozenset(place for place, node in enumerate(order) if node.ends)
    useful = _reaching(steps, ends)
    return WordGraph(tuple(tuple(s for s in found if s[1] in useful) for found in steps), ends)


def covering_sentences(graph: WordGraph) -> list[str]:
    """Sentences in which, between them, every pair of neighbouring words occurs, and every first and last word."""
    rest = _shortest_endings(graph)
    way_to: dict[tuple[int, str], str] = {(0, _EDGE): ""}
    order = list(way_to)
    pairs: set[tuple[str, str]] = set()
    sentences: list[str] = []
    for place, last in order:
        here = way_to[place, last]
        if place in graph.ends and (last, _EDGE) not in pairs:
            pairs.add((last, _EDGE))
            sentences.append(here)
        for word, after in graph.steps[place]:
            said = f"{here} {word}".strip()
            if (last, word) not in pairs:
                pairs.add((last, word))
                sentences.append(said + rest[after])
            if (after, word) not in way_to:
                way_to[after, word] = said
                order.append((after, word))
    return sorted(set(sentences))


def _words_from(node: Node, *, first: bool) -> Iterator[tuple[str, Node]]:
    begin = node if first else node.follow(" ")
    pending = [("", begin)] if begin is not None and not begin.free else []
    while pending:
        word, at = pending.pop()
        if word and (at.ends or " " in at.chars):
            yield word, at
        for char in sorted(at.chars):  # a set: its order would differ from one process to the next
            after = at.follow(char) if char.isalpha() or char == "'" else None
            if after is not None and not after.free:
                pending.append((word + char, after))


def _before(steps: list[list[tuple[str, int]]] | tuple[tuple[tuple[str, int], ...], ...]) -> dict[int, list[int]]:
    before: dict[int, list[int]] = {}
    for place, found in enumerate(steps):
        for _, after in found:
            before.setdefault(after, []).append(place)
    return before


def _reaching(steps: list[list[tuple[str, int]]], ends: frozenset[int]) -> set[int]:
    before = _before(steps)
    useful, pending = set(ends), list(ends)
    while pending:
        for earlier in before.get(pending.pop(), []):
            if earlier not in useful:
                useful.add(earlier)
                pending.append(earlier)
    return useful


def _shortest_endings(graph: WordGraph) -> dict[int, str]:
    """For each place, the fewest words that end a sentence there, each with a space before it."""
    before = _before(graph.steps)
    rest = dict.fromkeys(sorted(graph.ends), "")
    pending = list(rest)
    for place in pending:
        for earlier in before.get(place, []):
            if earlier not in rest:
                word = next(word for word, after in graph.steps[earlier] if after == place)
                rest[earlier] = f" {word}{rest[place]}"
                pending.append(earlier)
    return rest
