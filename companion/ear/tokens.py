"""The embedded model's vocabulary, and which of its tokens may come next in a grammar.

The grammar is a graph of characters; the model speaks in tokens of one to many characters. A token is allowed where its
lower-cased characters walk the graph, so every way of cutting a sentence into tokens stays open, with any capitals.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    from companion.phrases.graph import Grammar, Node

BEGIN, END = 1, 2
MARKS = ".,?!"
"""Punctuation that the model may write after a word, and that no grammar contains."""

_SPECIAL = 3  # ids below this are not text
_SPACE = "\u2581"

TokenIds = npt.NDArray[np.int64]


@dataclass(slots=True)
class _Branch:
    """A prefix shared by several tokens: the tokens that end here, and the branches one character further."""

    ids: list[int] = field(default_factory=list)
    children: dict[str, _Branch] = field(default_factory=dict)

    def everything(self) -> Iterator[int]:
        """Ids of all tokens that begin with this prefix."""
        yield from self.ids
        for child in self.children.values():
            yield from child.everything()


class Vocabulary:
    """The texts of the model's tokens, in order of id; a space is a plain space."""

    def __init__(self, texts: tuple[str, ...]) -> None:
        self.texts = texts
        self.marks = np.array([i for i, text in enumerate(texts) if len(text) == 1 and text in MARKS], dtype=np.int64)
        self.words = _Branch()
        self._ids: dict[str, int] = {}
        for i, text in enumerate(texts[_SPECIAL:], _SPECIAL):
            if text and "\ufffd" not in text:
                self._ids.setdefault(text, i)
                branch = self.words
                for char in text.lower():
                    branch = branch.children.setdefault(char, _Branch())
                branch.ids.append(i)

    @classmethod
    def read(cls, path: Path) -> Vocabulary:
        """Read `tokenizer.bin`: entries in order of id, each a length and that many bytes of UTF-8.

        The length is one byte; from 128 on, its low seven bits plus 128 times the byte after it.
        """
        data = path.read_bytes()
        texts: list[str] = []
        at = 0
        while at < len(data):
            length, at = data[at], at + 1
            if length >= 128:
                length, at = length - 128 + 128 * data[at], at + 1
            texts.append(data[at : at + length].decode("utf-8", "replace").replace(_SPACE, " "))
            at += length
        return cls(tuple(texts))

    def spell(self, text: str) -> tuple[int, ...]:
        """A sentence as the model mostly writes it, with a capital and a full stop, cut into the longest tokens."""
        rest = f" {text[:1].upper()}{text[1:].strip()}."
        ids = []
        while rest:
            length = next(n for n in range(len(rest), 0, -1) if rest[:n] in self._ids)
            ids.append(self._ids[rest[:length]])
            rest = rest[length:]
        return tuple(ids)

    def text(self, ids: tuple[int, ...]) -> str:
        """The text that a row of tokens spells, without blanks at its ends."""
        return "".join(self.texts[i] for i in ids).strip()

    def bound_text(self, ids: tuple[int, ...]) -> str:
        """The same as the grammar has it: in small letters and without marks."""
        return "".join(self.texts[i].lower() for i in ids if self.texts[i] not in MARKS).strip()


@dataclass(frozen=True, slots=True)
class Moves:
    """The tokens that may follow a place in the grammar: ids, the node that each of them leads to, and its identity."""

    ids: TokenIds
    nodes: tuple[Node, ...]
    places: TokenIds
    at_word_end: bool


class TokenGraph:
    """A grammar seen through a vocabulary. Moves are worked out when first asked for and kept."""

    def __init__(self, vocabulary: Vocabulary, grammar: Grammar) -> None:
        self._vocabulary = vocabulary
        self._moves: dict[int, Moves] = {}
        self._kept_alive: list[Node] = []  # memory is keyed by identity, so that a node must not be collected
        self.start = grammar.start
        self._first = self._walk(self.start, vocabulary.words.children[" "])  # a sentence's first token bears a space

    def first(self) -> Moves:
        """The tokens that may begin a sentence."""
        return self._first

    def after(self, node: Node) -> Moves:
        """The tokens that may follow `node`, in the middle of a sentence."""
        moves = self._moves.get(id(node))
        if moves is None:
            moves = self._moves[id(node)] = self._walk(node, self._vocabulary.words)
            self._kept_alive.append(node)
        return moves

    def _walk(self, node: Node, branch: _Branch) -> Moves:
        ids: list[int] = []
        nodes: list[Node] = []
        pending = [(branch, node)]
        while pending:
            here, at = pending.pop()
            if at.free:  # from here on any words: whatever the token still holds is allowed
                found = list(here.everything())
                ids += found
                nodes += [at] * len(found)
                continue
            if here is not branch:
                ids += here.ids
                nodes += [at] * len(here.ids)
            for char in at.chars & here.children.keys():
                following = at.follow(char)
                if following is not None:
                    pending.append((here.children[char], following))
        places = np.array([id(each) for each in nodes], dtype=np.int64)
        return Moves(np.array(ids, dtype=np.int64), tuple(nodes), places, node.ends or node.free or " " in node.chars)
