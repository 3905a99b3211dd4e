"""Patterns written for several sizes: "20 (24, 28)" gives one number a size."""

from __future__ import annotations

import re
from typing import Final

_STATED: Final = re.compile(
    r"\bsizes?\b[^\n]{0,60}?\b[\w.½¼¾-]+(?:\s?(?:cm|in|inches|mm))?\s*\(\s*([^()\n]*,[^()\n]*|(?:m|l|xl|large|medium|adult|child)\w*)\)",
    re.IGNORECASE,
)
_NUMBERS: Final = re.compile(r"(?<![\d×x*] )(?<![\d×x*])\b\d{1,4} ?\((\d{1,4}(?:, ?\d{1,4})+)\)")


def sizes_in(text: str) -> tuple[int, int]:
    """How many sizes a pattern is written for (1 where there is no choice), and where in the text that shows.

    It shows where the sizes are named, "Sizes: S (M, L)", or where at least three numbers are followed by the same
    number of others in brackets.
    """
    stated = _STATED.search(text)
    if stated:
        return stated[1].count(",") + 2, stated.start()
    found = list(_NUMBERS.finditer(text))
    counts = {match[1].count(",") + 2 for match in found}
    if len(found) >= 3 and len(counts) == 1:
        return counts.pop(), found[0].start()
    return 1, 0
