"""The default ear: a small neural model whose decoding can only come out as a sentence of the grammar.

What it hears is compared with what it would have said anyway (`prior.py`), and unsure sound is looked at again at other
speeds. Decoding itself is in `search.py`, the network in `network.py`.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from companion.ear import models
from companion.ear.network import Network
from companion.ear.prior import Prior
from companion.ear.recogniser import LONGEST_SECONDS, RATE, FreeTranscript, Hearing, Reading, Samples
from companion.ear.search import Finished, Search
from companion.ear.tokens import TokenGraph, Vocabulary

if TYPE_CHECKING:
    from companion.phrases.graph import Grammar

_GRAMMARS_KEPT = 16
_SURE_LOG_PROB, _SURE_MARGIN = -1.0, 8.0  # a first look with this much needs no second
_HOPELESS = -20.0  # as far below the free transcript no second look helps
_OTHER_SPEEDS = (0.9, 1.1)  # at which unsure sound is looked at again


class EmbeddedRecogniser:
    """Decodes with the weights in `folder` (see `companion.ear.models`); opening it takes about a third of a second."""

    def __init__(self, folder: Path) -> None:
        self._network = Network(folder)
        self._vocabulary = Vocabulary.read(folder / "tokenizer.bin")
        self._graphs: dict[int, tuple[Grammar, TokenGraph]] = {}
        self._prior = Prior(self._network)

    @classmethod
    def open(cls) -> EmbeddedRecogniser:
        """With the fetched weights, once they are found whole. Raises ModelError."""
        return cls(models.require(models.EMBEDDED))

    def hear(self, sound: Samples, grammar: Grammar) -> Hearing:
        """Decode one utterance of mono sound at 16 kHz under a grammar; see `companion.ear.recogniser`."""
        sound = sound[: int(LONGEST_SECONDS * RATE)]
        states = self._network.listen(sound)
        seconds = len(sound) / RATE
        search = Search(self._network, self._vocabulary, self._graph(grammar), self._prior.first)
        free = search.run(states, seconds)
        found = self._looked_at_again(search.best(), sound, free)
        priors = self._prior.of([each.bound_tokens for each in found])
        readings = tuple(self._reading(each, prior) for each, prior in zip(found, priors, strict=True))
        return Hearing(readings, free, seconds)

    def _looked_at_again(self, found: list[Finished], sound: Samples, free: FreeTranscript) -> list[Finished]:
        """The same sentences with log probabilities averaged over several speeds of the sound, where one is unsure.

        What the network mishears at one speed it often hears at another, and its mistakes differ more than its hits.
        """
        if not found or found[0].log_prob < free.log_prob + _HOPELESS:
            return found
        margin = found[0].log_prob - found[1].log_prob if len(found) > 1 else math.inf
        if found[0].log_prob > _SURE_LOG_PROB and margin > _SURE_MARGIN:
            return found
        import soxr

        looks = [np.array([each.best.score + each.end for each in found])]
        for speed in _OTHER_SPEEDS:
            states = self._network.listen(soxr.resample(sound, speed, 1.0).astype(np.float32))
            looks.append(np.array(self._network.score([each.best.tokens for each in found], states)))
        for each, change in zip(found, np.mean(looks, axis=0) - looks[0], strict=True):
            each.log_prob += float(change)
        return sorted(found, key=lambda each: -each.log_prob)

    def _reading(self, found: Finished, prior: float) -> Reading:
        tokens = len(found.best.tokens) + 1
        if found.best.bound is None:
            return Reading.whole(found.text, found.log_prob, tokens, found.end, prior)
        bound_tokens, bound_log_prob = found.best.bound
        bound = len(self._vocabulary.bound_text(found.bound_tokens))
        return Reading(found.text, found.log_prob, tokens, found.end, bound, bound_log_prob, bound_tokens, prior)

    def _graph(self, grammar: Grammar) -> TokenGraph:
        kept = self._graphs.get(id(grammar))
        if kept is None:
            if len(self._graphs) >= _GRAMMARS_KEPT:
                self._graphs.pop(next(iter(self._graphs)))
            kept = self._graphs[id(grammar)] = (grammar, TokenGraph(self._vocabulary, grammar))
        return kept[1]
