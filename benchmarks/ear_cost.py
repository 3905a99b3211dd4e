"""What listening costs: time from the pause to the decision, load while idle, memory."""

from __future__ import annotations

import time
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path

import numpy as np

from benchmarks.ear_items import items
from benchmarks.ear_rooms import CONDITIONS
from benchmarks.ear_run import ear, listen, sampled
from benchmarks.ear_voices import voices
from companion.ear.recogniser import LONGEST_SECONDS, RATE, Recogniser
from companion.ear.stream import END_COMPLETE, LOOK_EARLY, Listener
from companion.ear.voice import FRAME_SECONDS, SileroVoiceActivity, frames_of
from companion.phrases.phrasebook import Phrasebook

_SENTENCES = 60
_IDLE_MINUTES = 2


def report(recogniser: Recogniser, book: Phrasebook) -> None:
    """Print the three figures. Times are of the processor, so that others who use the machine do not matter."""
    kept = [item for item in items(book) if not item.for_tuning]
    whole = []
    for trial in sampled(kept, voices("test"), CONDITIONS[:1], _SENTENCES, tuning=False):
        sound, _ = trial.recording()
        for utterance in listen(sound, recogniser, book, trial.item.contexts):
            begun = time.process_time()
            recogniser.hear(utterance.sound, book.grammar(trial.item.contexts))
            whole.append(time.process_time() - begun)
    ahead = (END_COMPLETE - LOOK_EARLY) * FRAME_SECONDS
    over = np.maximum(0, np.array(whole) - ahead) + 0.002
    print(f"decoding, whole: median {_ms(whole, 50)} ms, 95th percentile {_ms(whole, 95)} ms")
    print(
        f"of that after the pause of {END_COMPLETE * FRAME_SECONDS:.2f} s, in real time: "
        f"median {_ms(over, 50)} ms, 95th percentile {_ms(over, 95)} ms"
    )
    hiss = (np.random.default_rng(0).standard_normal(_IDLE_MINUTES * 60 * RATE) * 3e-4).astype(np.float32)
    with Listener(recogniser, book, SileroVoiceActivity(), frozenset({"idle"})) as listener:
        begun = time.process_time()
        for frame in frames_of(hiss):
            listener.feed(frame)
        spent = time.process_time() - begun
    print(f"idle listening: {100 * spent / (_IDLE_MINUTES * 60):.1f} % of one core")
    with ProcessPoolExecutor(1, get_context("spawn")) as alone:
        print(f"resident memory of a process that only listens, at most: {alone.submit(_memory_alone).result():.0f} MB")


def _memory_alone() -> float:
    """Peak memory in MB of an ear that has heard the longest utterance there is; Linux tells it."""
    rng = np.random.default_rng(0)
    sound = (rng.standard_normal(int(LONGEST_SECONDS * RATE)) * 0.05).astype(np.float32)
    SileroVoiceActivity()
    recogniser, book = ear()
    recogniser.hear(sound, book.grammar(frozenset({"idle"})))
    # not getrusage: what it tells of a new process includes the one that it was made from
    status = Path("/proc/self/status").read_text(encoding="ascii")
    return float(status.split("VmHWM:")[1].split()[0]) / 1024


def _ms(seconds: object, percentile: float) -> int:
    return round(1000 * float(np.percentile(np.asarray(seconds), percentile)))
