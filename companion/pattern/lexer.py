"""Round instructions as tokens: words, numbers and signs, each with its place in the text.

The vocabulary is data: `words.yaml` and the stitch table. Upper case, curly quotes, dashes and the like are folded
one character to one character, so that every offset stays true.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from typing import Final, NamedTuple

from companion.pattern.data import load
from companion.pattern.stitches import table

MAX_NUMBER: Final = 100_000
"""The largest number taken seriously. A larger one is reported, and nothing of that size is ever built."""


class Token(NamedTuple):
    """One token. `start` and `end` are offsets into the folded text; `value` depends on the type."""

    type: str
    value: str | int
    start: int
    end: int

    # What lark asks of a token to make its end-of-input token from the last one.
    @property
    def start_pos(self) -> int:
        return self.start

    @property
    def end_pos(self) -> int:
        return self.end

    @property
    def line(self) -> int:
        return 1

    @property
    def column(self) -> int:
        return self.start + 1

    @property
    def end_line(self) -> int:
        return 1

    @property
    def end_column(self) -> int:
        return self.end + 1


_FOLDED: Final = {
    **{ord(c): c.lower() for c in "ABCDEFGHIJKLMNOPQRSTUVWXYZ"},
    **dict.fromkeys(map(ord, "‘’‛`´′"), "'"),
    **dict.fromkeys(map(ord, "“”„″"), '"'),
    **dict.fromkeys(map(ord, "‐‑‒–—―−"), "-"),
    **dict.fromkeys(map(ord, "×✕✖╳⨯х"), "x"),
    **dict.fromkeys(map(ord, "∗＊⁎✱"), "*"),
    **dict.fromkeys(map(ord, "\u00a0\u2002\u2003\u2007\u2009\u200a\u202f\u3000\t"), " "),
    **dict.fromkeys(map(ord, "•·‣▪◦●"), "•"),
    ord("（"): "(", ord("）"): ")", ord("，"): ",", ord("："): ":", ord("；"): ";", ord("＝"): "=",
}  # fmt: skip

_ATOMS: Final = re.compile(
    r"(?P<emphasis>(?:\*\*+|__+|\")(?=[0-9]))"
    r"|(?P<blank>\*\*+|__+|\"+|'+)"
    r"|(?P<arrow>-+>|=+>|→|⇒)"
    r"|(?P<tog>[a-z]+[0-9]+tog)\b"
    r"|(?P<ord>(?:[0-9]*[02-9])?1st\b|(?:[0-9]*[02-9])?2nd\b|(?:[0-9]*[02-9])?3rd\b|[0-9]*(?:1[1-3]|[04-9])th\b)"
    r"|(?P<num>[0-9]+)"
    r"|(?P<word>[a-z]+(?:'[a-z]+)?)"
    r"|(?P<sign>\S)"
)

_UNITS: Final = [
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
]
_TENS: Final = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_ORDINALS: Final = ["second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"]

_SIGNS: Final = {
    ",": "SEP", ";": "SEP", ".": "SEP", "+": "SEP", "/": "SEP", "•": "SEP", "|": "SEP", "\\": "SEP", "…": "SEP",
    "!": "SEP", "?": "SEP", "~": "SEP", "(": "OPEN", "[": "OPEN", "{": "OPEN", "<": "OPEN", ")": "CLOSE", "]": "CLOSE",
    "}": "CLOSE", ">": "CLOSE", "*": "STAR", ":": "COLON", "=": "EQUALS", "-": "DASH", "&": "AND",
}  # fmt: skip

_KIND_TERMINAL: Final = {
    "basic": "STITCH", "post": "STITCH", "spike": "STITCH", "foundation": "STITCH", "gathered": "GATHER",
    "spread": "SPREAD",
}  # fmt: skip
_KEY_TERMINAL: Final = {
    "ch": "CH", "sl st": "SLST", "inc": "INC", "dec": "DEC", "invdec": "DEC", "picot": "PICOT", "sk": "SKIP",
    "ring": "RING",
}  # fmt: skip

Phrases = dict[str, list[tuple[tuple[str, ...], str, str]]]


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """The words a pattern is read by: the usual ones and the writer's own, and which of several sizes is wanted.

    `sizes` is how many sizes the pattern is written for (1: no choice), `size` which of them, from 1.
    """

    phrases: Phrases
    sizes: int = 1
    size: int = 1


def fold(text: str) -> str:
    """The text in lower case with plain quotes, dashes and spaces, of exactly the same length."""
    return text.translate(_FOLDED)


def _split(phrase: str) -> tuple[str, ...]:
    return tuple(re.findall(r"[a-z]+(?:'[a-z]+)?|&", fold(phrase)))


@cache
def phrases() -> Phrases:
    """All phrases of the vocabulary by their first word, longest first: (words, terminal, value)."""
    words: dict[str, list[str]] = load("words.yaml")
    found: dict[tuple[str, ...], tuple[str, str]] = {}
    for entry in table().values():
        terminal = _KEY_TERMINAL.get(entry.key) or _KIND_TERMINAL[entry.kind]
        for spelling in (*entry.spellings("US"), *entry.spellings("UK")):
            found.setdefault(_split(spelling), (terminal, spelling))
    for spelling in ("miss", "skip", "sk", "missing", "skipping"):
        found[(spelling,)] = ("SKIP", spelling)
    for terminal, spellings in words.items():
        for spelling in spellings:
            found.setdefault(_split(spelling), (terminal, spelling))
    index: Phrases = {}
    for key, (terminal, value) in found.items():
        index.setdefault(key[0], []).append((key, terminal, value))
    for entries in index.values():
        entries.sort(key=lambda entry: -len(entry[0]))
    return index


def extend(base: Phrases, own: dict[str, tuple[str, str]]) -> Phrases:
    """The vocabulary with a writer's own abbreviations, which come before the usual ones: text -> (terminal, value)."""
    index = {first: list(entries) for first, entries in base.items()}
    for text, (terminal, value) in own.items():
        key = _split(text)
        if key:
            entries = [entry for entry in index.get(key[0], []) if entry[0] != key]
            index[key[0]] = sorted([(key, terminal, value), *entries], key=lambda entry: -len(entry[0]))
    return index


