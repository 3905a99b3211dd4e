"""Spoken measures in figures, as patterns print them: "two and a half millimetres" is "2.5 mm"."""

from __future__ import annotations

import re

from companion.phrases.numbers import value

_UNITS = {
    "millimetre": "mm",
    "millimetres": "mm",
    "millimeter": "mm",
    "millimeters": "mm",
    "centimetre": "cm",
    "centimetres": "cm",
    "centimeter": "cm",
    "centimeters": "cm",
}
_LONGEST = 6
"""Words of the longest number, "one hundred and twenty eight" and one to spare."""


def in_figures(text: str) -> str:
    """The text with its numbers in figures and its units abbreviated; all else as it is."""
    words = text.split()
    found: list[str] = []
    at = 0
    while at < len(words):
        for length in range(min(_LONGEST, len(words) - at), 0, -1):
            number = value(" ".join(words[at : at + length]).lower().replace("-", " "))
            if number is not None:
                found.append(str(number))
                at += length
                break
        else:
            found.append(_UNITS.get(words[at].lower(), words[at]))
            at += 1
    written = re.sub(r"\b(\d+) and a half\b", r"\1.5", " ".join(found), flags=re.IGNORECASE)
    written = re.sub(r"\b(\d+) and a quarter\b", r"\1.25", written, flags=re.IGNORECASE)
    written = re.sub(r"\b(\d+) and 3 quarters\b", r"\1.75", written, flags=re.IGNORECASE)
    written = re.sub(r"\b(\d+) point (\d)\b", r"\1.\2", written, flags=re.IGNORECASE)
    return re.sub(r"\b(?:a|an) (inch|cm|mm)\b", r"1 \1", written, flags=re.IGNORECASE)
