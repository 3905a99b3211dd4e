"""Text as the grammar knows it: small letters, digits, apostrophes, single spaces; and the way back to the original."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass

HESITATIONS = frozenset(["um", "umm", "uh", "uhh", "er", "erm", "hm", "hmm"])
"""Sounds people make while they think; dropped wherever they stand."""

_APOSTROPHES = "'’‘`´ʼ"


@dataclass(frozen=True, slots=True)
class Normal:
    """Normalised `text`, the text it came `from_text`, and for each character of it where it stood there."""

    text: str
    from_text: str
    places: tuple[int, ...]

    def original(self, start: int, end: int) -> str:
        """What was written where the normalised text has characters `start` to `end`, without edges of punctuation."""
        while start < end and self.text[end - 1] == " ":
            end -= 1
        if start >= end:
            return ""
        last = len(self.from_text) if end == len(self.text) else self.places[end - 1] + 1
        written = self.from_text[self.places[start] : last]
        return " ".join(written.split()).strip(" ,.;:!?-–—")


def normalise(text: str) -> Normal:
    """Small letters without accents; hyphens and punctuation become spaces, "&" becomes "and", hesitations go."""
    characters: list[tuple[str, int]] = []
    for place, char in enumerate(text):
        characters += [(plain, place) for plain in _plain(char)]
    words = [word for word in _words(characters) if "".join(c for c, _ in word) not in HESITATIONS]
    out: list[tuple[str, int]] = []
    for word in words:
        if out:
            out.append((" ", word[0][1]))
        out += word
    return Normal("".join(char for char, _ in out), text, tuple(place for _, place in out))


def plain(text: str) -> str:
    """The normalised text alone."""
    return normalise(text).text


def _plain(char: str) -> str:
    if char in _APOSTROPHES:
        return "'"
    if char == "&":
        return " and "
    folded = unicodedata.normalize("NFKD", char).lower()
    kept = "".join(c for c in folded if c.isascii() and c.isalnum())
    return kept if kept or unicodedata.combining(char) else " "


def _words(characters: list[tuple[str, int]]) -> list[list[tuple[str, int]]]:
    words: list[list[tuple[str, int]]] = [[]]
    for char, place in characters:
        if char == " ":
            words.append([])
        else:
            words[-1].append((char, place))
    apart = [part for word in words for part in _from_its_unit(word)]
    return [kept for word in apart if (kept := _without_quotes(word))]


def _from_its_unit(word: list[tuple[str, int]]) -> list[list[tuple[str, int]]]:
    """ "5mm" is two words, as it is said."""
    if len(word) > 2 and "".join(char for char, _ in word[-2:]) in ("mm", "cm") and word[-3][0].isdigit():
        return [word[:-2], word[-2:]]
    return [word]


def _without_quotes(word: list[tuple[str, int]]) -> list[tuple[str, int]]:
    """Apostrophes at the edges of a word are quotation marks."""
    while word and word[0][0] == "'":
        word = word[1:]
    while word and word[-1][0] == "'":
        word = word[:-1]
    return word
