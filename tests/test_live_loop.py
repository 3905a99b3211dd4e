"""The loop of a session aloud, frame by frame, with devices that only take notes: what it answers, holds and drops."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from companion import settings
from companion.session import Session, open_session
from companion.settings import Settings
from tests.support.loop import Notes, conversation, hear


@pytest.fixture
def session(pattern: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Session]:
    monkeypatch.setattr(settings, "settings_file", lambda: tmp_path / "config" / "live.json")
    with open_session(pattern, state=tmp_path / "state") as session:
        session.opening()
        yield session


def test_a_sentence_that_goes_on_is_answered_as_a_whole(session: Session) -> None:
    notes = Notes()
    talk = conversation(session, notes)
    hear(session, notes, talk, "i have done three")
    assert session.work.view.here.stitch == 3
    hear(session, notes, talk, "i have done three so far how many are left", joined=True)
    assert session.work.view.here.stitch == 3
    assert notes.said[-1].startswith("Three left"), notes.said
    hear(session, notes, talk, "undo that")
    assert session.work.view.here.stitch == 0, "it was done once, not twice"


def test_a_noise_after_a_sentence_does_not_make_it_answer_again(session: Session) -> None:
    notes = Notes()
    talk = conversation(session, notes)
    hear(session, notes, talk, "next round")
    said, stopped = list(notes.said), notes.stopped
    hear(session, notes, talk, "next round", joined=True)
    assert session.work.view.here.round == 2
    assert notes.said == said
    assert notes.stopped == stopped, "the answer goes on"


def test_talk_that_begins_like_a_command_is_taken_back_in_silence(session: Session) -> None:
    notes = Notes()
    talk = conversation(session, notes)
    hear(session, notes, talk, "next round")
    stopped = notes.stopped
    hear(session, notes, talk, "next round of talks is on monday", joined=True)
    assert session.work.view.here.round == 1
    assert notes.stopped > stopped
    assert len(notes.said) == 1


def test_a_reply_is_held_for_what_may_be_a_voice_and_goes_on_where_it_was_none(session: Session) -> None:
    notes = Notes()
    talk = conversation(session, notes)
    notes.playing = notes.may_begin = True
    talk._step()
    assert notes.holding
    talk._step()
    assert notes.beside_own_voice, "who made it fall silent speaks beside its voice"
    notes.may_begin, notes.notices_voice = False, True
    talk._step()
    assert notes.holding, "it was a voice"
    notes.notices_voice = False
    talk._step()
    assert notes.playing


def test_only_beeping_until_it_is_asked_to_talk(session: Session) -> None:
    notes = Notes()
    talk = conversation(session, notes)
    hear(session, notes, talk, "beeps only")
    assert "Say talk to me" in notes.said[-1], "its last words say how to come back"
    hear(session, notes, talk, "next round")
    assert (len(notes.said), notes.tones) == (1, 1)
    assert notes.shown[-1].reply, "what it would say is shown"
    assert settings.load().answers == "tones"
    hear(session, notes, talk, "talk to me")
    assert notes.said[-1] == "I am speaking again."
    assert settings.load().answers == "voice"


def test_print_alone_makes_no_sound(session: Session) -> None:
    notes = Notes()
    talk = conversation(session, notes, Settings(answers="print"))
    hear(session, notes, talk, "next round")
    assert (notes.said, notes.tones) == ([], 0)
    assert notes.shown[-1].reply


def test_the_last_words_are_said_slowly(session: Session) -> None:
    notes = Notes()
    talk = conversation(session, notes)
    hear(session, notes, talk, "how many are left")
    hear(session, notes, talk, "say that slowly")
    assert notes.said[0] == notes.said[1]
    assert notes.rates[1] < notes.rates[0]


def test_counting_together_counts_aloud_and_stops_at_the_turn(session: Session) -> None:
    notes = Notes()
    talk = conversation(session, notes)
    hear(session, notes, talk, "next round")
    hear(session, notes, talk, "count with me")
    hear(session, notes, talk, "two hundred a minute")
    end = time.monotonic() + 20
    while not notes.said[-1].endswith("and that is the round.") and time.monotonic() < end:
        talk._step()
    counted = [said.split(",")[0].rstrip(".") for said in notes.said[3:]]
    assert counted == [
        "One",
        "Two",
        "Three",
        "Four",
        "Five",
        "Six",
        "Seven",
        "Eight",
        "Nine",
        "Ten",
        "Eleven",
        "Twelve",
    ]
    assert session.work.view.here.full


def test_an_attention_word_is_set_by_voice_and_remembered(session: Session) -> None:
    notes = Notes()
    talk = conversation(session, notes)
    hear(session, notes, talk, "use the attention word Clementine")
    assert notes.said[-1] == "Did you say: use the attention word Clementine?"
    hear(session, notes, talk, "yes")
    assert notes.said[-1].startswith("I now act only on what begins with: clementine.")
    assert settings.load().attention == "clementine"
    talk._step()
    assert notes.phrasebook.attention == "clementine"
    hear(session, notes, talk, "clementine next round")
    assert session.work.view.here.round == 2
    hear(session, notes, talk, "turn off the attention word")
    assert settings.load().attention is None
    talk._step()
    assert notes.phrasebook.attention == ""


def test_an_attention_word_that_was_heard_amiss_is_not_taken(session: Session) -> None:
    notes = Notes()
    talk = conversation(session, notes)
    hear(session, notes, talk, "use the attention word clarity")
    hear(session, notes, talk, "no")
    assert settings.load().attention is None
    hear(session, notes, talk, "next round")
    assert session.work.view.here.round == 2


def test_the_attention_word_alone_is_answered_with_a_tone(session: Session) -> None:
    notes = Notes()
    session.listen_for("clementine")
    talk = conversation(session, notes)
    hear(session, notes, talk, "next round")
    hear(session, notes, talk, "clementine")
    assert (len(notes.said), notes.tones) == (1, 1)
    hear(session, notes, talk, "clementine i have done three", joined=True)
    assert (session.work.view.here.round, session.work.view.here.stitch) == (2, 3)
    hear(session, notes, talk, "undo that")
    assert session.work.view.here.stitch == 0, "what came before the word was not taken back"


@pytest.mark.parametrize(
    ("word", "told", "kept"),
    [
        ("bob", "Bob is short, and easily heard in other talk.", "bob"),
        ("ready", "Ready is spelled much like the beginning of a sentence that I know.", "ready"),
        ("next round", "Next round cannot be the attention word: sentences that I know begin with it.", None),
    ],
)
def test_a_poor_attention_word_is_told_at_once(session: Session, word: str, told: str, kept: str | None) -> None:
    notes = Notes()
    talk = conversation(session, notes)
    hear(session, notes, talk, f"use the attention word {word}")
    hear(session, notes, talk, "yes")
    assert told in notes.said[-1]
    assert settings.load().attention == kept
