"""Which rounds "repeat rounds 3 and 4" or "as for the first leg" means."""

from __future__ import annotations

import re
from itertools import chain
from typing import TYPE_CHECKING, Final

from companion.pattern.syntax import AsRoundNode

if TYPE_CHECKING:
    from companion.pattern.counting import PieceCounter
    from companion.pattern.shared import Stretch

MOST_REFERRED: Final = 400
"""Rounds that one reference stands for at most."""


def referred(
    counter: PieceCounter, reference: AsRoundNode, first: int | None, last: int | None
) -> list[Stretch] | None:
    """The texts of the rounds that are referred to, or None where one of them is not there.

    `first` and `last` are the numbers of the round that refers.
    """
    numbers = counter.by_number
    if reference.name:
        found = _piece_called(counter, reference.name)
        if found is None:
            return None
        numbers = found
    if reference.back:
        begin = (counter.last_number or 0) + 1 if first is None else first
        wanted = range(begin - min(reference.back, MOST_REFERRED), begin)
    elif reference.first:
        wanted = range(reference.first, min(max(reference.first, reference.last), reference.first + 100) + 1)
    elif first is not None and last is not None:
        wanted = range(first, min(last, first + MOST_REFERRED) + 1)
    else:
        return None
    here = None if reference.name else counter.last_number
    stretches = [numbers.get(n) for n in wanted if here is None or reference.first <= n]
    return None if not stretches or None in stretches else [s for s in stretches if s is not None]


def _piece_called(counter: PieceCounter, name: str) -> dict[int, Stretch] | None:
    """The rounds of the piece of just that name or, where there is none, of the first that shares its words."""
    wanted = _words(name)
    pieces = [(words, numbers) for name, numbers in counter.shared.by_piece.items() if (words := _words(name))]
    same = (numbers for words, numbers in pieces if words == wanted)
    alike = (numbers for words, numbers in pieces if set(words) <= set(wanted) or set(wanted) <= set(words))
    last = (numbers for words, numbers in pieces if words[-1] in wanted)
    return next(chain(same, alike, last), None)


def _words(name: str) -> list[str]:
    """The words of a name, "legs" as "leg"."""
    return [word.rstrip("s") for word in re.findall(r"\w+", name.lower())]
