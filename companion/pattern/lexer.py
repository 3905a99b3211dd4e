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
    **dict(zip(map(ord, "⟨⟩〈〉❨❩【】［］｛｝"), "<><>()[][]{}", strict=True)),
}  # fmt: skip

_ATOMS: Final = re.compile(
    r"(?P<emphasis>(?:\*\*+|__+|\")(?=[0-9]))"
    r"|(?P<blank>\*\*+|__+|\"+|'+)"
    r"|(?P<arrow>-+>|=+>|→|⇒)"
    r"|(?P<tog>[a-z]+(?:[0-9]+tog|[2-9]inc))\b"
    r"|(?P<ord>(?:[0-9]*[02-9])?1st\b|(?:[0-9]*[02-9])?2nd\b|(?:[0-9]*[02-9])?3rd\b|[0-9]*(?:1[1-3]|[04-9])th\b)"
    r"|(?P<num>[0-9]+)"
    r"|(?P<word>[a-z]+(?:'[a-z]+)?)"
    r"|(?P<sign>\S)"
)

_UNITS: Final = (
    "one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen "
    "eighteen nineteen"
)
_TENS: Final = "twenty thirty forty fifty sixty seventy eighty ninety"
_NUMBERS: Final = {
    **{word: n for n, word in enumerate(_UNITS.split(), 1)},
    **{word: 10 * n for n, word in enumerate(_TENS.split(), 2)},
}
_ORDINALS: Final = "second third fourth fifth sixth seventh eighth ninth tenth"
_ORDINAL_WORDS: Final = {word: n for n, word in enumerate(_ORDINALS.split(), 2)}

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

Phrase = tuple[tuple[str, ...], str, str]
"""Its words, the terminal and the value of the token it becomes."""

Phrases = dict[str, dict[str, list[Phrase]]]
"""All phrases by their first word and their second ("" where there is none), longest first."""


CAPITALS: Final = {"x": "TIMES", "a": "FILLER"}
"""Letters that a writer's stitches may be called by, and what they are where they are not capitals."""


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """The words a pattern is read by: the usual ones and the writer's own, and which of several sizes is wanted.

    `sizes` is how many sizes the pattern is written for (1: no choice), `size` which of them, from 1.
    """

    phrases: Phrases
    sizes: int = 1
    size: int = 1


def number_of(word: str) -> int | None:
    """The value of "12" or "twelve", None of any other word."""
    return _bounded(word) if word.isdecimal() else _NUMBERS.get(word)


def fold(text: str) -> str:
    """The text in lower case with plain quotes, dashes and spaces, of exactly the same length."""
    return text.translate(_FOLDED)


def _split(phrase: str) -> tuple[str, ...]:
    return tuple(re.findall(r"[a-z]+(?:'[a-z]+)?|&", fold(phrase)))


@cache
def phrases() -> Phrases:
    """All phrases of the vocabulary."""
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
        index.setdefault(key[0], {}).setdefault(_second(key), []).append((key, terminal, value))
    for by_second in index.values():
        for entries in by_second.values():
            entries.sort(key=lambda entry: -len(entry[0]))
    return index


def _second(key: tuple[str, ...]) -> str:
    return key[1] if len(key) > 1 else ""


def extend(base: Phrases, own: dict[str, tuple[str, str]]) -> Phrases:
    """The vocabulary with a writer's own abbreviations, which come before the usual ones: text -> (terminal, value)."""
    index = {first: dict(by_second) for first, by_second in base.items()}
    for text, (terminal, value) in own.items():
        key = _split(text)
        if key:
            by_second = index.setdefault(key[0], {})
            entries = [entry for entry in by_second.get(_second(key), ()) if entry[0] != key]
            by_second[_second(key)] = sorted([(key, terminal, value), *entries], key=lambda entry: -len(entry[0]))
    return index


@cache
def usual() -> Vocabulary:
    """The vocabulary of a pattern that defines no words of its own and has one size."""
    return Vocabulary(phrases())


Atom = tuple[str | None, str, int, int]
"""A word, a number or a sign as it stands in the text: kind, characters, start and end."""


