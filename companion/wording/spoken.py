"""Written bits of a pattern made speakable: abbreviations in full, digits as words, signs as words or pauses.

Used for everything that is read aloud as written: notes, materials, text the reader could not work out. The meaning
is never changed and no number is added or dropped; only the way it is written is.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Literal

import yaml
from pydantic import BaseModel, ConfigDict

from companion.pattern.model import Terms
from companion.wording import names, numbers


class Abbreviations(BaseModel):
    """The content of abbreviations.yaml: how written bits are spoken."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    words: Mapping[str, str]
    by_terms: Mapping[str, Mapping[Literal["US", "UK"], str]]
    units: Mapping[str, tuple[str, str]]
    plural_before: frozenset[str]
    signs: Mapping[str, str]
    not_a_stitch_in_prose: frozenset[str]


@cache
def abbreviations() -> Abbreviations:
    """The table, read once."""
    path = Path(__file__).with_name("abbreviations.yaml")
    return Abbreviations.model_validate(yaml.safe_load(path.read_text(encoding="utf-8")))


_FRACTIONS = {"¼": Decimal("0.25"), "½": Decimal("0.5"), "¾": Decimal("0.75")}
_NUMBER = r"[0-9]+(?:\.[0-9]+)?"
_HALVES = r"(?:[0-9]+\s?)?[¼½¾]|\b(?:[0-9]+\s)?(?:1/2|1/4|3/4)\b"
_AMOUNT = rf"(?:{_HALVES}|{_NUMBER})"
_UNITS = "|".join(sorted((re.escape(unit) for unit in abbreviations().units), key=len, reverse=True))

_ROUND_BEFORE = re.compile(r"\b(?:rounds?|rnds?|rows?)\.?\s*$", re.IGNORECASE)
_MEASURED = r"(?=\s?(?:mm|cm|m|g|metres?|meters?|yards?|yds?|grams?|inch(?:es)?|in)\b)"
_THOUSANDS = re.compile(rf"(?<![\w.,])([1-9][0-9]?),([0-9]{{3}}){_MEASURED}")
_DECIMAL_COMMA = re.compile(rf"(?<![\w.,])([0-9]{{1,3}}),([0-9]{{1,2}}){_MEASURED}")

_TOKEN = rf"""
      (?P<total>  [\[(] \s* [0-9]+ \s* (?:sts?\.?|stitches)? \s* [\])] )
    | (?P<tog>    \b (?P<joined> [A-Za-z]+ ) \s? [0-9]+ \s? tog \b )
    | (?P<chsp>   \b ch s? [\s-]? [0-9]+ [\s-]? (?:sp|space) s? \b )
    | (?P<times>  (?<![A-Za-z]) [x×] \s? [0-9]+ (?! \.?[0-9] ) | \b [0-9]+ [x×] (?![A-Za-z0-9]) )
    | (?P<size>   (?<![\w.]) (?P<low> {_AMOUNT} ) (?: \s? [-–—] \s? (?P<high> {_AMOUNT} ) )? \s? (?P<unit> {_UNITS} )
                  (?![A-Za-z]) )
    | (?P<half>   {_HALVES} )
    | (?P<nth>    \b [0-9]+ (?:st|nd|rd|th) \b )
    | (?P<round>  (?<![\w.]) R [0-9]+ (?: \s? [-–—] \s? R? [0-9]+ )? (?! \.?[0-9] | \w ) )
    | (?P<range>  (?<![\w.]) [0-9]+ \s? [-–—] \s? [0-9]+ (?! \.?[0-9] ) )
    | (?P<number> {_NUMBER} )
    | (?P<stitch> (?:STITCHES) \.? )
    | (?P<word>   [^\W\d_]+ (?: ['’-] [^\W\d_]+ )* \.? )
    | (?P<space>  \s+ )
    | (?P<other>  . )
"""


@cache
def _tokens(written: Terms) -> re.Pattern[str]:
    """Cuts text written in these terms into what is spoken in its own way."""
    stitches = names.spellings(written, abbreviations().not_a_stitch_in_prose).pattern
    return re.compile(_TOKEN.replace("STITCHES", stitches), re.VERBOSE | re.DOTALL | re.IGNORECASE)


