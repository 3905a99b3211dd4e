"""When memory is freed: never while somebody speaks, and soon after."""

from __future__ import annotations

import gc
import weakref
from collections.abc import Iterator
from pathlib import Path

import pytest

from companion.garbage import collect, collected_in_the_quiet
from companion.session import Session, open_session
from tests.support.loop import Notes, conversation, hear


class _Ring:
    """Refers to itself, so that only a collector frees it."""

    def __init__(self) -> None:
        self.itself = self


@pytest.fixture
def session(pattern: Path, tmp_path: Path) -> Iterator[Session]:
    with open_session(pattern, state=tmp_path / "state") as session:
        session.opening()
        yield session


@pytest.fixture
def collections() -> Iterator[list[str]]:
    """Grows with every collection."""
    seen: list[str] = []

    def note(phase: str, _: object) -> None:
        seen.append(phase)

    gc.callbacks.append(note)
    yield seen
    gc.callbacks.remove(note)


def test_nothing_is_collected_but_where_it_is_told(collections: list[str]) -> None:
    with collected_in_the_quiet():
        ring = weakref.ref(_Ring())
        rings = [_Ring() for _ in range(50_000)]
        del rings
        assert collections == []
        assert ring() is not None
        collect()
        assert ring() is None
    assert gc.isenabled()
    assert gc.get_freeze_count() == 0


def test_what_outlived_one_collection_is_freed_when_talking_is_over() -> None:
    with collected_in_the_quiet():
        ring = _Ring()
        seen = weakref.ref(ring)
        collect()
        del ring
    gc.collect()
    assert seen() is None


def test_memory_is_freed_after_a_reply_and_not_while_it_sounds(session: Session, collections: list[str]) -> None:
    notes = Notes()
    talk = conversation(session, notes)
    with collected_in_the_quiet():
        talk._step()
        collections.clear()
        notes.unfinished = True
        hear(session, notes, talk, "next round")
        talk._step()
        assert collections == [], "the reply is being heard"
        notes.unfinished, notes.notices_voice = False, True
        talk._step()
        assert collections == [], "the maker speaks"
        notes.notices_voice = False
        talk._step()
        assert collections == ["start", "stop"]
        talk._step()
        assert collections == ["start", "stop"], "once is enough"
