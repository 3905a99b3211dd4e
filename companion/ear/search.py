"""The beam search of the embedded ear: a walk through the grammar's graph, token by token, beside the free transcript.

Few beams go on where the sound is clear, many where it is not. Ways of writing one sentence ("Next round.", "next
round", "23" and "twenty three" cut in different tokens) share its probability: their sum is the sentence's.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import islice
from typing import TYPE_CHECKING

import numpy as np

from companion.ear.network import Cache, Floats, Network
from companion.ear.outlook import Outlook
from companion.ear.recogniser import FreeTranscript
from companion.ear.tokens import END, TokenGraph, Vocabulary

if TYPE_CHECKING:
    from companion.phrases.graph import Node

_REACH = 8.0  # a beam so far (natural log) below the best beside it is given up: few go on where the sound is clear
_MOST = 16  # beams that go on at each step, however unsure; with fewer a rival is lost and the margin looks wide
_FLOOR = 8.0  # a beam so far below the best finished sentence can no longer matter
_TOKENS_A_SECOND = 8  # fast speech stays below this; more is the model talking to itself
_TOKENS_AT_LEAST = 8
_READINGS = 12  # that are told of; what lies further down is no rival
_HOPELESS = 25.0  # below the free transcript: this is no sentence of the grammar, and need not be followed to its end
_TAILS = 2  # readings that differ in their open tail alone
_TAILS_TRIED = 4  # the same of beams
_LOWEST = -math.inf
_PRIOR_SHARE = 0.3  # of the prior of the first token, taken off while beams are compared: "I" begins much, "rip" little


@dataclass(frozen=True, slots=True)
class Beam:
    """A sentence begun: its log probability, its place in the grammar, its tokens, and its row in the batch.

    `bonus` makes up for a rare beginning while beams are compared, and `outlook` is what the letters say of its place;
    both are no part of the score. `closed` after a punctuation mark. `bound` is where an open tail began, if one has:
    how many tokens came before, and their log probability.
    """

    score: float
    node: Node
    tokens: tuple[int, ...]
    row: int
    bonus: float = 0.0
    outlook: float = 0.0
    closed: bool = False
    bound: tuple[int, float] | None = None

    @property
    def rank(self) -> float:
        """What beams are compared by."""
        return self.score + self.bonus + self.outlook


_Step = tuple[float, Beam, Floats, int, "Node | None", float]
"""A step that a beam may take: the rank it leads to, the beam, what the network gave it, the token, where it leads, and
the outlook there."""


@dataclass(slots=True)
class Finished:
    """A sentence that came to its end, over all the ways of writing it that were met, and the likeliest of these."""

    text: str
    log_prob: float
    best: Beam
    end: float

    @property
    def rank(self) -> float:
        """What finished sentences are compared by."""
        return self.log_prob + self.best.bonus + self.best.outlook

    @property
    def bound_tokens(self) -> tuple[int, ...]:
        """The tokens of the likeliest way, up to where an open tail begins."""
        return self.best.tokens if self.best.bound is None else self.best.tokens[: self.best.bound[0]]


class Search:
    """One beam search over one utterance. `first` is the prior of first tokens, `outlook` where the letters point."""

    def __init__(
        self, network: Network, vocabulary: Vocabulary, graph: TokenGraph, first: Floats, outlook: Outlook
    ) -> None:
        self._first = first
        self._outlook = outlook
        self._network = network
        self._vocabulary = vocabulary
        self._graph = graph
        self._finished: dict[str, Finished] = {}

    def run(self, states: Floats, seconds: float) -> FreeTranscript:
        """Search to the end; gives back what is heard when nothing binds it."""
        rows, cache = self._network.begin(states)
        beams = [Beam(0.0, self._graph.start, (), 0)]
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
            beams = self._grow(beams, rows, free_score)
            if not beams and not free_going:
                break
            batch += [beam.tokens[-1] for beam in beams]
            parents += [beam.row for beam in beams]
            beams = [replace(beam, row=row) for row, beam in enumerate(beams, len(batch) - len(beams))]
            free_row = 0
            rows, cache = self._step(batch, parents, states, cache)
        transcript = FreeTranscript(self._vocabulary.text(tuple(free)), free_score, len(free) + 1)
        return transcript

    def best(self) -> list[Finished]:
        """The sentences that came to an end and rank best, best first.

        Of those that differ in their open tails alone two are enough; more would hide what else was meant.
        """
        kept: list[Finished] = []
        tails: Counter[str] = Counter()
        for found in sorted(self._finished.values(), key=lambda found: -found.rank):
            if found.best.bound is not None:
                start = self._vocabulary.bound_text(found.bound_tokens)
                tails[start] += 1
                if tails[start] > _TAILS:
                    continue
            kept.append(found)
        return kept[:_READINGS]

    def _step(self, batch: list[int], parents: list[int], states: Floats, cache: Cache) -> tuple[Floats, Cache]:
        return self._network.step(batch, states, cache.pick(parents))

    def _finish(self, beam: Beam, rows: Floats) -> None:
        """Take note of the sentence a beam spells, where the grammar lets one end here."""
        if not (beam.node.ends or beam.bound):
            return
        end = float(rows[beam.row, END])
        text = self._spelled(beam)
        known = self._finished.get(text)
        if known is None:
            self._finished[text] = Finished(text, beam.score + end, beam, end)
            return
        known.log_prob = float(np.logaddexp(known.log_prob, beam.score + end))
        if beam.score + end > known.best.score + known.end:
            known.best, known.end = beam, end

    def _grow(self, beams: list[Beam], rows: Floats, free_score: float) -> list[Beam]:
        """The best ways to go on, one token further; none once all are hopeless beside the free transcript."""
        best = max((beam.rank for beam in beams), default=0.0)
        ended = max((found.rank for found in self._finished.values()), default=_LOWEST)
        floor = max(best - 2 * _REACH, ended - _FLOOR, free_score - _HOPELESS)
        steps = [step for beam in beams for step in self._steps(beam, rows[beam.row], floor)]
        steps.sort(key=lambda step: -step[0])
        reached = (self._moved_on(*step[1:]) for step in steps if step[0] > steps[0][0] - _REACH)
        return list(islice(_few_tails(reached), _MOST))

    def _steps(self, beam: Beam, row: Floats, floor: float) -> Iterator[_Step]:
        """The best tokens after a beam, each with the rank that the longer beam will have."""
        moves = self._graph.after(beam.node) if beam.tokens else self._graph.first()
        if len(moves.ids) and not (beam.closed and not moves.at_word_end):
            outlooks = self._outlook.of(moves.places)
            ranks = beam.score + beam.bonus + row[moves.ids] + outlooks
            if not beam.tokens:
                ranks = ranks - _PRIOR_SHARE * self._first[moves.ids]
            best = np.flatnonzero(ranks > floor)
            if len(best) > _MOST:
                best = best[np.argpartition(ranks[best], -_MOST)[-_MOST:]]
            for i in best.tolist():
                yield float(ranks[i]), beam, row, int(moves.ids[i]), moves.nodes[i], float(outlooks[i])
        if beam.tokens and moves.at_word_end and not beam.closed and not beam.node.free:
            for mark in self._vocabulary.marks.tolist():
                rank = beam.rank + float(row[mark])
                if rank > floor:
                    yield rank, beam, row, mark, None, beam.outlook

    def _moved_on(self, beam: Beam, row: Floats, token: int, node: Node | None, outlook: float) -> Beam:
        """The beam one token longer; no node stands for a punctuation mark, after which the word is closed."""
        score = beam.score + float(row[token])
        if node is None:
            return replace(beam, score=score, tokens=(*beam.tokens, token), closed=True)
        bonus = beam.bonus if beam.tokens else -_PRIOR_SHARE * float(self._first[token])
        bound = (len(beam.tokens), beam.score) if node.free and beam.bound is None else beam.bound
        return Beam(score, node, (*beam.tokens, token), beam.row, bonus, outlook, bound=bound)

    def _spelled(self, beam: Beam) -> str:
        """The beam's text: in small letters without marks where the grammar binds it, as the model writes it after."""
        if beam.bound is None:
            return self._vocabulary.bound_text(beam.tokens)
        at = beam.bound[0]
        tail = "".join(self._vocabulary.texts[i] for i in beam.tokens[at:])
        return f"{self._vocabulary.bound_text(beam.tokens[:at])} {tail.strip()}"


def _few_tails(beams: Iterable[Beam]) -> Iterator[Beam]:
    """The beams, but of those that share all words before their open tails only the first few.

    The ways to go on with any words at all are so many that they would crowd out what else may have been meant.
    """
    seen: Counter[tuple[int, ...]] = Counter()
    for beam in beams:
        if beam.bound is not None:
            start = beam.tokens[: beam.bound[0]]
            seen[start] += 1
            if seen[start] > _TAILS_TRIED:
                continue
        yield beam
