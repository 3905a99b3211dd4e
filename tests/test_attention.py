"""The attention word as a setting: chosen by file, flag or voice, a poor choice told at once."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from companion import settings
from companion.attention import AttentionError
from companion.session import Session, open_session
from companion.settings import Settings


@pytest.fixture(autouse=True)
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = tmp_path / "config" / "live.json"
    monkeypatch.setattr(settings, "settings_file", lambda: path)
    return path


@pytest.fixture
def session(pattern: Path, tmp_path: Path) -> Iterator[Session]:
    with open_session(pattern, state=tmp_path / "state") as session:
        session.opening()
        yield session


def test_there_is_none_unless_it_is_chosen(session: Session) -> None:
    assert Settings().attention is None
    assert session.called is session.phrasebook
    assert session.listen_for("") == ""


def test_it_is_set_in_the_settings(file: Path) -> None:
    chosen = settings.changed(Settings(), ["attention=Hey Clementine"])
    settings.save(chosen)
    assert settings.load().attention == "hey clementine"
    assert "attention=hey clementine" in settings.as_lines(chosen)
    assert settings.changed(chosen, ["attention="]).attention is None
    assert settings.changed(chosen, ["attention=off"]).attention is None


def test_a_poor_one_is_told_in_the_settings() -> None:
    lines = settings.as_lines(settings.changed(Settings(), ["attention=bob"]))
    assert "Bob is short, and easily heard in other talk. A word of two syllables or more is safer." in lines
    with pytest.raises(AttentionError, match="sentences that I know begin with it"):
        settings.changed(Settings(), ["attention=next"])


def test_a_session_says_at_its_start_what_it_listens_for(session: Session) -> None:
    assert session.listen_for("Clementine") == "I act only on what begins with: clementine."
    assert session.listen_for("bob").endswith("A word of two syllables or more is safer.")
    with pytest.raises(AttentionError):
        session.listen_for("undo")


def test_what_is_typed_needs_no_word_and_may_have_it(session: Session) -> None:
    session.listen_for("clementine")
    (turn,) = session.typed("next round")
    assert (turn.command, turn.accepted) == ("next_round", True)
    (turn,) = session.typed("clementine, next round")
    assert (turn.command, turn.place.round if turn.place else None) == ("next_round", 3)


def test_one_that_cannot_serve_changes_nothing(session: Session) -> None:
    session.listen_for("clementine")
    (turn,) = session.typed("use the attention word four five six")
    assert (turn.command, turn.accepted) == ("attention_word", False)
    assert turn.reply.startswith("Four five six is too long")
    assert session.called.attention == "clementine"
