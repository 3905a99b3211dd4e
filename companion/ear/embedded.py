"""The default ear: a small neural model whose decoding can only come out as a sentence of the grammar.

A beam search walks the grammar's character graph token by token; beside it, in the same batch, runs the free transcript
that nothing binds. Ways of writing one sentence ("Next round.", "next round", "23" and "twenty three" cut in different
tokens) share its probability: their sum is the sentence's.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from companion.ear import models
from companion.ear.network import Cache, Floats, Network
from companion.ear.recogniser import LONGEST_SECONDS, RATE, FreeTranscript, Hearing, Reading, Samples
from companion.ear.tokens import END, MARKS, TokenGraph, Vocabulary

if TYPE_CHECKING:
    from companion.phrases.graph import Grammar, Node

_REACH = 10.0  # a beam so far (natural log) below the best beside it is given up: few go on where the sound is clear
_MOST = 24  # beams that go on at each step, however unsure
_FLOOR = 8.0  # a beam so far below the best finished sentence can no longer matter
_TOKENS_A_SECOND = 8  # fast speech stays below this; more is the model talking to itself
_TOKENS_AT_LEAST = 8
_GRAMMARS_KEPT = 16
_READINGS = 8  # that are told of; what lies further down is no rival
_PRIORS_KEPT = 5_000
_SILENCE_SECONDS = 1.5
_LOWEST = -math.inf


@dataclass(frozen=True, slots=True)
class _Beam:
    """A sentence begun: its log probability, its place in the grammar, its tokens, and its row in the batch.

    `closed` after a punctuation mark. `bound` is where an open tail began, if one has: how many tokens came before, and
    their log probability.
    """

    score: float
    node: Node
    tokens: tuple[int, ...]
    row: int
    closed: bool = False
    bound: tuple[int, float] | None = None


@dataclass(slots=True)
class _Finished:
    """A sentence that came to its end, over all the ways of writing it that were met, and the likeliest of these."""

    log_prob: float
    best: _Beam
    end: float


class EmbeddedRecogniser:
    """Decodes with the weights in `folder` (see `companion.ear.models`); opening it takes about a third of a second."""

    def __init__(self, folder: Path) -> None:
        self._network = Network(folder)
        self._vocabulary = Vocabulary.read(folder / "tokenizer.bin")
        self._graphs: dict[int, tuple[Grammar, TokenGraph]] = {}
        self._prior = _Prior(self._network)

    @classmethod
    def open(cls) -> EmbeddedRecogniser:
        """With the fetched weights, once they are found whole. Raises ModelError."""
        return cls(models.require(models.EMBEDDED))

    def hear(self, sound: Samples, grammar: Grammar) -> Hearing:
        """Decode one utterance of mono sound at 16 kHz under a grammar; see `companion.ear.recogniser`."""
        sound = sound[: int(LONGEST_SECONDS * RATE)]
        states = self._network.listen(sound)
        seconds = len(sound) / RATE
        search = _Search(self._network, self._vocabulary, self._graph(grammar), self._prior)
        return search.run(states, seconds)

    def _graph(self, grammar: Grammar) -> TokenGraph:
        kept = self._graphs.get(id(grammar))
        if kept is None:
            if len(self._graphs) >= _GRAMMARS_KEPT:
                self._graphs.pop(next(iter(self._graphs)))
            kept = self._graphs[id(grammar)] = (grammar, TokenGraph(self._vocabulary, grammar))
        return kept[1]


class _Prior:
    """How likely the network finds sentences when it hears nothing at all, remembered by their tokens.

    A network that was trained on transcripts has picked up their language with them, and prefers what people write to
    what makers say. Listening to near silence shows that preference alone, so that it can be taken off again.
    """

    def __init__(self, network: Network) -> None:
        self._network = network
        hiss = np.random.default_rng(0).standard_normal(int(_SILENCE_SECONDS * RATE)) * 1e-4
        self._silence = network.listen(hiss.astype(np.float32))
        self._known: dict[tuple[int, ...], float] = {}

    def of(self, sentences: list[tuple[int, ...]]) -> list[float]:
        """The log probability of each sentence, given as its tokens."""
        unknown = [sentence for sentence in sentences if sentence not in self._known]
        if unknown:
            if len(self._known) > _PRIORS_KEPT:
                self._known.clear()
                unknown = sentences
            self._known.update(zip(unknown, self._network.score(unknown, self._silence), strict=True))
        return [self._known[sentence] for sentence in sentences]


class _Search:
    """One beam search over one utterance."""

    def __init__(self, network: Network, vocabulary: Vocabulary, graph: TokenGraph, prior: _Prior) -> None:
        self._prior = prior
        self._network = network
        self._vocabulary = vocabulary
        self._graph = graph
        self._finished: dict[str, _Finished] = {}

    def run(self, states: Floats, seconds: float) -> Hearing:
        rows, cache = self._network.begin(states)
        beams = [_Beam(0.0, self._graph.start, (), 0)]
        free: list[int] = []
        free_score, free_row = 0.0, 0
        free_going = True
        for _ in range(_TOKENS_AT_LEAST + math.ceil(_TOKENS_A_SECOND * seconds)):
            for beam in beams:
                self._finish(beam, rows)
            batch: list[int] = []
            parents: list[int] = []
            if free_going:
                token = int(rows[free_row].argmax())
                free_score += float(rows[free_row, token])
                free_going = token != END
                if free_going:
                    free.append(token)
                    batch.append(token)
                    parents.append(free_row)
            beams = self._grow(beams, rows)
            if not beams and not free_going:
                break
            batch += [beam.tokens[-1] for beam in beams]
            parents += [beam.row for beam in beams]
            beams = [_moved(beam, row) for row, beam in enumerate(beams, len(batch) - len(beams))]
            free_row = 0
            rows, cache = self._step(batch, parents, states, cache)
        transcript = FreeTranscript(self._vocabulary.text(tuple(free)), free_score, len(free) + 1)
        return Hearing(tuple(self._readings()), transcript, seconds)

    def _readings(self) -> Iterator[Reading]:
        """The best sentences that came to an end, with what the network thinks of their words alone."""
        best = sorted(self._finished.items(), key=lambda item: -item[1].log_prob)[:_READINGS]
        if best:
            priors = self._prior.of([self._bound_tokens(found.best) for _, found in best])
            for (text, found), prior in zip(best, priors, strict=True):
                yield self._reading(text, found, prior)

    def _step(self, batch: list[int], parents: list[int], states: Floats, cache: Cache) -> tuple[Floats, Cache]:
        return self._network.step(batch, states, cache.pick(parents))

    def _finish(self, beam: _Beam, rows: Floats) -> None:
        """Take note of the sentence a beam spells, where the grammar lets one end here."""
        if not (beam.node.ends or beam.bound):
            return
        end = float(rows[beam.row, END])
        text = self._spelled(beam)
        known = self._finished.get(text)
        if known is None:
            self._finished[text] = _Finished(beam.score + end, beam, end)
            return
        known.log_prob = float(np.logaddexp(known.log_prob, beam.score + end))
        if beam.score + end > known.best.score + known.end:
            known.best, known.end = beam, end

    def _grow(self, beams: list[_Beam], rows: Floats) -> list[_Beam]:
        """The best ways to go on, one token further."""
        best = max((beam.score for beam in beams), default=0.0)
        floor = max(best - 2 * _REACH, max((f.log_prob for f in self._finished.values()), default=_LOWEST) - _FLOOR)
        grown = [longer for beam in beams for longer in self._longer(beam, rows[beam.row], floor)]
        grown.sort(key=lambda beam: -beam.score)
        return [beam for beam in grown[:_MOST] if beam.score > grown[0].score - _REACH]

    def _longer(self, beam: _Beam, row: npt.NDArray[np.float32], floor: float) -> Iterator[_Beam]:
        moves = self._graph.after(beam.node) if beam.tokens else self._graph.first()
        if len(moves.ids) and not (beam.closed and not moves.at_word_end):
            scores = row[moves.ids]
            best = np.argpartition(scores, -_MOST)[-_MOST:] if len(scores) > _MOST else np.arange(len(scores))
            for i in best:
                score = beam.score + float(scores[i])
                if score > floor:
                    yield self._moved_on(beam, score, moves.nodes[i], int(moves.ids[i]))
        if beam.tokens and moves.at_word_end and not beam.closed and not beam.node.free:
            for mark in self._vocabulary.marks:
                score = beam.score + float(row[mark])
                if score > floor:
                    yield _Beam(score, beam.node, (*beam.tokens, int(mark)), beam.row, closed=True)

    def _moved_on(self, beam: _Beam, score: float, node: Node, token: int) -> _Beam:
        bound = beam.bound
        if node.free and bound is None:
            bound = len(beam.tokens), beam.score
        return _Beam(score, node, (*beam.tokens, token), beam.row, bound=bound)

    def _reading(self, text: str, found: _Finished, prior: float) -> Reading:
        tokens = len(found.best.tokens) + 1
        if found.best.bound is None:
            return Reading.whole(text, found.log_prob, tokens, found.end, prior)
        bound_tokens, bound_log_prob = found.best.bound
        bound_text = self._bound_text(self._bound_tokens(found.best))
        return Reading(text, found.log_prob, tokens, found.end, len(bound_text), bound_log_prob, bound_tokens, prior)

    def _bound_tokens(self, beam: _Beam) -> tuple[int, ...]:
        return beam.tokens if beam.bound is None else beam.tokens[: beam.bound[0]]

    def _spelled(self, beam: _Beam) -> str:
        """The beam's text: in small letters without marks where the grammar binds it, as the model writes it after."""
        if beam.bound is None:
            return self._bound_text(beam.tokens)
        at = beam.bound[0]
        tail = "".join(self._vocabulary.texts[i] for i in beam.tokens[at:])
        return f"{self._bound_text(beam.tokens[:at])} {tail.strip()}"

    def _bound_text(self, tokens: tuple[int, ...]) -> str:
        texts = self._vocabulary.texts
        return "".join(texts[i].lower() for i in tokens if texts[i] not in MARKS).strip()


def _moved(beam: _Beam, row: int) -> _Beam:
    return _Beam(beam.score, beam.node, beam.tokens, row, beam.closed, beam.bound)
