"""Counting together: the beat of a word, of a key, and of a tempo, with a clock that stands still until it is told."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from companion.beating import Beating
from companion.session import Session, open_session

PATTERN = """Test
Terms: US

BALL
Worked in a spiral.
Rnd 1: 6 sc in a magic ring [6]
Rnd 2: (2 sc, inc) x 2 [8]
"""


class Clock:
    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def session(tmp_path: Path, clock: Clock) -> Iterator[Session]:
    path = tmp_path / "test.txt"
    path.write_text(PATTERN, encoding="utf-8")
    with open_session(path, state=tmp_path / "state", beating=Beating(clock)) as session:
        session.opening()
        yield session


def beats(session: Session, clock: Clock, seconds: float) -> list[str]:
    """What is said unasked in that time, looked at a hundred times a second."""
    said = []
    for _ in range(round(seconds * 100)):
        clock.now += 0.01
        turn = session.due()
        if turn:
            assert turn.heard is None
            said.append(turn.reply)
    return said


def test_a_tempo_counts_to_the_turn_of_the_round_and_stops_there(session: Session, clock: Clock) -> None:
    session.typed("go to round two")
    assert session.typed("count with me")[0].reply.startswith("Together, one to two: two single crochet.")
    assert beats(session, clock, 10) == [], "nobody set a beat yet"
    session.typed("sixty a minute")
    assert beats(session, clock, 10) == ["One.", "Two. Next, one increase."]
    assert session.work.place.stitch == 2
    session.typed("count with me")
    assert beats(session, clock, 10) == ["Three.", "Four, end of the repeat. Next, two single crochet."]


def test_the_beat_comes_at_the_tempo(session: Session, clock: Clock) -> None:
    session.typed("count with me")
    session.typed("thirty a minute")
    assert beats(session, clock, 1.95) == []
    assert beats(session, clock, 0.1) == ["One."]
    assert beats(session, clock, 1.9) == []
    assert beats(session, clock, 4.3) == ["Two.", "Three.", "Four."]


def test_the_words_before_the_first_beat_are_heard_out(session: Session, clock: Clock) -> None:
    session.typed("count with me")
    session.typed("sixty a minute")
    session.work.speaking(True)
    assert beats(session, clock, 5) == []
    session.work.speaking(False)
    assert beats(session, clock, 0.9) == []
    assert beats(session, clock, 0.2) == ["One."]


@pytest.mark.parametrize("words", ["stop", "wait", "how many are left", "undo that", "pause", "tick"])
def test_another_command_stops_it(session: Session, clock: Clock, words: str) -> None:
    session.typed("count with me")
    session.typed("sixty a minute")
    assert beats(session, clock, 2.05) == ["One.", "Two."]
    session.typed(words)
    assert beats(session, clock, 10) == []


def test_a_tempo_said_at_another_time_begins_nothing(session: Session, clock: Clock) -> None:
    session.typed("sixty a minute")
    assert beats(session, clock, 5) == []
    session.typed("count with me")
    assert beats(session, clock, 1.05) == ["One."]


def test_a_word_or_a_key_is_a_beat_while_counting_and_only_then(session: Session) -> None:
    session.typed("count with me")
    assert session.typed("tick")[0].place.stitch == 1  # type: ignore[union-attr]
    assert session.pressed("next")[0].command == "beat"
    assert session.work.place.stitch == 2
    session.typed("where am i")
    assert session.pressed("next")[0].command == "next"


def test_every_beat_can_be_undone(session: Session, clock: Clock) -> None:
    session.typed("count with me")
    session.typed("sixty a minute")
    beats(session, clock, 3.05)
    session.typed("undo that")
    assert session.work.place.stitch == 2
