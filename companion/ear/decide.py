"""From what was heard to what is done about it: act, ask, refuse or ignore.

A reading is weighed by a calibrated score, the chance that it is what was said, made of signals that fail in different
ways. Whatever the score, nothing is acted on while another meaning is nearly as likely: numbers that sound alike are
asked about ("Sixteen or sixty?"), never guessed.
"""

from __future__ import annotations

import math
import re
from collections.abc import Collection
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, Literal

import numpy as np
import yaml
from pydantic import BaseModel, ConfigDict

from companion.ear.recogniser import Hearing, Reading
from companion.phrases.alike import pooled
from companion.phrases.numbers import ways_of_writing

if TYPE_CHECKING:
    from companion.phrases.book import Book
    from companion.phrases.command import Command

Decision = Literal["act", "ask", "refuse", "ignore"]
"""act: do it. ask: say what was understood and ask. refuse: say that it was not understood. ignore: say nothing."""

SIGNALS = ("per_token", "margin", "distance", "gain", "pace", "letters")
"""The signals behind a score, by their names in `Evidence` and in the calibration."""

_DIGITS = re.compile(r"\d+")
_WIDEST_MARGIN = 10.0  # beyond this a margin says nothing more
_LEAST_GAIN = -1.0
_LEAST_LETTERS = -4.0
_NOTHING_ALIKE = 0.9  # of 1: the share of a word that must be changed to get the free transcript
_DECOY_MARGIN = 0.5  # a decoy is there to win, not to be asked about; many sound just like a command ("weight")


