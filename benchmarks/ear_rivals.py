"""The other recognisers that the ear is measured against, on the same stretches of sound.

- *free transcript, nearest*: what the same network hears unbound, taken for the sentence with the fewest edits.
- *pocketsphinx*: the classic kind, with a grammar of the same sentences. It gets them as a finite-state grammar without
  empty steps: made from a JSGF text it would be the same grammar, but its compiler did not finish that in minutes.
- *vosk*: where an English Vosk model is in the models folder.

They have no score to refuse by, so what is compared is whether the best reading is right.
"""

from __future__ import annotations

import functools
import heapq
import itertools
from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from benchmarks.ear_items import same
from benchmarks.ear_run import Trial, ear, judged, listen
from companion.ear.choose import english_vosk_model
from companion.ear.decide import plain
from companion.ear.recogniser import Hearing, Samples
from companion.ear.word_graph import word_graph
from companion.phrases.phrasebook import Phrasebook

if TYPE_CHECKING:
    from pocketsphinx import FsgModel

    from companion.phrases.graph import Grammar

Rival = Callable[[Samples, Hearing, frozenset[str]], str]
"""The sound, what the embedded ear made of it, and the contexts; gives back the text heard."""

_FURTHEST, _SHARE = 12, 0.35  # edits, in all and for each letter; a transcript further from all sentences is nothing
_MISSING = {
    "cm": "S EH N T IH M IY T ER Z",
    "count's": "K AW N T S",
    "cupping": "K AH P IH NG",
    "frogged": "F R AA G D",
    "gauge's": "G EY JH IH Z",
    "pattern's": "P AE T ER N Z",
    "picot": "P IY K OW",
    "shush": "SH AH SH",
    "spelt": "S P EH L T",
    "unpause": "AH N P AO Z",
    "unpick": "AH N P IH K",
    "unpicked": "AH N P IH K T",
    "unravelled": "AH N R AE V AH L D",
}
"""Words that pocketsphinx has no sounds for, in its own alphabet."""


def compared(trial: Trial) -> dict[str, bool]:
    """For the ear of this process and each rival, whether its best reading of a recording is right.

    Nothing where the ear heard no utterance: then there is no stretch of sound that all could be given.
    """
    recogniser, book = ear()
    contexts = trial.item.contexts
    _, telling = judged(trial.item, listen(trial.recording()[0], recogniser, book, contexts))
    if telling is None:
        return {}
    found = {"embedded": same(telling.verdict.commands, trial.item.commands)}
    for name, rival in _rivals().items():
        text = rival(telling.sound, telling.hearing, contexts)
        found[name] = same(book.parse(text, contexts) if text else (), trial.item.commands)
    return found


@functools.cache
def _rivals() -> dict[str, Rival]:
    return rivals(ear()[1])


def rivals(book: Phrasebook) -> dict[str, Rival]:
    """Every rival there is on this machine, by name."""
    found: dict[str, Rival] = {
        "free transcript, nearest": lambda _, heard, contexts: nearest(heard.free.text, book, contexts)
    }
    found["pocketsphinx, grammar"] = _Sphinx(book)
    folder = english_vosk_model()
    if folder is not None:
        from companion.ear.vosk_ear import VoskRecogniser

        vosk = VoskRecogniser(folder)

        def heard_by_vosk(sound: Samples, _: Hearing, contexts: frozenset[str]) -> str:
            readings = vosk.hear(sound, book.grammar(contexts)).readings
            return readings[0].text if readings else ""

        found["vosk"] = heard_by_vosk
    return found


class _Sphinx:
    def __init__(self, book: Phrasebook) -> None:
        from pocketsphinx import Decoder

        self._book = book
        self._decoder = Decoder(samprate=16_000, loglevel="FATAL", lm=None)
        for word, phones in _MISSING.items():
            self._decoder.add_word(word, phones, False)
        self._known: set[str] = set()

    def __call__(self, sound: Samples, _: Hearing, contexts: frozenset[str]) -> str:
        name = "-".join(sorted(contexts))
        if name not in self._known:
            self._decoder.add_fsg(name, self._grammar(name, contexts))
            self._known.add(name)
        self._decoder.activate_search(name)
        self._decoder.start_utt()
        self._decoder.process_raw((np.clip(sound, -1, 1) * 32_767).astype("<i2").tobytes(), full_utt=True)
        self._decoder.end_utt()
        found = self._decoder.hyp()
        return str(found.hypstr) if found else ""

    def _grammar(self, name: str, contexts: frozenset[str]) -> FsgModel:
        """The grammar's words, each way on from a place as likely as the others, and one end for all sentences.

        Words that it cannot pronounce are left out: spellings without an apostrophe, of which the others are there.
        """
        graph = word_graph(self._book.grammar(contexts))
        end = len(graph.steps)
        steps: list[tuple[int, int, float] | tuple[int, int, float, str]] = []
        for place, ways in enumerate(graph.steps):
            share = 1 / max(1, len(ways) + (place in graph.ends))
            steps += [(place, after, share, word) for word, after in ways if self._decoder.lookup_word(word)]
            if place in graph.ends:
                steps.append((place, end, share))
        return self._decoder.create_fsg(name, 0, end, steps)


def nearest(text: str, book: Phrasebook, contexts: frozenset[str]) -> str:
    """The sentence of the grammar that takes the fewest changed, missing or extra characters to make from `text`."""
    return _nearest(plain(text), book.grammar(contexts))


def _nearest(text: str, grammar: Grammar) -> str:
    ticket = itertools.count()
    queue = [(0, 0, next(ticket), grammar.start, "")]
    seen: set[tuple[int, int]] = set()
    furthest = min(_FURTHEST, _SHARE * len(text))
    while queue:
        cost, left_over, _, node, made = heapq.heappop(queue)
        at = -left_over
        if cost > furthest:
            break
        if (id(node), at) in seen:
            continue
        seen.add((id(node), at))
        if at == len(text) and node.ends:
            return made
        if at < len(text):
            heapq.heappush(queue, (cost + 1, -(at + 1), next(ticket), node, made))
        for char in node.chars:
            after = node.follow(char)
            if after is None or after.free:
                continue
            heapq.heappush(queue, (cost + 1, left_over, next(ticket), after, made + char))
            if at < len(text):
                same = 0 if char == text[at] else 1
                heapq.heappush(queue, (cost + same, -(at + 1), next(ticket), after, made + char))
    return ""
