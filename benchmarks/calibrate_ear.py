"""Writes `companion/ear/calibration.yaml`: what each signal weighs in the score of a reading, and where the lines are.

    python -m benchmarks.calibrate_ear [--sentences 120] [--talk 300] [--processes 2]

Learns from the tuning voices saying the tuning half of the sentences, in every condition, and from talk that is not for
the companion: was the best reading what was said? The weights are a logistic regression. The lines are drawn on scores
that each voice got from a regression without that voice, so that they hold for voices never heard.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from pathlib import Path

import numpy as np
import numpy.typing as npt
import yaml

from benchmarks.ear_background import talk_trials
from benchmarks.ear_items import Item, items, phrasebook
from benchmarks.ear_rooms import CONDITIONS
from benchmarks.ear_run import Notebook, Outcome, Trial, fingerprint, hearing_of, run, sampled
from benchmarks.ear_voices import voices
from companion.ear.decide import SIGNALS, Calibration, calibration_of, close_call, interpret
from companion.phrases.phrasebook import Phrasebook
from companion.resources import shared_folder

Floats = npt.NDArray[np.float64]

FILE = Path(__file__).parent.parent / "companion" / "ear" / "calibration.yaml"
HEAD = """\
# How the ear weighs its evidence: written by `python -m benchmarks.calibrate_ear`. Margins and shares are kept as they
# are; why the line for acting lies where it does is told in benchmarks/README.md.
# score = 1 / (1 + exp(-(intercept + sum of weight times signal))), the chance that the reading is what was said.
"""

_EVERYDAY_CONDITIONS = ("clean", "2.5 m, 0.5 s")
_WRONG_COSTS = 10  # questions: as many as are worth asking to save one wrong move
_TALK_ANSWERED_AT_MOST = 0.01
_LEAST_TO_ACT, _LEAST_TO_ASK = 0.5, 0.6
_SMOOTHING = 1.0  # strength of the pull of weights towards nothing (L2)


@dataclass(frozen=True, slots=True)
class Example:
    """Signals of one reading, whether it was what was said, who said it, whether it was talk, whether the reading is a
    command (a decoy is never acted on nor asked about, however likely it is), and whether no other meaning is near."""

    signals: Floats
    right: bool
    voice: str
    talk: bool
    command: bool
    sure: bool


def main() -> None:
    """Measure what is not measured yet, fit, and write the file."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sentences", type=int, default=120, help="sentences for each condition")
    parser.add_argument("--talk", type=int, default=300, help="sentences of other talk")
    parser.add_argument("--processes", type=int, default=2)
    options = parser.parse_args()
    examples = list(gather(options.sentences, options.talk, options.processes))
    calibration = fit(examples, calibration_of("embedded"))
    others = {name: kept for name, kept in yaml.safe_load(FILE.read_text("utf-8")).items() if name != "embedded"}
    text = yaml.safe_dump({"embedded": calibration.model_dump(), **others}, sort_keys=False)
    FILE.write_text(HEAD + text, encoding="utf-8")
    print(f"{len(examples)} readings; wrote {FILE.name}")
    print(text)


def gather(sentences: int, talk: int, processes: int) -> Iterator[Example]:
    """Every reading there is of the tuning voices."""
    book = phrasebook()
    notebook = Notebook(f"calibration-{fingerprint()}")
    kept = [item for item in items(book) if item.for_tuning]
    commands = [*sampled(kept, voices("tune"), CONDITIONS, sentences, tuning=True), *_everyday(kept)]
    others = talk_trials(voices("tune"), talk, tuning=True)
    for number, outcome in enumerate(run([*commands, *others], book, notebook, processes)):
        yield from _example(outcome, book, talk=number >= len(commands))


def _everyday(kept: list[Item]) -> Iterator[Trial]:
    """The sentences that are said most, by every voice, near and far: of the draws half are long ones with numbers."""
    said = yaml.safe_load((shared_folder() / "phrases" / "must_understand.yaml").read_text("utf-8"))
    texts = {row["say"] for part in ("moves", "questions", "talk") for row in said[part]}
    everyday = [item for item in kept if item.text in texts]
    conditions = [condition for condition in CONDITIONS if condition.name in _EVERYDAY_CONDITIONS]
    for item, voice, condition in product(everyday, voices("tune"), conditions):
        yield Trial(item, voice, condition, tuning=True)


