"""What the first words after a change would be kept waiting for is worked out before they are spoken."""

import threading
from collections.abc import Callable

import numpy as np
import pytest
import threadpoolctl

from companion.ear import choose, embedded
from companion.ear.embedded import EmbeddedRecogniser
from companion.ear.recogniser import RATE, Hearing, Samples
from companion.ear.stream import Listener
from companion.ear.voice import SileroVoiceActivity, frames_of
from companion.phrases.graph import Grammar
from companion.phrases.phrasebook import Phrasebook

pytestmark = pytest.mark.speech

Speech = Callable[[str, str], Samples]


class Watched:
    """A recogniser that tells which grammars it was to prepare."""

    def __init__(self, recogniser: EmbeddedRecogniser) -> None:
        self.prepared: list[Grammar] = []
        self.asked = threading.Semaphore(0)
        self._recogniser = recogniser

    def hear(self, sound: Samples, grammar: Grammar) -> Hearing:
        return self._recogniser.hear(sound, grammar)

    def prepare(self, grammar: Grammar) -> None:
        self.prepared.append(grammar)
        self.asked.release()


def test_a_prepared_grammar_is_heard_with_at_once(
    recogniser: EmbeddedRecogniser, speech: Speech, monkeypatch: pytest.MonkeyPatch
) -> None:
    book = Phrasebook()
    grammar = book.grammar({"idle"})
    recogniser.prepare(grammar)

    def late(*_: object) -> None:
        raise AssertionError("a graph is built while the maker waits")

    monkeypatch.setattr(embedded, "TokenGraph", late)
    assert recogniser.hear(speech("next round", "flite rms"), grammar).readings[0].text == "next round"


def test_the_ear_is_made_ready_after_a_change_and_after_an_utterance(
    recogniser: EmbeddedRecogniser, book: Phrasebook, speech: Speech
) -> None:
    watched = Watched(recogniser)
    quiet = (np.random.default_rng(2).standard_normal(RATE) * 3e-4).astype(np.float32)
    said = np.concatenate([quiet, speech("next round", "flite rms"), quiet])
    idle, asked = frozenset({"idle"}), frozenset({"asking"})
    with Listener(watched, book, SileroVoiceActivity(), idle) as listener:
        for _ in range(3):
            listener.prepare()
        listener.contexts = asked
        listener.prepare()
        listener.contexts = idle
        for frame in frames_of(said):
            listener.feed(frame)
            listener.prepare()
        for _ in range(4):  # what is not begun when a listener is closed is dropped
            assert watched.asked.acquire(timeout=10.0)
    assert watched.prepared == [book.grammar(each) for each in (idle, asked, idle, idle)]


def test_whichever_ear_is_chosen_sums_do_not_wait_for_each_other() -> None:
    with threadpoolctl.threadpool_limits(2, "blas"):
        choose.choose("embedded")
        assert {pool["num_threads"] for pool in threadpoolctl.threadpool_info() if pool["user_api"] == "blas"} == {1}
