"""Puts recordings through the ear's streaming path and writes down what came of each, so that a run can be resumed."""

from __future__ import annotations

import hashlib
import json
import time
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass, field, replace
from functools import cache
from multiprocessing import get_context
from pathlib import Path
from typing import Any, Literal

import numpy as np

from benchmarks.ear_items import Item, phrasebook, same
from benchmarks.ear_rooms import Condition, recorded
from benchmarks.ear_voices import CACHE, Voice
from companion.ear.decide import Verdict, judge
from companion.ear.embedded import EmbeddedRecogniser
from companion.ear.other_talk import OtherTalk
from companion.ear.recogniser import FreeTranscript, Hearing, Reading, Recogniser, Samples
from companion.ear.stream import Listener, Utterance
from companion.ear.voice import SileroVoiceActivity, frames_of
from companion.phrases.phrasebook import Phrasebook

ROOT = Path(__file__).parent.parent
Result = Literal["right", "asked", "ignored", "wrong"]


@dataclass(frozen=True, slots=True)
class Trial:
    """One recording to be: a sentence, by a voice, in a condition; `take` tells apart those that agree in all three."""

    item: Item
    voice: Voice
    condition: Condition
    tuning: bool
    take: int = 0

    @property
    def key(self) -> str:
        """What this trial is filed under."""
        again = f"|{self.take}" if self.take else ""
        return f"{self.condition.name}|{self.voice.name}|{self.item.text}{again}"

    @property
    def seed(self) -> int:
        """The chance of this recording: which room, which stretch of noise."""
        return int.from_bytes(hashlib.sha256(self.key.encode()).digest()[:4], "big")

    def recording(self) -> tuple[Samples, str]:
        """The sound at the microphone and the kind of noise in it."""
        return recorded(self.voice.say(self.item.text), self.condition, self.seed, tuning=self.tuning)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What the ear made of one recording: first `hearings`, what it heard in each utterance and at which frames that
    began and ended, then the judgement on it.

    `telling` is the number of the utterance that tells most; what follows it speaks of that one. `read_right`: its best
    reading was right, acted on or not.
    """

    key: str
    condition: str
    voice: str
    text: str
    noise: str
    hearings: list[dict[str, Any]]
    result: Result = "ignored"
    telling: int | None = None
    read_right: bool = False
    heard: str = ""
    decision: str = "ignore"
    score: float = 0.0
    evidence: dict[str, float] = field(default_factory=dict)


_READINGS = 20  # of an utterance that are written down
_HEARING = (
    *("embedded.py", "inner_layers.py", "letter_search.py", "letters.npz", "letters.py", "level.py", "network.py"),
    *("outlook.py", "prior.py", "recogniser.py", "search.py", "stream.py", "tokens.py", "voice.py"),
)


_JUDGING = ("attention.py", "beside.py", "calibration.yaml", "decide.py", "other_talk.py")


def fingerprint(*, judging: bool = False) -> str:
    """A name for how the ear hears now: it changes with the code that hears and with the phrases.

    Decision and calibration count only where asked for: most outcomes are judged from the hearings written down.
    """
    digest = hashlib.sha256()
    names = (*_HEARING, *_JUDGING) if judging else _HEARING
    for path in (*(ROOT / "companion" / "ear" / name for name in names), *_phrase_files()):
        digest.update(path.read_bytes())
    return digest.hexdigest()[:12]


def _phrase_files() -> list[Path]:
    return sorted(path for path in (ROOT / "companion" / "phrases").glob("*.*") if path.suffix in (".py", ".yaml"))


def hearing_of(kept: dict[str, Any]) -> Hearing:
    """What the recogniser heard in an utterance, as far as it was written down."""
    return Hearing(tuple(Reading(**r) for r in kept["readings"]), FreeTranscript(**kept["free"]), kept["seconds"])


def judged_by_now(outcome: Outcome, trial: Trial, book: Phrasebook) -> Outcome:
    """The outcome under today's calibration, from the hearings that were written down: no need to listen again."""
    other_talk = OtherTalk()
    verdicts = [
        other_talk.weigh(judge(hearing_of(kept), book, trial.item.contexts), book, kept["began"], kept["ended"])
        for kept in outcome.hearings
    ]
    result, telling = _result(trial.item, verdicts)
    if telling is None:
        return replace(outcome, result=result)
    verdict = verdicts[telling]
    return replace(
        outcome,
        result=result,
        read_right=same(verdict.commands, trial.item.commands),
        heard=verdict.text,
        decision=verdict.decision,
        score=verdict.score,
        evidence=asdict(verdict.evidence) if verdict.evidence else {},
        telling=telling,
    )


