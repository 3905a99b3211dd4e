"""Where in a grammar the sentences lie that the letters of a sound speak for, to lead the decoder's search there."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from companion.phrases.numbers import ways_of_writing

if TYPE_CHECKING:
    from companion.phrases.graph import Grammar, Node

Floats = npt.NDArray[np.float64]

_SHARE = 0.5  # of the letters' judgement, while beams of the decoder are compared
_DEEPEST = 12.0  # natural log; the letters speak no louder than this against a place


class Outlook:
    """For each place in a grammar, how far the best sentence that can still come of it lies below the best of all."""

    def __init__(self, grammar: Grammar, sentences: Iterable[tuple[str, float]]) -> None:
        best: dict[int, float] = {}
        top: float | None = None
        for text, log_prob in sentences:
            top = log_prob if top is None else max(top, log_prob)
            for written in ways_of_writing(text):
                node: Node | None = grammar.start
                for letter in written:
                    node = node.follow(letter) if node is not None else None
                    if node is None:
                        break
                    best[id(node)] = max(best.get(id(node), log_prob), log_prob)
        order = sorted(best)
        self._places = np.array(order, np.int64)
        self._below = np.array([_SHARE * max(best[place] - (top or 0.0), -_DEEPEST) for place in order])

    def of(self, places: npt.NDArray[np.int64]) -> Floats:
        """What to add to the rank of a beam at each place (0 or less); `places` are the ids of nodes."""
        if not len(self._places):
            return np.zeros(len(places))
        at = np.minimum(np.searchsorted(self._places, places), len(self._places) - 1)
        result: Floats = np.where(self._places[at] == places, self._below[at], -_SHARE * _DEEPEST)
        return result
