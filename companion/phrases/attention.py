"""The attention word: a word of the maker's own that tells what is meant for the companion from other talk."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from .command import Command
from .normal import plain

if TYPE_CHECKING:
    from .book import Book
    from .graph import Node

ATTENTION = Command("attention")
"""What the word itself means: listen."""

ANSWERING = frozenset({"asking", "choosing", "chain"})
"""The contexts of an open question. A command that may be said only there answers it, and needs no attention word."""

Fault = Literal["none", "many", "letters", "command"]
"""Why a word cannot serve: nothing to say, more than two words, more than letters, a sentence begins with it."""

Doubt = Literal["", "near", "short"]
"""Why it will serve badly: spelled nearly like the beginning of a sentence, or of one syllable."""

_MOST_WORDS = 2
_FEWEST_SYLLABLES = 2
_LETTERS_FOR_AN_EDIT = 4  # as many letters of the word stand for one edit that would still be near


@dataclass(frozen=True, slots=True)
class Choice:
    """A word as the ear will know it, in small letters; why it cannot serve, if it cannot; what speaks against it."""

    word: str
    fault: Fault | None = None
    doubt: Doubt = ""


def chosen(text: str, book: Book) -> Choice:
    """What to make of the word or two that a maker wants to be listened for, beside the sentences of that book."""
    word = plain(text)
    words = word.split()
    if not words:
        return Choice(word, "none")
    if len(words) > _MOST_WORDS:
        return Choice(word, "many")
    if not all(re.fullmatch("[a-z']+", each) for each in words):
        return Choice(word, "letters")
    start = book.grammar().start
    begun = start.walk(word)
    if begun is not None and _word_ends(begun):
        return Choice(word, "command")
    if _near_a_beginning(word, start):
        return Choice(word, doubt="near")
    return Choice(word, doubt="short" if sum(map(syllables, words)) < _FEWEST_SYLLABLES else "")


def without_attention(commands: tuple[Command, ...]) -> tuple[Command, ...]:
    """The commands that were said after the attention word, where it was said and was not all that was said."""
    return commands[1:] if commands[:1] == (ATTENTION,) and len(commands) > 1 else commands


def syllables(word: str) -> int:
    """About how many syllables an English word has, told from its spelling: groups of vowels, but for a silent e."""
    spoken = re.sub("(?<=[^aeiouyl])e$", "", word)
    return len(re.findall("[aeiouy]+", spoken))


def _word_ends(node: Node) -> bool:
    return node.ends or node.free or " " in node.chars


def _near_a_beginning(word: str, start: Node) -> bool:
    """Whether few edits turn the word into the first words of a sentence.

    A walk along the grammar with one row of the table of edits (Levenshtein) for each node, given up where every way to
    go on costs too many.
    """
    most = max(1, len(word) // _LETTERS_FOR_AN_EDIT)
    waiting = [(start, list(range(len(word) + 1)))]
    while waiting:
        node, row = waiting.pop()
        for char in node.chars:
            following = node.follow(char)
            if following is None or following.free:
                continue
            longer = [row[0] + 1]
            for i, wanted in enumerate(word):
                longer.append(min(longer[i] + 1, row[i + 1] + 1, row[i] + (wanted != char)))
            if longer[-1] <= most and _word_ends(following):
                return True
            if min(longer) <= most:
                waiting.append((following, longer))
    return False