class Speakable:
    """Turns written text into speakable text.

    `terms` are the maker's, `written` those the text is written in: names of stitches are told in the maker's. `own`
    holds a pattern's own abbreviations; they count only where the tables know nothing.
    """

    def __init__(self, terms: Terms = "US", written: Terms | None = None, own: Mapping[str, str] | None = None) -> None:
        self._terms = terms
        self._written = written or terms
        self._own = {key.lower().rstrip("."): meaning.split(":")[0] for key, meaning in (own or {}).items()}

    def __call__(self, text: str) -> str:
        """The text as it should be spoken: no digits, no abbreviation that is known, no sign that is not a pause."""
        text = _commas_in_numbers("".join(map(_number_sign, unicodedata.normalize("NFC", text))))
        brackets = _repeated_brackets(text)
        tokens = _tokens(self._written).finditer(text)
        return _tidy("".join(brackets.get(match.start()) or self._spoken(match, text) for match in tokens))

    def _spoken(self, match: re.Match[str], text: str) -> str:
        written = match.group()
        match match.lastgroup:
            case "total":
                (number,) = _digits(written)
                return f", total {numbers.stitches(number) if 'st' in written else numbers.cardinal(number)}."
            case "tog":
                return f" {self._stitch(match['joined'], '')} {numbers.cardinal(*_digits(written))} together"
            case "chsp":
                return f" chain {numbers.cardinal(*_digits(written))} space{'s' if written.endswith('s') else ''}"
            case "times":
                return f" {numbers.times(*_digits(written))} "
            case "half":
                return f" {_spoken_amount(written)} "
            case "size":
                return self._size(match, text[match.end() :])
            case "nth":
                return numbers.ordinal(*_digits(written))
            case "round":
                first, *last = _digits(written)
                said = numbers.span(first, *last) if last else numbers.cardinal(first)
                named = _ROUND_BEFORE.search(text[: match.start()]) is not None
                return said if named else f"round{'s' if last else ''} {said}"
            case "range":
                return numbers.span(*_digits(written))
            case "number":
                return f" {numbers.decimal(written)} "
            case "stitch":
                return self._stitch(written, text[: match.start()]) + _stop(written, text[match.end() :])
            case "word":
                known = self._known(written.rstrip(".").lower())
                return written_plainly(written) if known is None else known + _stop(written, text[match.end() :])
            case "space":
                return " "
            case _:
                return self._sign(written, text[: match.start()], text[match.end() :])

    def _size(self, match: re.Match[str], following: str) -> str:
        unit = match["unit"]
        one, many = abbreviations().units.get(unit.casefold(), (unit, unit))
        low, high = _amount(match["low"]), match["high"]
        number = _spoken_amount(match["low"]) + (f" to {_spoken_amount(high)}" if high else "")
        next_word = re.match(r"[\s-]*([A-Za-z]+)", following)
        describes = next_word is not None and next_word[1].lower() not in abbreviations().plural_before
        single = describes or (high is None and low <= 1)
        return f" {number} {one if single else many} "

    def _stitch(self, written: str, before: str) -> str:
        """The stitch's name in the maker's terms; plural after a number above one, or where it is written so."""
        bare = written.lower().rstrip(".")
        stitch = names.find(bare, self._written) or names.find(bare.replace("-", " "), self._written)
        if stitch is None:
            return self._known(bare) or written_plainly(written)
        one, many = names.spoken(stitch.key, self._terms)
        number = re.search(r"([0-9]+)\s*$", before)
        plural = int(number[1]) != 1 if number else bare == stitch.names(self._written).plural.lower()
        return many if plural else one

    def _known(self, key: str) -> str | None:
        table = abbreviations()
        return table.by_terms.get(key, {}).get(self._terms) or table.words.get(key) or self._own.get(key)

    @staticmethod
    def _sign(written: str, before: str, following: str) -> str:
        if written in abbreviations().signs:
            return f" {abbreviations().signs[written]} "
        if written in "()[]{}":
            return ", "
        if written in "-–—":
            joins = before[-1:].isalnum() and following[:1].isalnum()
            return " " if joins else ", "
        if written in ".,;:!?'’":
            return written
        return written if unicodedata.category(written)[0] in "LM" else " "


