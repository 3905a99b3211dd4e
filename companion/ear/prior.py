"""What the network thinks of sentences as such, when it hears nothing."""

from __future__ import annotations

import numpy as np

from companion.ear.network import Floats, Network
from companion.ear.recogniser import RATE

_KEPT = 5_000
_SILENCE_SECONDS = 1.5


class Prior:
    """How likely the network finds sentences when it hears nothing at all, remembered by their tokens.

    A network that was trained on transcripts has picked up their language with them, and prefers what people write to
    what makers say. Listening to near silence shows that preference alone, so that it can be taken off again.
    """

    def __init__(self, network: Network) -> None:
        self._network = network
        hiss = np.random.default_rng(0).standard_normal(int(_SILENCE_SECONDS * RATE)) * 1e-4
        self._silence = network.listen(hiss.astype(np.float32))[0]
        self.first: Floats = network.begin(self._silence)[0][0]
        """The log probability of each token as the first of a sentence."""
        self._known: dict[tuple[int, ...], float] = {}

    def of(self, sentences: list[tuple[int, ...]]) -> list[float]:
        """The log probability of each sentence, given as its tokens."""
        unknown = [sentence for sentence in sentences if sentence not in self._known]
        if unknown:
            if len(self._known) > _KEPT:
                self._known.clear()
                unknown = sentences
            scored = self._network.score(unknown, self._silence)
            self._known.update(zip(unknown, scored, strict=True))
        return [self._known[sentence] for sentence in sentences]
