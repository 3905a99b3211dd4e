"""The embedded speech model itself: an encoder from sound to states, a decoder from states to the next token.

Layout of the two onnxruntime files (27 million parameters in 8-bit weights):
- encoder: `input_values` [1, samples] float32, `attention_mask` [1, samples] int64 to `last_hidden_state` [1, T, 288],
  and the states after its inner layers, of the same shape, which the file is made to give as well.
- decoder: `input_ids` [B, n], the encoder's states and 24 tensors of attention cache [B, 8, t, 36] to `logits`
  [B, n, 32768]. The encoder's half of the cache is made in the first step and only carried along after that. It and
  the states have one row, which serves a batch of any size: copied for each row they would take half of the time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from companion.ear import inner_layers
from companion.ear.recogniser import Samples
from companion.ear.tokens import BEGIN, END

Floats = npt.NDArray[np.float32]

_HEADS, _WIDTH = 8, 36
_LAYERS = ("last_hidden_state", *(f"/layers.{n}/Add_1_output_0" for n in (1, 2, 3, 4)))
_SHORTEST = 4_800  # samples; the encoder's convolutions need some sound to work on, silence is added up to this


@dataclass(slots=True)
class Cache:
    """Attention cache of a batch: the decoder's half, which grows, and the encoder's, one row that all rows share."""

    growing: dict[str, Floats]
    fixed: dict[str, Floats]

    def pick(self, rows: Sequence[int]) -> Cache:
        """The cache of a new batch whose rows continue the given rows of this one."""
        index = np.asarray(rows)
        return Cache({name: value[index] for name, value in self.growing.items()}, self.fixed)


class Network:
    """The two sessions, set for little memory and an even load: one thread, no spinning, no memory arena."""

    def __init__(self, folder: Path) -> None:
        import onnxruntime

        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = 1
        options.inter_op_num_threads = 1
        options.enable_cpu_mem_arena = False
        options.add_session_config_entry("session.intra_op.allow_spinning", "0")
        options.log_severity_level = 3

        def opened(model: str | bytes) -> Any:
            return onnxruntime.InferenceSession(model, options, providers=["CPUExecutionProvider"])

        self._encoder = opened(inner_layers.giving((folder / "encoder_model.ort").read_bytes(), _LAYERS))
        self._decoder = opened(str(folder / "decoder_model_merged.ort"))
        past = [i.name for i in self._decoder.get_inputs() if i.name.startswith("past_key_values")]
        self._growing = [name for name in past if ".decoder." in name]
        self._fixed = [name for name in past if ".encoder." in name]

    def listen(self, sound: Samples) -> tuple[Floats, Floats]:
        """The encoder's states for a sound: the last [1, T, 288], T about 42 a second, for the decoder; and those of
        five layers side by side [T, 1440], the last ones first, for the letters."""
        values = np.pad(sound, (0, max(0, _SHORTEST - len(sound))))[None].astype(np.float32)
        mask = np.ones(values.shape, np.int64)
        layers: list[Floats] = self._encoder.run(_LAYERS, {"input_values": values, "attention_mask": mask})
        return layers[0], np.concatenate(layers, axis=-1)[0]

    def begin(self, states: Floats) -> tuple[Floats, Cache]:
        """The first step: log probabilities [1, 32768] of the first token, and the cache to go on with."""
        empty = np.zeros((1, _HEADS, 0, _WIDTH), np.float32)
        outputs = [_present(name) for name in (*self._growing, *self._fixed)]
        feed: dict[str, Any] = dict.fromkeys((*self._growing, *self._fixed), empty)
        logits, *made = self._decoder.run(["logits", *outputs], feed | _inputs(_column([BEGIN]), states, cached=False))
        grown = len(self._growing)
        cache = Cache(
            dict(zip(self._growing, made[:grown], strict=True)), dict(zip(self._fixed, made[grown:], strict=True))
        )
        return _log_softmax(logits[:, -1]), cache

    def step(self, tokens: Sequence[int], states: Floats, cache: Cache) -> tuple[Floats, Cache]:
        """One more token for each row of a batch: log probabilities [B, 32768] of what follows, and the new cache."""
        feed = _inputs(_column(tokens), states, cached=True)
        outputs = [_present(name) for name in self._growing]
        logits, *made = self._decoder.run(["logits", *outputs], feed | cache.growing | cache.fixed)
        grown = Cache(dict(zip(self._growing, made, strict=True)), cache.fixed)
        return _log_softmax(logits[:, -1]), grown

    def score(self, sentences: Sequence[Sequence[int]], states: Floats) -> list[float]:
        """The log probability of whole sentences, their ends included, given as their tokens."""
        first, begun = self.begin(states)
        longest = max(map(len, sentences))
        ids = np.array([[*sentence, *[END] * (longest - len(sentence))] for sentence in sentences], np.int64)
        cache = begun.pick([0] * len(sentences))
        feed = _inputs(ids, states, cached=True) | cache.growing | cache.fixed
        rows = _log_softmax(self._decoder.run(["logits"], feed)[0])
        scored = []
        for i, sentence in enumerate(sentences):
            end = float(rows[i, len(sentence) - 1, END])
            words = sum(float(rows[i, j, token]) for j, token in enumerate(sentence[1:]))
            scored.append(float(first[0, sentence[0]]) + words + end)
        return scored


def _inputs(ids: npt.NDArray[np.int64], states: Floats, *, cached: bool) -> dict[str, Any]:
    return {
        "input_ids": ids,
        "encoder_hidden_states": states,
        "encoder_attention_mask": np.ones(states.shape[:2], np.int64),
        "use_cache_branch": np.array([cached]),
    }


def _column(tokens: Sequence[int]) -> npt.NDArray[np.int64]:
    return np.array(tokens, np.int64)[:, None]


def _present(past: str) -> str:
    return past.replace("past_key_values", "present")


def _log_softmax(logits: Floats) -> Floats:
    """In place: the vocabulary is large, and new memory for it costs more than the sums."""
    logits -= logits.max(axis=-1, keepdims=True)
    logits -= np.log(np.exp(logits).sum(axis=-1, keepdims=True))
    return logits