def spell(word: str) -> str:
    """The word letter by letter, for "spell it": "skep" -> "S, K, E, P". Figures are said as words."""
    letters = [c for c in unicodedata.normalize("NFC", word) if c.isalnum() or c in "-'’"]
    spoken = {"-": "hyphen", "'": "apostrophe", "’": "apostrophe"}
    return ", ".join(
        numbers.cardinal(unicodedata.decimal(c)) if c.isdecimal() else spoken.get(c, c.upper()) for c in letters
    )


def sentence(text: str) -> str:
    """The text with a capital at its start and a full stop at its end, where it has neither."""
    text = text.strip()
    if not text:
        return ""
    return text[0].upper() + text[1:] + ("" if text[-1] in ".!?" else ".")


def written_plainly(word: str) -> str:
    """A word as a voice should meet it: one in capitals would be spelled out."""
    return word.lower() if len(word) > 2 and word.isupper() and re.search("[AEIOUY]", word) else word


def _stop(written: str, following: str) -> str:
    """The full stop after an abbreviation, where it ends a sentence and not just the abbreviation."""
    ends = written.endswith(".") and re.match(r"\s*$|\s+[A-Z]", following)
    return "." if ends else ""


def _repeated_brackets(text: str) -> dict[int, str]:
    """Where brackets hold what is to be repeated, and so must be heard: position -> "open bracket"."""
    spoken: dict[int, str] = {}
    open_at: list[int] = []
    for position, sign in enumerate(text):
        if sign in "([":
            open_at.append(position)
        elif sign in ")]" and open_at:
            start = open_at.pop()
            if re.match(r"\s*(?:[x×*]\s*)?[0-9]|\s+(?:around|across|once|twice|to\b|until|all)", text[position + 1 :]):
                spoken[start], spoken[position] = " open bracket, ", ", close bracket, "
    return spoken


def _digits(written: str) -> list[int]:
    return [int(number) for number in re.findall(r"[0-9]+", written)]


def _amount(written: str) -> Decimal:
    """The value of "2.5", "2 1/2" or "2½"."""
    for sign, value in _FRACTIONS.items():
        written = written.replace(sign, f" {value}")
    total = Decimal(0)
    for part in written.split():
        top, _, bottom = part.partition("/")
        total += Decimal(top) / Decimal(bottom or 1)
    return total


def _spoken_amount(written: str) -> str:
    """Fractions as fractions, decimals as decimals: "2½" -> "two and a half", "2.5" -> "two point five"."""
    return numbers.decimal(written) if re.fullmatch(_NUMBER, written) else numbers.quantity(_amount(written))


def _number_sign(sign: str) -> str:
    """A sign that stands for a number, in words: "⅔", "³", digits of other scripts. Others come back unchanged."""
    if sign in _FRACTIONS or sign in "0123456789" or unicodedata.category(sign)[0] != "N":
        return sign
    return f" {numbers.fraction(Fraction(unicodedata.numeric(sign)).limit_denominator(16))} "


def _commas_in_numbers(text: str) -> str:
    """ "1,200 m" and "3,5 mm" without their commas, which part no two numbers there; "90, 100 sts" keeps its own."""
    return _DECIMAL_COMMA.sub(r"\1.\2", _THOUSANDS.sub(r"\1\2", text))


def _tidy(text: str) -> str:
    """Spaces and pauses as a printed sentence has them."""
    text = re.sub(r"\s+", " ", text).strip()
    text = re.sub(r"\s+([.,;:!?])", r"\1", text)
    text = re.sub(r"([,;:])(?:\s*[,;:])+", r"\1", text)
    text = re.sub(r"[,;:]+\s*([.!?])", r"\1", text)
    text = re.sub(r"([.!?])\s*(?:[,;:.]\s*)+", r"\1 ", text)
    text = re.sub(r"([,;:])(?=\S)", r"\1 ", text)
    text = re.sub(r"(?<=[.!?] )[a-z]", lambda match: match.group().upper(), text)
    return text.strip(" ,;:")