def _example(outcome: Outcome, book: Phrasebook, *, talk: bool) -> Iterator[Example]:
    if outcome.evidence and outcome.telling is not None:
        signals = np.array([outcome.evidence[name] for name in SIGNALS])
        right = outcome.read_right and not talk
        calibration = calibration_of("embedded")
        meanings = interpret(hearing_of(outcome.hearings[outcome.telling]), book, None, calibration)
        command = bool(meanings[0].commands)
        yield Example(signals, right, outcome.voice, talk, command, command and not close_call(meanings, calibration))


def fit(examples: list[Example], before: Calibration) -> Calibration:
    """The calibration of the embedded ear from its readings; what is set by hand stays as before."""
    scores = np.zeros(len(examples))
    for voice in sorted({example.voice for example in examples}):
        rest = [example for example in examples if example.voice != voice]
        weights = regression(rest)
        for i, example in enumerate(examples):
            if example.voice == voice:
                scores[i] = _chance(weights, example.signals)
    sure = np.array([example.sure for example in examples])
    wrong = np.array([not example.right for example in examples])
    answered = np.array([example.talk and example.command for example in examples])
    talks = sum(example.talk for example in examples)
    act = max(_best_line(scores[sure], wrong[sure]), _LEAST_TO_ACT)
    ask = min(act, max(_line(scores[answered], _TALK_ANSWERED_AT_MOST * talks), _LEAST_TO_ASK))
    weights = regression(examples)
    return Calibration(
        intercept=round(float(weights[0]), 4),
        **{name: round(float(weight), 4) for name, weight in zip(SIGNALS, weights[1:], strict=True)},
        act_at=round(act, 4),
        act_on_free_words_at=before.act_on_free_words_at,
        ask_at=round(ask, 4),
        refuse_at=round(ask / 2, 4),
        prior_share=before.prior_share,
        letters_share=before.letters_share,
        least_margin=before.least_margin,
        least_margin_of_numbers=before.least_margin_of_numbers,
    )


def regression(examples: list[Example]) -> Floats:
    """Weights of a logistic regression by Newton's method, the intercept first; talk and commands weigh the same."""
    signals = np.array([[1.0, *example.signals] for example in examples])
    right = np.array([float(example.right) for example in examples])
    talk = np.array([example.talk for example in examples])
    share = np.where(talk, 0.5 / max(1, talk.sum()), 0.5 / max(1, (~talk).sum())) * len(examples)
    spread = signals.std(axis=0)
    spread[spread == 0] = 1
    scaled = signals / spread
    weights = np.zeros(signals.shape[1])
    pull = np.full(len(weights), _SMOOTHING)
    pull[0] = 0
    for _ in range(50):
        chance = 1 / (1 + np.exp(-np.clip(scaled @ weights, -30, 30)))
        slope = scaled.T @ (share * (right - chance)) - pull * weights
        curve = (scaled * (share * chance * (1 - chance))[:, None]).T @ scaled + np.diag(pull + 1e-9)
        step = np.linalg.solve(curve, slope)
        weights += step
        if float(np.abs(step).max()) < 1e-8:
            break
    result: Floats = weights / spread
    return result


def _chance(weights: Floats, signals: Floats) -> float:
    return float(1 / (1 + np.exp(-np.clip(weights[0] + weights[1:] @ signals, -60, 60))))


def _best_line(scores: Floats, wrong: npt.NDArray[np.bool_]) -> float:
    """The line above which acting gains most: a right move counts one, a wrong one costs as much as many questions."""
    order = np.argsort(-scores)
    gain = np.cumsum(np.where(wrong[order], -float(_WRONG_COSTS), 1.0))
    return float(scores[order][int(np.argmax(gain))]) - 1e-4


def _line(scores: Floats, allowed: float) -> float:
    """The lowest line that at most `allowed` of the scores lie above."""
    ordered = np.sort(scores)[::-1]
    return float(ordered[int(allowed)]) + 1e-4 if len(ordered) > int(allowed) else 0.0


if __name__ == "__main__":
    main()
