"""What every recogniser takes and gives: sound and a grammar in, texts with scores out.

Sound is always mono float32 at 16,000 samples a second, in -1 to 1. A recogniser knows nothing of what a text means;
the text that wins goes through the same parser as typed words.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    from companion.phrases.graph import Grammar, Node

RATE = 16_000
"""Samples a second, everywhere inside the ear."""

LONGEST_SECONDS = 8.0
"""A command is no longer than this; what is longer is cut, so that memory and time stay bounded."""

Samples = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Reading:
    """One sentence of the grammar that the sound may be.

    `log_prob` is its natural-log probability given the sound, over all ways of writing it, its end included; `tokens`
    how many steps it took.

    A sentence with an open tail ("note ...") is bound by the grammar only up to there, and any words fit the rest:
    `bound` is how many characters of the text are bound, and `bound_log_prob` and `bound_tokens` speak of them alone.

    `prior` is the log probability that the recogniser gives the same sentence where nothing can be heard: how much it
    likes the words as such ("I do" far better than "undo"). A recogniser that does not know it gives 0.

    `letters` is what a second opinion says, which hears letters and knows no words: how far the text falls behind the
    best row of letters of all, in natural log, 0 or less. A recogniser that has none gives 0.
    """

    text: str
    log_prob: float
    tokens: int
    bound: int
    bound_log_prob: float
    bound_tokens: int
    prior: float = 0.0
    letters: float = 0.0

    @property
    def has_tail(self) -> bool:
        """Whether the text ends in words that the grammar leaves open."""
        return self.bound < len(self.text)

    @classmethod
    def whole(cls, text: str, log_prob: float, tokens: int, prior: float = 0.0, letters: float = 0.0) -> Reading:
        """A reading without an open tail."""
        return cls(text, log_prob, tokens, len(text), log_prob, tokens, prior, letters)


@dataclass(frozen=True, slots=True)
class FreeTranscript:
    """What the recogniser hears when nothing binds it, for comparison with the readings."""

    text: str
    log_prob: float
    tokens: int


@dataclass(frozen=True, slots=True)
class Hearing:
    """What one utterance may be: readings best first (none where no sentence fits at all) and the free transcript."""

    readings: tuple[Reading, ...]
    free: FreeTranscript
    seconds: float


class Recogniser(Protocol):
    """Anything that turns sound into readings of a grammar."""

    def hear(self, sound: Samples, grammar: Grammar) -> Hearing:
        """Decode one utterance; only its first `LONGEST_SECONDS` are used."""
        ...

    def prepare(self, grammar: Grammar) -> None:
        """Work out what the first hearing under a grammar would be kept waiting for; quick where that was done."""
        ...


def can_go_on(text: str, grammar: Grammar) -> bool:
    """Whether a sentence of the grammar begins with `text` and is longer, so that the speaker may not have finished.

    A text that has run into the open tail of a sentence ("note ...") can always go on.
    """
    node: Node | None = grammar.start
    for char in text:
        if node is None:
            return False
        if node.free:
            return True
        node = node.follow(char.lower())
    return node is not None and (node.goes_on or node.free)
