"""Round instructions as tokens: words, numbers and signs, each with its place in the text.

The vocabulary is data: `words.yaml` and the stitch table. Upper case, curly quotes, dashes and the like are folded
one character to one character, so that every offset stays true.
"""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files
from typing import Final, NamedTuple

import yaml
from pydantic import TypeAdapter

from companion.pattern.stitches import table

MAX_NUMBER: Final = 100_000
"""The largest number taken seriously. A larger one is reported, and nothing of that size is ever built."""


class Token(NamedTuple):
    """One token. `start` and `end` are offsets into the folded text; `value` depends on the type."""

    type: str
    value: str | int
    start: int
    end: int
    glued: bool = False  # no space before it

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

    end_line = column = end_column = line


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
    r"(?P<tog>[a-z]+[0-9]+tog)\b"
    r"|(?P<ord>(?:[0-9]*[02-9])?1st\b|(?:[0-9]*[02-9])?2nd\b|(?:[0-9]*[02-9])?3rd\b|[0-9]*(?:1[1-3]|[04-9])th\b)"
    r"|(?P<num>[0-9]+)"
    r"|(?P<word>[a-z]+(?:'[a-z]+)?)"
    r"|(?P<sign>\S)"
)

_UNITS: Final = (
    "one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen "
    "eighteen nineteen"
).split()
_TENS: Final = "twenty thirty forty fifty sixty seventy eighty ninety".split()
_ORDINALS: Final = "second third fourth fifth sixth seventh eighth ninth tenth".split()

_SIGNS: Final = {
    ",": "SEP", ";": "SEP", ".": "SEP", "+": "SEP", "/": "SEP", "•": "SEP", "|": "SEP", "\\": "SEP", "…": "SEP",
    "!": "SEP", "?": "SEP", "(": "OPEN", "[": "OPEN", "{": "OPEN", "<": "OPEN", ")": "CLOSE", "]": "CLOSE",
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


def fold(text: str) -> str:
    """The text in lower case with plain quotes, dashes and spaces, of exactly the same length."""
    return text.translate(_FOLDED)


def _split(phrase: str) -> tuple[str, ...]:
    return tuple(re.findall(r"[a-z]+(?:'[a-z]+)?|&", fold(phrase)))


@cache
def phrases() -> Phrases:
    """All phrases of the vocabulary by their first word, longest first: (words, terminal, value)."""
    raw = yaml.safe_load(files("companion.pattern").joinpath("words.yaml").read_text(encoding="utf-8"))
    words = TypeAdapter(dict[str, tuple[str, ...]]).validate_python(raw)
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


def lex(text: str, vocabulary: Phrases) -> list[Token]:
    """The tokens of a folded text, in order. Unknown words come out as WORD, unknown signs as SIGN."""
    atoms = [(m.lastgroup, m.group(), m.start(), m.end()) for m in _ATOMS.finditer(text)]
    numbers, ordinals = _number_words(), _ordinal_words()
    out: list[Token] = []
    i, n, before = 0, len(atoms), -1
    while i < n:
        group, value, start, end = atoms[i]
        glued = start == before
        i += 1
        if group == "word":
            match = _phrase(atoms, i - 1, value, vocabulary)
            if match is not None and not (value in numbers and match[1] == "FILLER"):
                i, terminal, meaning, end = match
                out.append(Token(terminal, meaning, start, end, glued))
            elif value in numbers:
                number = numbers[value]
                if number >= 20 and i < n:  # "twenty-four", "twenty four"
                    j = i + 1 if atoms[i][1] == "-" and i + 1 < n else i
                    unit = numbers.get(atoms[j][1], 0)
                    if 0 < unit < 10:
                        number, end, i = number + unit, atoms[j][3], j + 1
                out.append(Token("NUM", number, start, end, glued))
            elif value in ordinals:
                out.append(Token("ORD", ordinals[value], start, end, glued))
            else:
                out.append(Token("WORD", value, start, end, glued))
        elif group == "num":
            out.append(Token("NUM", int(value) if len(value) < 7 else MAX_NUMBER + 1, start, end, glued))
        elif group == "ord":
            out.append(Token("ORD", int(value[:-2]) if len(value) < 8 else MAX_NUMBER + 1, start, end, glued))
        elif group == "tog":
            out.append(Token("TOG", value, start, end, glued))
        elif value == "'" or value == '"':
            pass  # inch marks and quotes say nothing about stitches
        elif value == "-" and glued and end < len(text) and text[end] != " " and not text[end : end + 1].isdigit():
            pass  # a hyphen inside a word, "half-double"
        elif value == "-" and glued and end < len(text) and text[end] != " " and group == "sign" and out:
            if out[-1].type == "NUM":
                out.append(Token("DASH", value, start, end, glued))  # "5-9"; else "ch-2"
        else:
            out.append(Token(_SIGNS.get(value, "SIGN"), value, start, end, glued))
        before = end
    return out


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
