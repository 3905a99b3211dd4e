"""A second opinion on the same sound: which letter each frame of the encoder's states holds.

The decoder is a writer: it goes on with what people usually write, and a word that it has lost it makes up. A small
network beside it looks at the states of several of the encoder's layers, each moment with its neighbours, and says
which letter is spoken there, or none (connectionist temporal classification, Graves et al. 2006). It knows no language.
Where both agree little doubt is left.

Its weights in `letters.npz` are fitted by `python -m benchmarks.fit_letters`; the layout is told in `Letters`.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from itertools import pairwise

import numpy as np
import numpy.typing as npt
from num2words import num2words

Floats = npt.NDArray[np.float32]

ALPHABET = " abcdefghijklmnopqrstuvwxyz'"
"""The letters told apart; class 0 is "no letter", class n the nth of these."""

CLASS_OF = {letter: number for number, letter in enumerate(ALPHABET, 1)}

_IMPOSSIBLE = -1e30
_NUMBER = re.compile(r"(\d+)(st|nd|rd|th)?")


class Letters:
    """The small network: a projection, blocks that look at neighbouring frames, and a projection to letters.

    Arrays, with H its width: `mean` and `spread` [1440] of the states; `in` [1440, H] and `in_bias`; for each block n
    `near_n` [frames, H, H], a convolution along time, and `near_bias_n`; `letters` [H, 29] and `letters_bias`. Kept in
    16 bits, or in 8 where there is an array of the same name with `_step` after it: what a step is in each column.
    """

    def __init__(self) -> None:
        with files("companion.ear").joinpath("letters.npz").open("rb") as file, np.load(file) as kept:
            arrays = {name: kept[name].astype(np.float32) for name in kept.files}
        self._arrays = {name: value * arrays.get(f"{name}_step", 1) for name, value in arrays.items()}
        self._blocks = sum(name.startswith("near_bias_") for name in self._arrays)

    def heard(self, layers: Floats) -> Floats:
        """Log probabilities [T, 29] of the letters in each frame, for the layers' states [T, 1440]."""
        a = self._arrays
        hidden = _gelu((layers - a["mean"]) / a["spread"] @ a["in"] + a["in_bias"])
        for n in range(self._blocks):
            hidden = hidden + self._block(hidden, n)
        scores = hidden @ a["letters"] + a["letters_bias"]
        scores -= scores.max(axis=-1, keepdims=True)
        result: Floats = scores - np.log(np.exp(scores).sum(axis=-1, keepdims=True))
        return result

    def _block(self, hidden: Floats, n: int) -> Floats:
        a = self._arrays
        filters = a[f"near_{n}"]
        reach = len(filters) // 2
        padded = np.pad(hidden, ((reach, reach), (0, 0)))
        near = sum(padded[k : k + len(hidden)] @ weights for k, weights in enumerate(filters))
        return _gelu(near + a[f"near_bias_{n}"])


def disagreement(heard: Floats, texts: Sequence[str]) -> Floats:
    """How far each text falls behind the best row of letters of all, in natural log (0 or less), over all alignments.

    `heard` as from `Letters.heard`. The forward algorithm of Graves et al. 2006, section 4.1, for all texts at once.
    """
    if not texts:
        return np.zeros(0, np.float32)
    rows = [[CLASS_OF[letter] for letter in in_letters(text)] for text in texts]
    width = 2 * max(map(len, rows)) + 1
    states = np.zeros((len(rows), width), np.int64)  # nothing, letter, nothing, letter, ..., nothing
    may_skip = np.zeros((len(rows), width), bool)
    for n, row in enumerate(rows):
        states[n, 1 : 2 * len(row) : 2] = row
        may_skip[n, 3 : 2 * len(row) : 2] = [one != other for one, other in pairwise(row)]
    at = np.full((len(rows), width), _IMPOSSIBLE)
    at[:, :2] = heard[0][states[:, :2]]
    for frame in heard[1:]:
        before = at
        at = before.copy()
        at[:, 1:] = np.logaddexp(at[:, 1:], before[:, :-1])
        at[:, 2:] = np.logaddexp(at[:, 2:], np.where(may_skip[:, 2:], before[:, :-2], _IMPOSSIBLE))
        at += frame[states]
    every = np.arange(len(rows))
    last = np.array([2 * len(row) for row in rows])
    total = np.logaddexp(at[every, last], at[every, np.maximum(last - 1, 0)])
    best = float(heard.max(axis=-1).sum())
    result: Floats = np.clip(total - best, -_FURTHEST, 0).astype(np.float32)
    return result


_FURTHEST = 1_000.0  # a text that cannot be in so few frames at all


@cache
def in_letters(text: str) -> str:
    """A text as it is spoken, in the letters of `ALPHABET`: "23rd" is "twenty third", a hyphen is a space."""
    words = _NUMBER.sub(_number_in_words, text.lower())
    return " ".join("".join(letter if letter in CLASS_OF else " " for letter in words).split())


def _number_in_words(found: re.Match[str]) -> str:
    kind = "ordinal" if found[2] else "cardinal"
    return str(num2words(int(found[1][:9]), to=kind))


def _gelu(values: Floats) -> Floats:
    result: Floats = 0.5 * values * (1 + np.tanh(0.7978845608 * (values + 0.044715 * values**3)))
    return result
