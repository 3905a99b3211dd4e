"""Writes `companion/ear/letters.npz`: the small network that tells which letter each state of the encoder holds.

    python -m benchmarks.fit_letters [--lessons 30000] [--by-many 0] [--epochs 12] [--processes 2]

The encoder stays as it is; only the network on top of it is fitted, to the letters of what was said, with the loss of
connectionist temporal classification. What it learns from is in `letters_speech.py`. Lessons are kept in the cache.
Needs `pip install -c scripts/constraints.txt -e ".[bench]"`, 10 GB on disk and in memory, and npm for the
lessons by many; about an hour and a half on two cores.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from itertools import pairwise
from pathlib import Path
from typing import Any

import jax
import jax.numpy as jnp
import numpy as np
import numpy.typing as npt
import optax

from benchmarks.ear_voices import CACHE
from benchmarks.letters_speech import lessons, lessons_by_many
from companion.ear import models
from companion.ear.letters import ALPHABET, CLASS_OF
from companion.ear.network import Network
from companion.ear.recogniser import Samples

FILE = Path(__file__).parent.parent / "companion" / "ear" / "letters.npz"

Weights = dict[str, Any]
Lesson = tuple[npt.NDArray[np.float16], list[int]]
Batch = tuple[npt.NDArray[np.float32], npt.NDArray[np.float32], npt.NDArray[np.int32], npt.NDArray[np.float32]]

_STATE = 1440
_WIDTH, _BLOCKS, _NEAR = 160, 3, 5
_BATCH = 32
_PORTION = 500  # lessons made and kept at a time
_FRAMES, _LETTERS = 64, 32  # batches are filled up to a multiple of these, so that few shapes need to be compiled
_RATE = 2e-3
_DROPPED = 0.1
_GAPS = 2  # short ones in each lesson, so that no single state is relied on
_CHECKED = 600  # lessons that are not learnt from, to see how well the rest generalises


def main() -> None:
    """Make the lessons that are not there yet, fit, and write the file."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--lessons", type=int, default=30_000)
    parser.add_argument("--by-many", type=int, default=0, help="lessons by the crowd of neural voices")
    parser.add_argument("--epochs", type=int, default=12)
    parser.add_argument("--processes", type=int, default=2)
    options = parser.parse_args()
    wanted = [(lessons, n) for n in range(-(-options.lessons // _PORTION))]
    wanted += [(lessons_by_many, n) for n in range(-(-options.by_many // _PORTION))]
    with ProcessPoolExecutor(options.processes) as pool:
        learnt = [lesson for kept in pool.map(portion, *zip(*wanted, strict=True)) for lesson in read(kept)]
    weights, mean, spread = fit(learnt, options.epochs)
    arrays = {"mean": mean, "spread": spread, **weights}
    np.savez_compressed(FILE, **dict(made_small(arrays)))
    print(f"wrote {FILE.name}, {FILE.stat().st_size // 1024} KB")


def portion(made: Callable[[int, int], Iterator[tuple[str, Samples]]], number: int) -> Path:
    """Make some lessons and keep the encoder's states of them, once."""
    kept = CACHE / made.__name__ / f"{number}.npz"
    if not kept.is_file():
        kept.parent.mkdir(parents=True, exist_ok=True)
        network = Network(models.require(models.EMBEDDED))
        texts, states = [], []
        for text, sound in made(_PORTION, number):
            texts.append(text)
            states.append(network.listen(sound)[1].astype(np.float16))
        scratch = kept.with_suffix(".part.npz")
        np.savez(scratch, texts=np.array(texts), lengths=[len(each) for each in states], states=np.concatenate(states))
        scratch.replace(kept)
    return kept


def read(kept: Path) -> Iterator[Lesson]:
    """The lessons of a portion: states [T, 1440] and the classes of the letters."""
    with np.load(kept) as found:
        ends = np.cumsum(found["lengths"])
        for text, states in zip(found["texts"], np.split(found["states"], ends[:-1]), strict=True):
            classes = [CLASS_OF[letter] for letter in str(text)]
            doubled = sum(one == other for one, other in pairwise(classes))
            if len(states) >= len(classes) + doubled:  # else no alignment exists
                yield states, classes


def fit(learnt: Sequence[Lesson], epochs: int) -> tuple[Weights, npt.NDArray[np.float32], npt.NDArray[np.float32]]:
    """The weights, and mean and spread of the states that they were fitted to."""
    order = np.random.default_rng(0).permutation(len(learnt))
    checked = [learnt[i] for i in order[:_CHECKED]]
    rest = [learnt[i] for i in order[_CHECKED:]]
    some = np.concatenate([states for states, _ in rest[:1000]]).astype(np.float32)
    mean, spread = some.mean(axis=0), some.std(axis=0) + 1e-5
    weights = begun(jax.random.PRNGKey(0))
    steps = epochs * -(-len(rest) // _BATCH)
    schedule = optax.warmup_cosine_decay_schedule(0, _RATE, 200, steps)
    optimiser = optax.chain(optax.clip_by_global_norm(1.0), optax.adamw(schedule, weight_decay=1e-3))

    def stepped(weights: Weights, state: Any, key: Any, batch: Batch) -> tuple[Weights, Any, Any]:
        value, slope = jax.value_and_grad(loss)(weights, batch, key)
        change, state = optimiser.update(slope, state, weights)
        return optax.apply_updates(weights, change), state, value

    step, check = jax.jit(stepped), jax.jit(partial(loss, key=None))
    state = optimiser.init(weights)
    key = jax.random.PRNGKey(1)
    for epoch in range(epochs):
        losses = []
        for batch in batches(rest, mean, spread, np.random.default_rng(epoch)):
            key, now = jax.random.split(key)
            weights, state, value = step(weights, state, now, batch)
            losses.append(float(value))
        unseen = np.mean([float(check(weights, batch)) for batch in batches(checked, mean, spread, None)])
        print(f"epoch {epoch + 1}: {np.mean(losses):.3f} a letter, unseen {unseen:.3f}", flush=True)
    return weights, mean, spread


def made_small(arrays: Weights) -> Iterator[tuple[str, Any]]:
    """The arrays as `companion.ear.letters.Letters` reads them: matrices in 8 bits with a step for each column."""
    for name, value in arrays.items():
        array = np.asarray(value, np.float32)
        if array.ndim > 1:
            step = np.abs(array).max(axis=tuple(range(array.ndim - 1))) / 127 + 1e-9
            yield name, np.round(array / step).astype(np.int8)
            yield f"{name}_step", step.astype(np.float32)
        else:
            yield name, array.astype(np.float16)


def begun(key: Any) -> Weights:
    """Weights to begin with, named as in `companion.ear.letters.Letters`."""
    classes = len(ALPHABET) + 1

    def drawn(rows: int, columns: int, size: float = 1.0) -> Any:
        nonlocal key
        key, now = jax.random.split(key)
        return jax.random.normal(now, (rows, columns)) * size / np.sqrt(rows)

    weights = {"in": drawn(_STATE, _WIDTH), "in_bias": jnp.zeros(_WIDTH)}
    for n in range(_BLOCKS):
        weights[f"near_{n}"] = drawn(_NEAR * _WIDTH, _WIDTH, 0.5).reshape(_NEAR, _WIDTH, _WIDTH)
        weights[f"near_bias_{n}"] = jnp.zeros(_WIDTH)
    weights["letters"] = drawn(_WIDTH, classes, 0.3)
    weights["letters_bias"] = jnp.zeros(classes).at[0].set(1.0)
    return weights


def scores(weights: Weights, states: Any, missing: Any, key: Any) -> Any:
    """What `Letters.heard` works out, for a batch and not normalised, some values dropped where there is a `key`."""
    there = (1 - missing)[..., None]
    keys: Any = jax.random.split(key, _BLOCKS + 1) if key is not None else [None] * (_BLOCKS + 1)

    def dropped(values: Any, key: Any) -> Any:
        if key is None:
            return values
        return values * jax.random.bernoulli(key, 1 - _DROPPED, values.shape) / (1 - _DROPPED)

    hidden = jax.nn.gelu(dropped(states, keys[-1]) @ weights["in"] + weights["in_bias"])
    for n in range(_BLOCKS):
        near = jax.lax.conv_general_dilated(
            hidden * there, weights[f"near_{n}"], (1,), "SAME", dimension_numbers=("NWC", "WIO", "NWC")
        )
        hidden = hidden + jax.nn.gelu(dropped(near + weights[f"near_bias_{n}"], keys[n]))
    return hidden @ weights["letters"] + weights["letters_bias"]


def loss(weights: Weights, batch: Batch, key: Any) -> Any:
    """Negative log likelihood of what was said, for each letter."""
    states, states_missing, classes, classes_missing = batch
    each = optax.ctc_loss(scores(weights, states, states_missing, key), states_missing, classes, classes_missing)
    return jnp.mean(each / jnp.maximum(1, (1 - classes_missing).sum(axis=1)))


def batches(
    lessons: Sequence[Lesson],
    mean: npt.NDArray[np.float32],
    spread: npt.NDArray[np.float32],
    rng: np.random.Generator | None,
) -> Iterator[Batch]:
    """Lessons of about one length together, in random order and with short gaps where there is an `rng`."""
    noise = rng.uniform(0, 15, len(lessons)) if rng else np.zeros(len(lessons))
    order = np.argsort([len(states) + more for (states, _), more in zip(lessons, noise, strict=True)])
    rows = [order[i : i + _BATCH] for i in range(0, len(order) - _BATCH + 1, _BATCH)]
    if rng:
        rng.shuffle(rows)
    for row in rows:
        chosen = [lessons[i] for i in row]
        frames = _up(max(len(states) for states, _ in chosen), _FRAMES)
        letters = _up(max(len(classes) for _, classes in chosen), _LETTERS)
        states = np.zeros((_BATCH, frames, _STATE), np.float32)
        states_missing = np.ones((_BATCH, frames), np.float32)
        classes = np.zeros((_BATCH, letters), np.int32)
        classes_missing = np.ones((_BATCH, letters), np.float32)
        for i, (found, said) in enumerate(chosen):
            states[i, : len(found)] = (found - mean) / spread
            states_missing[i, : len(found)] = 0
            classes[i, : len(said)] = said
            classes_missing[i, : len(said)] = 0
            if rng:
                for gap in rng.integers(6, size=_GAPS).tolist():
                    at = int(rng.integers(max(1, len(found) - gap)))
                    states[i, at : at + gap] = 0
        yield states, states_missing, classes, classes_missing


def _up(number: int, step: int) -> int:
    return -(-number // step) * step


if __name__ == "__main__":
    main()
