"""How a project is opened: which journal is its own, what became of a damaged one, and what is said at the start."""

from __future__ import annotations

import hashlib
import re
import time
from dataclasses import dataclass
from pathlib import Path

from companion.place.answers import Notice, Opened
from companion.place.journal import SUFFIX, DamagedError, Event, Journal, PatternRow, recover, set_aside
from companion.place.layout import Layout
from companion.place.moves import choice
from companion.place.result import Question
from companion.place.story import Story
from companion.place.view import View

SILENCE_SECONDS = 600.0
"""After so long a silence the place is told as hearsay."""


@dataclass(slots=True)
class Opening:
    """An opened project. `aside` names a file that was moved out of the way, `recovered` the events saved from it."""

    journal: Journal
    story: Story
    new: bool
    aside: str = ""
    recovered: int = 0
    notices: tuple[Notice, ...] = ()
    question: Question | None = None

    def answer(self, view: View, now: float) -> Opened:
        """What is said at the start; it may leave a question open."""
        place = view.progress.place
        fresh = self.new or (not self.story.tracks)
        if self.question is None and not self.story.paused:
            self.question = choice(view, place)
        hold = view.held
        return Opened(
            title=view.pattern.title,
            new=fresh,
            hearsay=not fresh and is_hearsay(self.story.last_at, now),
            now=view.here,
            reading=view.reading(place),
            notices=(*self.notices, *(view.notices(place) if place.stitch == 0 else ())),
            aside=self.aside,
            turning=hold.turning if hold else None,
            problems=len(view.pattern.errors),
        )


def is_hearsay(last: float | None, now: float) -> bool:
    """True after ten minutes' silence, on another day, and where the clock went backwards, so that nobody knows."""
    if last is None:
        return False
    return not 0 <= now - last < SILENCE_SECONDS or time.localtime(last)[:3] != time.localtime(now)[:3]


def open_project(layout: Layout, folder: Path, path: Path | None, now: float) -> Opening:
    """Finds or begins the journal of this pattern and folds it. Raises `JournalError`."""
    file = folder / file_name(layout, path)
    new = not file.exists()
    aside: Path | None = None
    try:
        journal = Journal.open(file)
        story = Story(_checked(journal))
    except DamagedError:
        aside = set_aside(file)
        journal = Journal.open(file)
        recover(aside, journal)
        story = Story(journal.events())
    opening = Opening(journal, story, new, aside.name if aside else "", len(story.tracks) if aside else 0)
    known = {row.digest for row in journal.patterns()}
    if layout.digest not in known:
        journal.add_pattern(_row(layout, path, now))
    return opening


def _checked(journal: Journal) -> list[Event]:
    try:
        return journal.events()
    except DamagedError:
        journal.close()
        raise


def file_name(layout: Layout, path: Path | None) -> str:
    """The journal's name: the pattern's name for people, and a hash of its path (of its content, if it has none)."""
    name = path.stem if path else layout.pattern.title
    slug = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:40] or "pattern"
    identity = str(path.resolve()) if path else layout.pattern.title + layout.digest
    return f"{slug}-{hashlib.sha256(identity.encode()).hexdigest()[:8]}{SUFFIX}"


def _row(layout: Layout, path: Path | None, now: float) -> PatternRow:
    pattern = layout.pattern
    where = str(path.resolve()) if path else ""
    return PatternRow(layout.digest, now, pattern.title, pattern.terms, pattern.source, layout.skeleton(), where)