def sampled(
    kept: Sequence[Item], speakers: Sequence[Voice], conditions: Iterable[Condition], count: int, *, tuning: bool
) -> Iterator[Trial]:
    """Trials in a fixed random order, the same sentences and voices in every condition.

    A command is drawn first and then one of its sentences; every second draw is a sentence with a number to report. A
    sentence that a voice has said before is recorded anew, in another room and with other noise.
    """
    by_command: dict[str, list[Item]] = {}
    for item in kept:
        by_command.setdefault(item.commands[0].name, []).append(item)
    names = sorted(by_command)
    rng = np.random.default_rng(11)
    conditions = list(conditions)
    takes: Counter[tuple[str, str]] = Counter()
    for number in range(count):
        name = names[int(rng.integers(len(names)))] if number % 2 else "have_done"
        item = by_command[name][int(rng.integers(len(by_command[name])))]
        voice = speakers[int(rng.integers(len(speakers)))]
        said = item.text, voice.name
        for condition in conditions:
            yield Trial(item, voice, condition, tuning, takes[said])
        takes[said] += 1


class Notebook:
    """Outcomes on disk, one a line, by trial; what is there is not measured again."""

    def __init__(self, name: str) -> None:
        self.path = CACHE / "results" / f"{name}.jsonl"
        self.path.parent.mkdir(parents=True, exist_ok=True)
        self._kept: dict[str, dict[str, Any]] = {}
        if self.path.is_file():
            for line in self.path.read_text(encoding="utf-8").splitlines():
                kept = json.loads(line)
                self._kept[kept["key"]] = kept

    def find(self, key: str) -> dict[str, Any] | None:
        """What was written down about a trial."""
        return self._kept.get(key)

    def write(self, kept: dict[str, Any]) -> None:
        """Write down one outcome."""
        self._kept[kept["key"]] = kept
        with self.path.open("a", encoding="utf-8") as file:
            file.write(json.dumps(kept) + "\n")


def listen(
    sound: Samples, recogniser: Recogniser, book: Phrasebook, contexts: frozenset[str], ear: str = "embedded"
) -> Iterator[Utterance]:
    """All utterances in a sound, those that were taken back left out."""
    standing: dict[int, Utterance] = {}
    with Listener(recogniser, book, SileroVoiceActivity(), contexts, ear, settling=1.0) as listener:
        for frame in frames_of(sound):
            for utterance in listener.feed(frame):
                standing.pop(utterance.takes_back or 0, None)
                standing[utterance.number] = utterance
        for utterance in listener.finish():
            standing[utterance.number] = utterance
    yield from standing.values()


def judged(item: Item, utterances: Iterable[Utterance]) -> tuple[Result, Utterance | None]:
    """How the ear did on a sentence, and the utterance that tells most about it."""
    heard = list(utterances)
    result, telling = _result(item, [utterance.verdict for utterance in heard])
    return result, None if telling is None else heard[telling]


def _result(item: Item, verdicts: Sequence[Verdict]) -> tuple[Result, int | None]:
    """The same from the verdicts on all utterances alone; which tells most is given by its number in the row."""
    acted = tuple(command for verdict in verdicts if verdict.decision == "act" for command in verdict.commands)
    telling = max(range(len(verdicts)), key=lambda i: (verdicts[i].decision == "act", verdicts[i].score), default=None)
    if acted:
        return ("right" if same(acted, item.commands) else "wrong"), telling
    return ("asked" if any(verdict.decision == "ask" for verdict in verdicts) else "ignored"), telling


def run(trials: Iterable[Trial], book: Phrasebook, notebook: Notebook, processes: int) -> Iterator[Outcome]:
    """The outcome of every trial, from the notebook where it has been measured before, else measured in processes."""
    every = list(trials)
    new = list({trial.key: trial for trial in every if notebook.find(trial.key) is None}.values())
    with ProcessPoolExecutor(processes, get_context("spawn")) as pool:
        for outcome in pool.map(measured, new, chunksize=8):
            notebook.write(asdict(outcome))
    for trial in every:
        kept = notebook.find(trial.key)
        assert kept is not None
        yield judged_by_now(Outcome(**kept), trial, book)


def measured(trial: Trial) -> Outcome:
    """Put one trial through the ear of this process."""
    recogniser, book = ear()
    sound, noise = trial.recording()
    heard = []
    for utterance in listen(sound, recogniser, book, trial.item.contexts):
        hearing = asdict(utterance.hearing)
        hearing["readings"] = hearing["readings"][:_READINGS]
        heard.append({**hearing, "began": utterance.began, "ended": utterance.ended})
    where = (trial.key, trial.condition.name, trial.voice.name, trial.item.text, noise)
    return Outcome(*where, hearings=heard)


@cache
def ear() -> tuple[Recogniser, Phrasebook]:
    """The ear of this process, and the bench's phrases."""
    return EmbeddedRecogniser.open(), phrasebook()


def timed(recogniser: Recogniser, book: Phrasebook, sounds: Iterable[tuple[Samples, frozenset[str]]]) -> list[float]:
    """Seconds to decode each sound."""
    taken = []
    for sound, contexts in sounds:
        grammar = book.grammar(contexts)
        begun = time.perf_counter()
        recogniser.hear(sound, grammar)
        taken.append(time.perf_counter() - begun)
    return taken