@cache
def _number_words() -> dict[str, int]:
    numbers = {word: n for n, word in enumerate(_UNITS, 1)}
    numbers |= {word: 20 + 10 * n for n, word in enumerate(_TENS)}
    return numbers


@cache
def _ordinal_words() -> dict[str, int]:
    return {word: n for n, word in enumerate(_ORDINALS, 2)}


@cache
def usual() -> Vocabulary:
    """The vocabulary of a pattern that defines no words of its own and has one size."""
    return Vocabulary(phrases())


def lex(raw: str, vocabulary: Phrases) -> list[Token]:
    """The tokens of a text, in order. Unknown words come out as WORD, unknown signs as SIGN."""
    text = fold(raw)
    atoms = [(m.lastgroup, m.group(), m.start(), m.end()) for m in _ATOMS.finditer(text) if m.lastgroup != "blank"]
    numbers, ordinals = _number_words(), _ordinal_words()
    if "from **" in text:  # there two stars are a mark of their own; elsewhere they are emphasis
        atoms = [
            ("sign", "*", m.start(), m.end()) if m.group() == "**" else (m.lastgroup, m.group(), m.start(), m.end())
            for m in _ATOMS.finditer(text)
            if m.lastgroup != "blank" or m.group() == "**"
        ]
    out: list[Token] = []
    i, n = 0, len(atoms)
    while i < n:
        group, value, start, end = atoms[i]
        i += 1
        if group == "word":
            match = _phrase(atoms, i - 1, value, vocabulary)
            if value == "a" and raw[start] == "A" and out and out[-1].type in ("WITH", "CHANGE", "COLOUR", "IN"):
                out.append(Token("WORD", value, start, end))  # yarn A, not the article
            elif match is not None:
                i, terminal, meaning, end = match
                out.append(Token(terminal, meaning, start, end))
            elif value in numbers:
                number = numbers[value]
                if number >= 20 and i < n:  # "twenty-four", "twenty four"
                    j = i + 1 if atoms[i][1] == "-" and i + 1 < n else i
                    unit = numbers.get(atoms[j][1], 0)
                    if 0 < unit < 10:
                        number, end, i = number + unit, atoms[j][3], j + 1
                out.append(Token("NUM", number, start, end))
            elif value in ordinals:
                out.append(Token("ORD", ordinals[value], start, end))
            else:
                out.append(Token("WORD", value, start, end))
        elif group == "num":
            out.append(Token("NUM", _bounded(value), start, end))
        elif group == "ord":
            out.append(Token("ORD", _bounded(value[:-2]), start, end))
        elif group == "tog":
            out.append(Token("TOG", value, start, end))
        elif group == "emphasis":
            out.append(Token("SEP", ".", start, end))
        elif group == "arrow":
            out.append(Token("EQUALS", value, start, end))
        elif value == "-":
            spaced = start == 0 or text[start - 1] == " " or end >= len(text) or text[end] in " \n"
            if spaced or (out and out[-1].type == "NUM" and text[end].isdigit()):
                out.append(Token("DASH", value, start, end))  # "5-9", " - "; else a hyphen: "half-double", "ch-2"
        else:
            out.append(Token(_SIGNS.get(value, "SIGN"), value, start, end))
    return out


def _bounded(digits: str) -> int:
    """The number, or one just too large where it has more digits than any number of stitches."""
    digits = digits.lstrip("0") or "0"
    return int(digits) if len(digits) <= len(str(MAX_NUMBER)) else MAX_NUMBER + 1


def _phrase(
    atoms: list[tuple[str | None, str, int, int]], i: int, word: str, vocabulary: Phrases
) -> tuple[int, str, str, int] | None:
    """The longest phrase that begins at atom `i`: (next atom, terminal, value, end). Hyphens within it are skipped."""
    for words, terminal, value in vocabulary.get(word, ()):
        j, matched = i + 1, True
        for other in words[1:]:
            if j < len(atoms) and atoms[j][1] == "-" and atoms[j][2] == atoms[j - 1][3]:
                j += 1
            if j >= len(atoms) or atoms[j][1] != other:
                matched = False
                break
            j += 1
        if matched:
            return j, terminal, value, atoms[j - 1][3]
    return None