class Calibration(BaseModel):
    """Weights and limits of one recogniser, from `calibration.yaml`."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    intercept: float
    per_token: float
    margin: float
    distance: float
    gain: float
    pace: float
    letters: float
    prior_share: float
    letters_share: float
    act_at: float
    act_on_free_words_at: float
    ask_at: float
    refuse_at: float
    least_margin: float
    least_margin_of_numbers: float


@dataclass(frozen=True, slots=True)
class Interpretation:
    """One meaning that the sound may have: its likeliest wording, and the log probability of all its wordings.

    `weight` is what meanings are compared by: the log probability with a share of the second opinion's, less a share of
    what the recogniser thinks of the words as such, so that a rare word is not taken for a common one.
    """

    text: str
    commands: tuple[Command, ...]
    log_prob: float
    weight: float
    reading: Reading


@dataclass(frozen=True, slots=True)
class Evidence:
    """The signals behind a score.

    `per_token`: log probability of the meaning for each token; of a sentence with an open tail, for those before it.
    `margin`: how far its weight lies above that of the next other meaning, at most 10; decoys have none. `distance`:
    edits between reading and free transcript per character, 0 to 1. `gain`: how far the sound has brought the words
    from what they are in silence (0) to certainty (1), at least -1. `pace`: seconds of sound for each token, since a
    short sentence found in a long sound is suspect. `letters`: the second opinion on the likeliest wording, for each
    character.
    """

    per_token: float
    margin: float
    distance: float
    gain: float
    pace: float
    letters: float


@dataclass(frozen=True, slots=True)
class Verdict:
    """What was understood and what to do about it.

    `text` and `commands` are filled whenever any reading was found, also where the decision is to ask, refuse or
    ignore. `score` is 0 to 1. `alternatives` are the meanings to choose between when asking, the likeliest first.
    """

    text: str
    commands: tuple[Command, ...]
    decision: Decision
    score: float
    alternatives: tuple[Interpretation, ...] = ()
    evidence: Evidence | None = None
    free: str = ""


@cache
def calibration_of(ear: str) -> Calibration:
    """The calibration of the ear of that name."""
    text = files("companion.ear").joinpath("calibration.yaml").read_text(encoding="utf-8")
    return Calibration.model_validate(yaml.safe_load(text)[ear])


def interpret(
    hearing: Hearing, phrasebook: Book, contexts: Collection[str] | None, calibration: Calibration
) -> tuple[Interpretation, ...]:
    """The readings gathered by meaning, the weightiest first: wordings of one meaning share their probability, and so
    do commands that lead to the same place. The likeliest wording says which of them it is called.

    Sentences without a meaning are in the grammar too, as decoys ("three hundred", "oh"): each stands for itself. Notes
    that differ only in their open tail are one meaning, told in the likeliest words.
    """
    share = calibration.letters_share
    likeliest_first = sorted(hearing.readings, key=lambda each: -(each.log_prob + share * each.letters))
    parsed = [(reading, tuple(phrasebook.parse(reading.text, contexts))) for reading in likeliest_first]
    best_prior = next((reading.prior for reading, commands in parsed if commands), 0.0)
    found: dict[object, Interpretation] = {}
    for reading, commands in parsed:
        key = (reading.text[: reading.bound], "...") if reading.has_tail else pooled(commands) or reading.text
        prior = reading.prior if commands else max(reading.prior, best_prior)  # a decoy gains nothing by being rare
        weight = reading.log_prob + share * reading.letters - calibration.prior_share * prior
        known = found.get(key)
        if known is None:
            found[key] = Interpretation(reading.text, commands, reading.log_prob, weight, reading)
        else:
            log_prob = float(np.logaddexp(known.log_prob, reading.log_prob))
            weight = float(np.logaddexp(known.weight, weight))
            text = min(known.text, reading.text, key=_has_digits)
            found[key] = Interpretation(text, known.commands, log_prob, weight, known.reading)
    return tuple(sorted(found.values(), key=lambda meaning: -meaning.weight))


def _has_digits(text: str) -> bool:
    """A sentence is told in the words that were said, where it was met both so and in digits."""
    return any(char.isdigit() for char in text)


def weigh(hearing: Hearing, meanings: tuple[Interpretation, ...]) -> Evidence:
    """The signals for the likeliest meaning; there must be one."""
    best = meanings[0]
    reading = best.reading
    log_prob = reading.bound_log_prob if reading.has_tail else best.log_prob
    said = plain(best.text[: reading.bound])
    free = plain(hearing.free.text)
    if reading.has_tail:  # the tail was free itself: only the words before it can be compared
        free = " ".join(free.split()[: len(said.split())])
    return Evidence(
        per_token=log_prob / max(1, reading.bound_tokens),
        margin=_margin(best, [meaning for meaning in meanings[1:] if meaning.commands]),
        distance=edits(said, free) / max(len(said), len(free), 1),
        gain=max(_LEAST_GAIN, 1 - reading.bound_log_prob / min(-1.0, reading.prior)),
        pace=hearing.seconds / max(1, reading.tokens),
        letters=max(_LEAST_LETTERS, reading.letters / max(1, len(reading.text))),
    )


def _margin(best: Interpretation, others: list[Interpretation]) -> float:
    return min(best.weight - others[0].weight, _WIDEST_MARGIN) if others else _WIDEST_MARGIN


def score_of(evidence: Evidence, calibration: Calibration) -> float:
    """The chance, 0 to 1, that the reading is what was said."""
    sum_ = calibration.intercept + sum(getattr(calibration, n) * getattr(evidence, n) for n in SIGNALS)
    return 1 / (1 + math.exp(-max(-60.0, min(60.0, sum_))))


def judge(hearing: Hearing, phrasebook: Book, contexts: Collection[str] | None, ear: str = "embedded") -> Verdict:
    """What an utterance means and what to do about it; `contexts` as for the grammar it was heard with."""
    calibration = calibration_of(ear)
    meanings = interpret(hearing, phrasebook, contexts, calibration)
    if not meanings:
        return Verdict("", (), "ignore", 0.0, free=hearing.free.text)
    evidence = weigh(hearing, meanings)
    score = score_of(evidence, calibration)
    best = meanings[0]
    decision = _decision(meanings, evidence, score, calibration)
    alternatives = _close(meanings, calibration) if decision == "ask" else ()
    return Verdict(best.text, best.commands, decision, score, alternatives, evidence, hearing.free.text)


def _decision(
    meanings: tuple[Interpretation, ...], evidence: Evidence, score: float, calibration: Calibration
) -> Decision:
    best = meanings[0]
    free = best.reading.has_tail
    talk = free and not best.commands  # "my sister will be back on Monday": a decoy with any words
    # Free words that are not sure enough to be asked about are mostly what others say: nothing is said of them.
    if score < (calibration.ask_at if free else calibration.refuse_at) or talk:
        return "ignore"
    if score < calibration.ask_at or not best.commands:
        return "refuse"
    sure = score >= line_for(best, calibration) and not is_word_alone(best, evidence)
    return "act" if sure and not close_call(meanings, calibration) else "ask"


def line_for(meaning: Interpretation, calibration: Calibration) -> float:
    """The score from which on a meaning may be acted on.

    What others say is more often taken for free words, "note ..." for "no, not ...", than for anything else, so that
    these must be surer.
    """
    return calibration.act_on_free_words_at if meaning.reading.has_tail else calibration.act_at


def is_word_alone(meaning: Interpretation, evidence: Evidence) -> bool:
    """Whether it is a single word of which the free transcript has nothing: a cough that may be "back"."""
    return " " not in meaning.text and evidence.distance > _NOTHING_ALIKE


def close_call(meanings: tuple[Interpretation, ...], calibration: Calibration) -> bool:
    """Whether another meaning is so nearly as likely as the best that nothing may be acted on."""
    return any(_near(meanings[0], other, calibration) for other in meanings[1:])


def _near(best: Interpretation, other: Interpretation, calibration: Calibration) -> bool:
    if not other.commands:
        least = _DECOY_MARGIN
    elif _differ_in_numbers(best, other):
        # "Fifty six", "sixty six": the sound tells least between these, so that both opinions must be for the same one.
        if other.reading.letters > best.reading.letters:
            return True
        least = calibration.least_margin_of_numbers
    else:
        least = calibration.least_margin
    return best.weight - other.weight < least


def _differ_in_numbers(best: Interpretation, other: Interpretation) -> bool:
    """Whether they are the same command with another number."""
    names = [[command.name for command in pooled(meaning.commands)] for meaning in (best, other)]
    return names[0] == names[1] and _numbers_in(best.text) != _numbers_in(other.text)


@lru_cache(2_000)
def _numbers_in(text: str) -> tuple[str, ...]:
    return tuple(_DIGITS.findall(ways_of_writing(text)[-1]))


def _close(meanings: tuple[Interpretation, ...], calibration: Calibration) -> tuple[Interpretation, ...]:
    """The best meaning and those near it, three at most, since nobody remembers more when read aloud."""
    near = [other for other in meanings[1:] if other.commands and _near(meanings[0], other, calibration)]
    return (meanings[0], *near[:2]) if meanings[0].commands else ()


def plain(text: str) -> str:
    """A text without capitals and punctuation, for comparison by ear."""
    kept = "".join(char if char.isalnum() or char in " '" else " " for char in text.lower())
    return " ".join(kept.split())


def edits(one: str, other: str) -> int:
    """How many characters must be put in, taken out or changed to turn one text into the other (Levenshtein)."""
    row = list(range(len(other) + 1))
    for i, a in enumerate(one, 1):
        above, row[0] = row[0], i
        for j, b in enumerate(other, 1):
            above, row[j] = row[j], min(row[j] + 1, row[j - 1] + 1, above + (a != b))
    return row[-1]
