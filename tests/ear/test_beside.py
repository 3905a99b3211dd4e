"""Beside the companion's own voice a short or an unsure command is asked about, silence is not."""

import pytest

from companion.ear.beside import surer
from companion.ear.decide import Decision, Verdict
from companion.phrases.phrasebook import Phrasebook

IDLE = frozenset({"idle"})


@pytest.mark.parametrize(
    ("said", "score", "decision"),
    [
        ("back", 0.99, "ask"),
        ("next round", 0.99, "act"),
        ("next round", 0.88, "ask"),
        ("stop", 0.88, "act"),
        ("quiet", 0.88, "act"),
    ],
)
def test_what_moves_must_be_sure(said: str, score: float, decision: Decision) -> None:
    book = Phrasebook(["Body"])
    verdict = surer(Verdict(said, book.parse(said, IDLE), "act", score), book)
    assert (verdict.decision, verdict.commands) == (decision, book.parse(said, IDLE))


@pytest.mark.parametrize(("said", "decision"), [("stop talking", "act"), ("wait", "act"), ("next round", "ask")])
def test_silence_is_not_asked_about(said: str, decision: Decision) -> None:
    book = Phrasebook(["Body"])
    asked = surer(Verdict(said, book.parse(said, IDLE), "ask", 0.66), book)
    assert asked.decision == decision


def test_what_was_not_acted_on_stays_as_it_was() -> None:
    book = Phrasebook(["Body"])
    asked = Verdict("back", book.parse("back", IDLE), "refuse", 0.4)
    assert surer(asked, book) is asked
