"""Every project in the folder: listed, opened by its name, taken out and brought in as one file."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from companion.place.answers import ProjectEntry
from companion.place.journal import Journal, PatternRow
from companion.place.journal_files import SUFFIX, DamagedError, JournalError, file_name
from companion.place.story import Story


@dataclass(frozen=True, slots=True)
class Summary:
    """One journal, read without disturbing a session that has it open. `pattern` is its latest version."""

    file: Path
    identity: str
    pattern: PatternRow
    story: Story

    def entry(self, open_file: Path | None) -> ProjectEntry:
        """What is said of it."""
        at = self.story.progress.at
        piece, number = _named(self.pattern.skeleton, at.part, at.nth)
        when = self.story.last_at or self.pattern.at
        return ProjectEntry(
            self.pattern.title, piece, number, self.story.progress.stitch, when, open=self.file == open_file
        )


def _named(skeleton: list[dict[str, object]], part: int, nth: int) -> tuple[str, int | None]:
    entry = skeleton[part]
    stops = entry["stops"]
    number = stops[nth][1] if isinstance(stops, list) else None
    return str(entry["piece"]), number


def summaries(folder: Path) -> Iterator[Summary]:
    """All sound journals of the folder, in no order; what is damaged or foreign is passed by."""
    for file in sorted(folder.glob("*" + SUFFIX)):
        with suppress(DamagedError, JournalError, sqlite3.Error, IndexError, KeyError):
            yield summary(file)


def summary(file: Path) -> Summary:
    """One journal. Raises `DamagedError` or `JournalError`."""
    journal = Journal.open(file, readonly=True)
    try:
        patterns = journal.patterns()
        if not patterns:
            raise DamagedError(foreign=False)
        return Summary(file, journal.identity, patterns[-1], Story(journal.events()))
    finally:
        journal.close()


def listed(folder: Path, open_file: Path | None) -> tuple[ProjectEntry, ...]:
    """What is said of all projects, the latest worked on first."""
    entries = [found.entry(open_file) for found in summaries(folder)]
    return tuple(sorted(entries, key=lambda entry: -entry.when))


def find(folder: Path, name: str) -> Summary | None:
    """The project of that title, the latest if there are several."""
    wanted = name.casefold().strip()
    found = [s for s in summaries(folder) if s.pattern.title.casefold() == wanted]
    return max(found, key=lambda s: s.story.last_at or s.pattern.at, default=None)


def export_project(file: Path, to: Path) -> None:
    """Writes the whole project, its pattern included, to one file. Raises `JournalError`, also where `to` exists."""
    if to.exists():
        raise JournalError(f"{to} exists already. Choose another name.")
    try:
        journal = Journal.open(file, readonly=True)
    except DamagedError as error:
        raise JournalError(f"{file.name} is damaged and cannot be exported.") from error
    try:
        journal.copy_to(to)
    except (OSError, sqlite3.Error) as error:
        raise JournalError(f"Cannot write {to}. Choose another folder.") from error
    finally:
        journal.close()


def import_project(file: Path, folder: Path) -> Summary:
    """Brings an exported project in. Raises `JournalError`: not an export, or a project that is here already."""
    try:
        brought = summary(file)
    except (DamagedError, JournalError, sqlite3.Error) as error:
        raise JournalError(f"{file} is not an exported project, or it is damaged. Nothing was changed.") from error
    here = next((s for s in summaries(folder) if s.identity == brought.identity), None)
    if here is not None:
        raise JournalError(f"This project is here already, as {here.file.name}. Move that one away first.")
    folder.mkdir(parents=True, exist_ok=True)
    to = folder / file_name(brought.pattern.title, brought.identity)
    shutil.copyfile(file, to)
    return summary(to)
