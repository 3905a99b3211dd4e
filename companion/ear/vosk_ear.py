"""The second ear: Vosk, with the grammar's sentences as its own grammar.

Vosk takes a list of sentences and makes of it a model of which word may follow which. So it need not be handed every
sentence: a set in which each pair of neighbouring words occurs says the same, and is small however many numbers there
are. Its confidence in each word becomes the log probability of the reading.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from companion.ear.models import ModelError
from companion.ear.recogniser import LONGEST_SECONDS, RATE, FreeTranscript, Hearing, Reading, Samples
from companion.ear.vosk_loader import NOT_INSTALLED, NotInstalledError
from companion.ear.word_graph import covering_sentences, word_graph

if TYPE_CHECKING:
    from companion.phrases.graph import Grammar

_UNKNOWN = "[unk]"
_LEAST = 1e-4
_READINGS = 5
_TAIL = np.zeros(RATE // 5, np.float32)  # a short silence, after which Vosk lets its last word end


class VoskRecogniser:
    """Decodes with the Vosk model in `folder`.

    Raises ModelError where Vosk cannot open it, NotInstalledError where there is no Vosk.
    """

    def __init__(self, folder: Path) -> None:
        try:
            import vosk
        except (ImportError, OSError) as error:
            raise NotInstalledError(NOT_INSTALLED) from error

        vosk.SetLogLevel(-1)
        self._vosk = vosk
        try:
            self._model = vosk.Model(str(folder))
        except Exception as error:  # Vosk raises nothing narrower
            raise ModelError(f"The Vosk model in {folder} cannot be opened; fetch it again.") from error
        self._lists: dict[int, tuple[Grammar, str]] = {}

    def hear(self, sound: Samples, grammar: Grammar) -> Hearing:
        """Decode one utterance of mono sound at 16 kHz under a grammar; see `companion.ear.recogniser`."""
        sound = sound[: int(LONGEST_SECONDS * RATE)]
        data = (np.clip(np.concatenate([sound, _TAIL]), -1, 1) * 32767).astype("<i2").tobytes()
        words = self._listed(grammar)
        best = self._reading(data, words)
        others = self._others(data, words, best)
        free = FreeTranscript(best.text, best.log_prob, best.tokens) if best else FreeTranscript("", 0.0, 1)
        readings = tuple(r for r in (best, *others) if r is not None)
        return Hearing(readings, free, len(sound) / RATE)

    def prepare(self, grammar: Grammar) -> None:
        """Make the list of sentences; see `companion.ear.recogniser`."""
        self._listed(grammar)

    def _reading(self, data: bytes, words: str) -> Reading | None:
        """The best reading with the confidence of its words."""
        recogniser = self._vosk.KaldiRecognizer(self._model, RATE, words)
        recogniser.SetWords(True)
        result = _result_of(recogniser, data)
        text = str(result.get("text", ""))
        confidences = [float(word["conf"]) for word in result.get("result", [])]
        if not text or _UNKNOWN in text or not confidences:
            return None
        logs = [math.log(max(c, _LEAST)) for c in confidences]
        return Reading.whole(text, sum(logs), len(logs))

    def _others(self, data: bytes, words: str, best: Reading | None) -> Iterator[Reading]:
        """The next best texts, as far below the best as Vosk's own scores put them."""
        if best is None:
            return
        recogniser = self._vosk.KaldiRecognizer(self._model, RATE, words)
        recogniser.SetMaxAlternatives(_READINGS)
        found = _result_of(recogniser, data).get("alternatives", [])
        top = max((float(a["confidence"]) for a in found), default=0.0)
        for alternative in found:
            text = str(alternative["text"])
            if text and _UNKNOWN not in text and text != best.text:
                below = min(0.0, float(alternative["confidence"]) - top)
                yield Reading.whole(text, best.log_prob + below, len(text.split()))

    def _listed(self, grammar: Grammar) -> str:
        kept = self._lists.get(id(grammar))
        if kept is None:
            kept = self._lists[id(grammar)] = (
                grammar,
                json.dumps([*covering_sentences(word_graph(grammar)), _UNKNOWN], ensure_ascii=False),
            )
        return kept[1]


def _result_of(recogniser: Any, data: bytes) -> dict[str, Any]:
    """What Vosk makes of the sound: its longest part, where Vosk takes a pause in it for an end."""
    parts = [json.loads(recogniser.Result())] if recogniser.AcceptWaveform(data) else []
    parts.append(json.loads(recogniser.FinalResult()))
    longest: dict[str, Any] = max(parts, key=_length)
    return longest


def _length(result: dict[str, Any]) -> int:
    if "alternatives" in result:
        return max((len(str(each["text"])) for each in result["alternatives"]), default=0)
    return len(str(result.get("text", "")))
