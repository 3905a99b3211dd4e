"""The attention word between the rooms: what the phrases say of a choice, in the maker's own words."""

from __future__ import annotations

from companion.errors import MakerError
from companion.phrases.attention import chosen
from companion.phrases.book import Book
from companion.wording.speaker import Wording, together


class AttentionError(MakerError):
    """This cannot be an attention word; the message says why."""


def weighed(text: str, book: Book, wording: Wording) -> tuple[str, str]:
    """The word as the ear will know it, and one sentence on what speaks against it, "" where nothing does.

    Raises AttentionError where it cannot serve beside the sentences of that book.
    """
    choice = chosen(text, book)
    if choice.fault:
        raise AttentionError(wording.line(f"attention_{choice.fault}", word=choice.word))
    return choice.word, wording.line(f"attention_{choice.doubt}", word=choice.word) if choice.doubt else ""


def listening_for(text: str, book: Book, wording: Wording) -> tuple[str, str]:
    """The word that a talk listens for from its start, and what to tell the maker of it; twice "" for none.

    Raises AttentionError where it cannot serve beside the sentences of that book.
    """
    if not text:
        return "", ""
    word, doubt = weighed(text, book, wording)
    return word, together(wording.line("attention_reminder", word=word), doubt)
