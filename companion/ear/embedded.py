"""The default ear: a small neural model whose decoding can only come out as a sentence of the grammar.

What it hears is compared with what it would have said anyway (`prior.py`) and with a second opinion that hears letters
(`letters.py`), which also leads the search to sentences that the decoder would have lost early. Decoding itself is in
`search.py`, the network in `network.py`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from companion.ear import models
from companion.ear.letter_search import LetterTree, spelled_best
from companion.ear.letters import Letters, disagreement
from companion.ear.network import Floats, Network
from companion.ear.outlook import Outlook
from companion.ear.prior import Prior
from companion.ear.recogniser import LONGEST_SECONDS, RATE, Hearing, Reading, Samples
from companion.ear.search import Finished, Search
from companion.ear.tokens import TokenGraph, Vocabulary
from companion.phrases.numbers import ways_of_writing

if TYPE_CHECKING:
    from companion.phrases.graph import Grammar

_GRAMMARS_KEPT = 16
_NODES_KEPT = 8_000  # of a grammar, some fifty megabytes; after some dozens of noisy utterances it begins anew
_RIVALS, _RIVALS_REACH = 8, 20.0  # how many, and how far (natural log) below what the letters speak for most


@dataclass(frozen=True, slots=True)
class _Graphs:
    """A grammar as the decoder and the letters walk it."""

    grammar: Grammar
    tokens: TokenGraph
    letters: LetterTree


class EmbeddedRecogniser:
    """Decodes with the weights in `folder` (see `companion.ear.models`); opening it takes about a third of a second."""

    def __init__(self, folder: Path) -> None:
        self._network = Network(folder)
        self._vocabulary = Vocabulary.read(folder / "tokenizer.bin")
        self._letters = Letters()
        self._graphs: dict[int, _Graphs] = {}
        self._prior = Prior(self._network)

    @classmethod
    def open(cls) -> EmbeddedRecogniser:
        """With the fetched weights, once they are found whole. Raises ModelError."""
        return cls(models.require(models.EMBEDDED))

    def hear(self, sound: Samples, grammar: Grammar) -> Hearing:
        """Decode one utterance of mono sound at 16 kHz under a grammar; see `companion.ear.recogniser`."""
        sound = sound[: int(LONGEST_SECONDS * RATE)]
        states, layers = self._network.listen(sound)
        seconds = len(sound) / RATE
        graphs = self._graphs_of(grammar)
        letters = self._letters.heard(layers)
        by_letters = spelled_best(letters, graphs.letters)
        outlook = Outlook(grammar, by_letters)
        search = Search(self._network, self._vocabulary, graphs.tokens, self._prior.first, outlook)
        free = search.run(states, seconds)
        found = search.best()
        priors = self._prior.of([each.bound_tokens for each in found])
        rivals = _rivals(by_letters, {each.text for each in found})
        spelled = disagreement(letters, [*(each.text for each in found), *rivals]).tolist()
        readings = [*map(self._reading, found, priors, spelled)]
        readings += self._looked_up(rivals, states, spelled[len(found) :])
        return Hearing(tuple(readings), free, seconds)

    def prepare(self, grammar: Grammar) -> None:
        """Build the graphs of a grammar, which takes half a second; see `companion.ear.recogniser`."""
        ways_of_writing("")  # its pattern of all numbers is made when it is first asked for
        self._graphs_of(grammar)

    def _looked_up(self, texts: list[str], states: Floats, letters: list[float]) -> Iterator[Reading]:
        """What the decoder thinks of sentences that its search did not come to."""
        if texts:
            tokens = [self._vocabulary.spell(text) for text in texts]
            scored = self._network.score(tokens, states)
            priors = self._prior.of(tokens)
            for text, ids, log_prob, prior, spelled in zip(texts, tokens, scored, priors, letters, strict=True):
                yield Reading.whole(text, log_prob, len(ids) + 1, prior, spelled)

    def _reading(self, found: Finished, prior: float, letters: float) -> Reading:
        tokens = len(found.best.tokens) + 1
        if found.best.bound is None:
            return Reading.whole(found.text, found.log_prob, tokens, prior, letters)
        bound_tokens, bound_log_prob = found.best.bound
        bound = len(self._vocabulary.bound_text(found.bound_tokens))
        return Reading(found.text, found.log_prob, tokens, bound, bound_log_prob, bound_tokens, prior, letters)

    def _graphs_of(self, grammar: Grammar) -> _Graphs:
        kept = self._graphs.get(id(grammar))
        if grammar.known_nodes > _NODES_KEPT:
            grammar.forget()
            kept = None
        if kept is None:
            if len(self._graphs) >= _GRAMMARS_KEPT:
                self._graphs.pop(next(iter(self._graphs)))
            kept = _Graphs(grammar, TokenGraph(self._vocabulary, grammar), LetterTree(grammar))
            self._graphs[id(grammar)] = kept
        return kept


def _rivals(by_letters: list[tuple[str, float]], known: set[str]) -> list[str]:
    """What the letters speak for and the search did not come to: without these a margin would look wider than it is.

    Sentences with an open tail, which end in a space here, are left out: the letters do not tell what is in it.
    """
    best = by_letters[0][1] if by_letters else 0.0
    near = (text for text, log_prob in by_letters[:_RIVALS] if log_prob > best - _RIVALS_REACH)
    return [text for text in near if text not in known and not text.endswith(" ")]
