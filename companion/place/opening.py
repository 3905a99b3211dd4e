"""How a project is opened: which journal is its own, what became of a damaged one, and what is said at the start.

A project is known by the path of its pattern file. A file that was moved or renamed is known by its content, as long as
nothing lies at the old path; a file that now holds another pattern altogether begins a project of its own.
"""

from __future__ import annotations

import hashlib
import re
import time
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from companion.place.answers import AskCarry, Notice, Opened, PatternChanged, RoundRead, RoundStarted, SmallParts
from companion.place.carry import CarriedOver, carry_over, nothing_in_common
from companion.place.choices import choice
from companion.place.journal import Event, Journal, PatternRow, recover
from companion.place.journal_files import SUFFIX, DamagedError, JournalError, file_name, set_aside
from companion.place.layout import Layout, Spot
from companion.place.progress import Change, Place
from companion.place.projects import summaries, summary
from companion.place.result import Question, Result
from companion.place.small_parts import eye_notes, has_small_parts
from companion.place.story import Story
from companion.place.timekeeper import SILENCE_SECONDS
from companion.place.view import View


@dataclass(slots=True)
class Opening:
    """An opened project.

    `title` is what the project is called by. `aside` names a file that was moved out of the way. `carried` is set where
    the pattern was edited since. `question` is left open by `answer`.
    """

    title: str
    journal: Journal
    story: Story
    told_at: float | None
    aside: str = ""
    carried: CarriedOver | None = None
    question: Question | None = None

    def answer(self, view: View, now: float) -> Opened | AskCarry:
        """What is said at the start; it may leave a question open."""
        if self.carried is not None and not self.carried.sure:
            return self._ask_carry(view, self.carried)
        place = view.progress.place
        if not self.story.paused:
            self.question = choice(view, place)
        notices: tuple[Notice, ...] = view.notices(place) if place.stitch == 0 else ()
        if self.told_at is None and has_small_parts(view.pattern) and not any(True for _ in eye_notes(view.pattern)):
            notices = (SmallParts(), *notices)  # with eyes it is said at the eyes
        if self.carried is not None:
            notices = (PatternChanged(self.carried.label_before, self.carried.moved), *notices)
        hold = view.held
        return Opened(
            title=self.title,
            new=self.told_at is None,
            hearsay=self.told_at is not None and is_hearsay(self.told_at, now),
            now=view.here,
            reading=view.reading(place),
            notices=notices,
            aside=self.aside,
            turning=hold.turning if hold else None,
            problems=len(view.pattern.errors),
        )

    def _ask_carry(self, view: View, carried: CarriedOver) -> AskCarry:
        proposed = view.here
        start = Place(at=Spot(view.part.index, 0), stitch=0)
        yes = Result(RoundRead(view.reading(view.progress.place), view.doubts_and_notes(view.progress.place)))
        begun = RoundStarted(
            "go_to", None, proposed, view.where(start.at, 0), view.reading(start), notices=view.notices(start)
        )
        no = Result(begun, change=Change(place=start))
        self.question = Question("carry", yes, no, None, "carried")
        return AskCarry(carried.label_before, carried.number_before, carried.stitch_before, proposed)


def is_hearsay(last: float, now: float) -> bool:
    """True after ten minutes' silence, on another day, and where the clock went backwards, so that nobody knows."""
    return not 0 <= now - last < SILENCE_SECONDS or time.localtime(last)[:3] != time.localtime(now)[:3]


def open_project(layout: Layout, folder: Path, path: Path | None, now: float) -> Opening:
    """Finds or begins the journal of this pattern and folds it. Raises `JournalError`."""
    file = _find(layout, folder, path)
    journal, events, aside = _read(file)
    story = Story(events)
    patterns = journal.patterns()
    latest = patterns[-1] if patterns else None
    row = _row(layout, path, now)
    opening = Opening(row.title, journal, story, story.last_at, aside)
    if latest is not None and latest.digest != layout.digest and story.tracks:
        opening.carried = carry_over(latest.skeleton, story.progress, layout)
        story.apply(journal.append(now, "did", "carried", {}, opening.carried.change, pattern=row))
    elif latest is None or (latest.digest, latest.title, latest.path) != (row.digest, row.title, row.path):
        journal.add_pattern(row)
    return opening


def _read(file: Path) -> tuple[Journal, list[Event], str]:
    """The journal and its events. A file that cannot be trusted is moved aside, what it still tells taken over."""
    journal: Journal | None = None
    try:
        journal = Journal.open(file)
        events = journal.events()
        journal.patterns()
    except DamagedError:
        if journal is not None:
            journal.close()
        aside = set_aside(file)
        journal = Journal.open(file)
        recover(aside, journal)
        return journal, journal.events(), aside.name
    return journal, events, ""


def _find(layout: Layout, folder: Path, path: Path | None) -> Path:
    """The file of this project's journal, whether it is there or not."""
    file = folder / _file_name(layout, path)
    if path is None:
        return file
    if not file.exists():
        known = list(summaries(folder))
        here = [s for s in known if s.pattern.path == str(path.resolve())]
        moved = [s for s in known if s.pattern.digest == layout.digest and _gone(s.pattern.path)]
        return max(here or moved, key=lambda s: s.story.last_at or 0).file if here or moved else file
    with suppress(DamagedError, JournalError):
        if nothing_in_common(summary(file).pattern.skeleton, layout):
            return file.with_name(f"{file.stem}-{layout.digest[:6]}{SUFFIX}")
    return file


def _gone(path: str) -> bool:
    """True where a project's pattern file is no longer at its path."""
    return bool(path) and not Path(path).exists()


def _file_name(layout: Layout, path: Path | None) -> str:
    """The journal's name: the pattern's name for people, and a hash of its path (of its content, if it has none)."""
    name = path.stem if path else layout.pattern.title
    identity = str(path.resolve()) if path else layout.pattern.title + layout.digest
    return file_name(name, hashlib.sha256(identity.encode()).hexdigest())


def project_name(title: str, path: Path | None) -> str:
    """What a project is called by: its pattern's title; without one, the words of its file's name."""
    named = " ".join(re.split(r"[\s_-]+", path.stem)).strip() if path else ""
    return title or named or "Untitled pattern"


def _row(layout: Layout, path: Path | None, now: float) -> PatternRow:
    pattern = layout.pattern
    where = str(path.resolve()) if path else ""
    name = project_name(pattern.title, path)
    return PatternRow(layout.digest, now, name, pattern.terms, pattern.source, layout.skeleton(), where)
