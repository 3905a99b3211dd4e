"""The sentences of a grammar that the letters of a sound spell best, found without the decoder.

A prefix beam search (Hannun et al. 2014) over the tree of all beginnings of sentences. It is some ten times as fast as
the decoder's search and finds what the decoder lost early; the decoder then looks at these too.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from companion.ear.letters import CLASS_OF, Floats

if TYPE_CHECKING:
    from companion.phrases.graph import Grammar, Node

_MOST = 300  # beginnings that go on after each frame
_REACH = 20.0  # natural log; a beginning so far below the best is given up
_FOUND = 40  # sentences told of
_PLACES_KEPT = 100_000  # of the tree; a larger one is planted anew
_NOTHING = -0.02  # log probability of "no letter" from which on a frame holds none, and nothing can go on in it
_ANY = -0.1  # log probability that a frame of an open tail gets beside that of its likeliest letter
_NEVER = -1e30

Ints = npt.NDArray[np.int64]


class LetterTree:
    """The beginnings of a grammar's sentences as a tree, grown where it is walked; place 0 is the empty beginning.

    An open tail is not followed: where one begins, any letters may come until the sound ends.
    """

    def __init__(self, grammar: Grammar) -> None:
        self._grammar = grammar
        self.plant()

    def plant(self) -> None:
        """Begin anew, with nothing but the root."""
        self._nodes: list[Node] = [self._grammar.start]
        self._after: list[Ints | None] = [None]
        self.texts = [""]
        self.letters = np.zeros(1024, np.int64)
        self.open = np.zeros(1024, bool)

    def __len__(self) -> int:
        return len(self._nodes)

    def after(self, place: int) -> Ints:
        """The places one letter further."""
        found = self._after[place]
        if found is None:
            found = self._after[place] = np.fromiter(self._grown(place), np.int64)
        return found

    def ends(self, place: int) -> bool:
        """Whether a sentence ends at a place, or its open tail begins."""
        node = self._nodes[place]
        return node.ends or node.free

    def _grown(self, place: int) -> Iterator[int]:
        node = self._nodes[place]
        for letter in () if node.free else sorted(node.chars & CLASS_OF.keys()):
            following = node.follow(letter)
            if following is not None:
                new = len(self._nodes)
                self._nodes.append(following)
                self._after.append(None)
                self.texts.append(self.texts[place] + letter)
                if new == len(self.letters):
                    self.letters = np.concatenate([self.letters, np.zeros_like(self.letters)])
                    self.open = np.concatenate([self.open, np.zeros_like(self.open)])
                self.letters[new] = CLASS_OF[letter]
                self.open[new] = following.free
                yield new


def spelled_best(heard: Floats, tree: LetterTree) -> list[tuple[str, float]]:
    """The sentences that fit the letters best with their log probabilities, best first.

    `heard` [T, 29] as from `Letters.heard`. Text that has an open tail is given up to where the tail begins.
    """
    if len(tree) > _PLACES_KEPT:
        tree.plant()
    beams = _Beams(np.zeros(1, np.int64), np.zeros(1), np.full(1, _NEVER))
    for frame in heard:
        beams = beams.stayed(frame, tree) if frame[0] > _NOTHING else beams.grown(frame, tree)
    found = [
        (tree.texts[place], float(total))
        for place, total in zip(beams.places.tolist(), beams.total, strict=True)
        if tree.ends(place)
    ]
    return sorted(found, key=lambda each: -each[1])[:_FOUND]


class _Beams:
    """Beginnings under way: their places in the tree, and the log probabilities that the last frame held no letter
    (`silent`) or the beginning's last one (`sounding`)."""

    def __init__(self, places: Ints, silent: npt.NDArray[np.float64], sounding: npt.NDArray[np.float64]) -> None:
        self.places = places
        self.silent = silent
        self.sounding = sounding
        self.total = np.logaddexp(silent, sounding)

    def stayed(self, frame: Floats, tree: LetterTree) -> _Beams:
        """After a frame in which no letter begins."""
        sounding = np.where(self.places == 0, _NEVER, self.sounding + frame[tree.letters[self.places]])
        silent = self.total + frame[0]
        tail = tree.open[self.places]
        if tail.any():
            silent = np.where(tail, self.total + frame.max() + _ANY, silent)
            sounding = np.where(tail, _NEVER, sounding)
        return _Beams(self.places, silent, sounding)

    def grown(self, frame: Floats, tree: LetterTree) -> _Beams:
        """After a frame in which a letter may begin."""
        same = self.stayed(frame, tree)
        children = [tree.after(place) for place in self.places.tolist()]
        child = np.concatenate(children)
        if not len(child):
            return same
        parent = np.repeat(np.arange(len(children)), [len(each) for each in children])
        letter = tree.letters[child]
        # the same letter twice needs a frame without one in between
        before = np.where(letter == tree.letters[self.places][parent], self.silent[parent], self.total[parent])
        score = before + frame[letter]
        near = score > same.total.max() - _REACH
        return same._with(child[near], score[near])

    def _with(self, child: Ints, score: npt.NDArray[np.float64]) -> _Beams:
        """These and their children, those that were under way already only once; the best of them."""
        order = np.argsort(self.places)
        spot = np.minimum(np.searchsorted(self.places[order], child), len(order) - 1)
        known = self.places[order][spot] == child
        sounding = self.sounding.copy()
        at = order[spot[known]]
        sounding[at] = np.logaddexp(sounding[at], score[known])
        new = int((~known).sum())
        places = np.concatenate([self.places, child[~known]])
        silent = np.concatenate([self.silent, np.full(new, _NEVER)])
        sounding = np.concatenate([sounding, score[~known]])
        total = np.logaddexp(silent, sounding)
        kept = np.flatnonzero(total > total.max() - _REACH)
        if len(kept) > _MOST:
            kept = kept[np.argpartition(total[kept], -_MOST)[-_MOST:]]
        return _Beams(places[kept], silent[kept], sounding[kept])