def lex(raw: str, vocabulary: Phrases) -> list[Token]:
    """The tokens of a text, in order. Unknown words come out as WORD, unknown signs as SIGN."""
    text = fold(raw)
    atoms: list[Atom] = [(m.lastgroup, m[0], *m.span()) for m in _ATOMS.finditer(text)]
    if "from **" in text:  # there two stars are a mark of their own; elsewhere they are emphasis
        atoms = [("sign", "*", *atom[2:]) if atom[1] == "**" else atom for atom in atoms]
    if '"' in text or "'" in text or "**" in text or "__" in text:
        atoms = [atom for atom in atoms if atom[0] != "blank"]
    out: list[Token] = []
    i, n = 0, len(atoms)
    while i < n:
        group, value, start, end = atoms[i]
        i += 1
        if group == "word":
            i, token = _word(atoms, i, vocabulary)
            if value == "a" and raw[start] == "A" and out and out[-1].type in ("WITH", "CHANGE", "COLOUR", "IN"):
                token = Token("WORD", value, start, end)  # yarn A, not the article
            elif value == "a" and raw[start] == "A" and token.type == "FILLER" and not _before_a_word(atoms, i):
                token = Token("WORD", value, start, end)  # "(2 sc, A) x 6": a stitch by a letter, and which is not said
            elif token.type == "STITCH" and value in CAPITALS and not raw[start].isupper():
                token = Token(CAPITALS[value], value, start, end)  # the writer's X and A, not "x 6", "a ring"
        elif group == "num":
            token = Token("NUM", _bounded(value), start, end)
        elif group == "ord":
            token = Token("ORD", _bounded(value[:-2]), start, end)
        elif value == "-":
            spaced = start == 0 or text[start - 1] == " " or end >= len(text) or text[end] in " \n"
            if not spaced and not (out and out[-1].type == "NUM" and text[end].isdigit()):
                continue  # a hyphen: "half-double", "ch-2"
            token = Token("DASH", value, start, end)  # "5-9", " - "
        elif group == "sign":
            token = Token(_SIGNS.get(value, "SIGN"), value, start, end)
        elif group == "tog":
            token = Token("TOG", value, start, end)
        elif group == "emphasis":
            token = Token("SEP", ".", start, end)
        else:
            token = Token("EQUALS", value, start, end)
        out.append(token)
    return out


def _before_a_word(atoms: list[Atom], i: int) -> bool:
    return i < len(atoms) and atoms[i][0] in ("word", "num", "tog", "ord")


def _word(atoms: list[Atom], i: int, vocabulary: Phrases) -> tuple[int, Token]:
    """The token of the word before atom `i`, or of the phrase it begins, and the index of the next atom."""
    _, word, start, end = atoms[i - 1]
    by_second = vocabulary.get(word)
    if by_second is not None:
        if i < len(atoms):
            hyphen = atoms[i][1] == "-" and atoms[i][2] == end and i + 1 < len(atoms)
            for words, terminal, meaning in by_second.get(atoms[i + 1][1] if hyphen else atoms[i][1], ()):
                if (j := _phrase(atoms, i, words)) is not None:
                    return j, Token(terminal, meaning, start, atoms[j - 1][3])
        for _, terminal, meaning in by_second.get("", ()):
            return i, Token(terminal, meaning, start, end)
    number = _NUMBERS.get(word)
    if number is not None:
        if number >= 20 and i < len(atoms):  # "twenty-four", "twenty four"
            j = i + 1 if atoms[i][1] == "-" and i + 1 < len(atoms) else i
            unit = _NUMBERS.get(atoms[j][1], 0)
            if 0 < unit < 10:
                return j + 1, Token("NUM", number + unit, start, atoms[j][3])
        return i, Token("NUM", number, start, end)
    if word in _ORDINAL_WORDS:
        return i, Token("ORD", _ORDINAL_WORDS[word], start, end)
    return i, Token("WORD", word, start, end)


def _phrase(atoms: list[Atom], i: int, words: tuple[str, ...]) -> int | None:
    """The index after a phrase whose first word stands before atom `i`, None where it does not stand there.

    Hyphens within it are skipped.
    """
    n = len(atoms)
    for word in words[1:]:
        if i < n and atoms[i][1] == "-" and atoms[i][2] == atoms[i - 1][3]:
            i += 1
        if i >= n or atoms[i][1] != word:
            return None
        i += 1
    return i


def _bounded(digits: str) -> int:
    """The number, or one just too large where it has more digits than any number of stitches."""
    digits = digits.lstrip("0") or "0"
    return int(digits) if len(digits) <= len(str(MAX_NUMBER)) else MAX_NUMBER + 1
