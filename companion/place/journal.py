"""The journal of one project: append-only events in SQLite, each on disk before its command is answered.

Write-ahead log with full synchronisation: `append` returns after the operating system was told to put the event on the
disk. Every row carries a hash of itself and all rows before it, so that damage inside a row is noticed too. A file that
is damaged or not ours is moved aside, never overwritten; what can still be read of ours is taken over.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
import uuid
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from pydantic import ValidationError

from companion.place import schema
from companion.place.journal_files import (
    DamagedError,
    JournalError,
    cannot_write,
    flush_folder,
    looks_like_sqlite,
    take_lock,
)
from companion.place.progress import Change

EventKind = Literal["did", "undo", "redo", "pause", "resume", "ended", "grain"]
_FIELDS = "seq, at, session, kind, command, slots, change, chain"


@dataclass(frozen=True, slots=True)
class Event:
    """One accepted command. `at` in seconds since 1970, as the clock said; `change` what it did, None for talk."""

    seq: int
    at: float
    session: str
    kind: EventKind
    command: str
    slots: Mapping[str, int | str]
    change: Change | None


@dataclass(frozen=True, slots=True)
class PatternRow:
    """One version of the pattern the project was worked from. `skeleton` is `Layout.skeleton()`."""

    digest: str
    at: float
    title: str
    terms: str
    source: str
    skeleton: list[dict[str, object]]
    path: str


class Journal:
    """One journal file, open for one session. Use from one thread at a time."""

    def __init__(self, path: Path, connection: sqlite3.Connection, lock: sqlite3.Connection | None) -> None:
        self.path = path
        self._db = connection
        self._lock = lock
        self.session = uuid.uuid4().hex[:8]
        self._chain = ""

    @classmethod
    def open(cls, path: Path, *, readonly: bool = False) -> Journal:
        """Opens or creates the journal at `path`.

        Raises `ProjectInUseError` where another session has it, `DamagedError` where it cannot be trusted,
        `JournalError` where it cannot be written or is of a later program.
        """
        lock = None
        try:
            if not readonly:
                path.parent.mkdir(parents=True, exist_ok=True)
                lock = take_lock(path)
            connection = _connect(path, readonly)
        except OSError as error:
            raise JournalError(cannot_write(path)) from error
        except sqlite3.OperationalError as error:
            raise JournalError(cannot_write(path)) from error
        journal = cls(path, connection, lock)
        try:
            journal._start(readonly)
        except BaseException:
            journal.close()
            raise
        return journal

    def _start(self, readonly: bool) -> None:
        try:
            empty = self._is_empty()
            if not empty or readonly:
                self._check()
            if readonly:
                return
            self._db.execute("PRAGMA journal_mode = WAL")
            self._db.execute("PRAGMA synchronous = FULL")
            if empty:
                schema.create(self._db, uuid.uuid4().hex)
                flush_folder(self.path.parent)
            else:
                schema.migrate(self._db)
        except sqlite3.OperationalError as error:
            raise JournalError(cannot_write(self.path)) from error
        except sqlite3.DatabaseError as error:
            raise DamagedError(foreign=not looks_like_sqlite(self.path)) from error

    def _is_empty(self) -> bool:
        """True for a new file, also one whose making was cut short before its first table."""
        return not self._db.execute("SELECT 1 FROM sqlite_master").fetchone()

    def _check(self) -> None:
        try:
            if self._db.execute("PRAGMA application_id").fetchone()[0] != schema.APPLICATION_ID:
                raise DamagedError(foreign=True)
            version = self._db.execute("PRAGMA user_version").fetchone()[0]
            if version > schema.VERSION:
                raise JournalError(
                    f"{self.path.name} was written by a later version of this program. Update the program to go on."
                )
            if self._db.execute("PRAGMA quick_check(1)").fetchone()[0] != "ok":
                raise DamagedError(foreign=False)
        except sqlite3.DatabaseError as error:
            if isinstance(error, sqlite3.OperationalError) and "not a database" not in str(error):
                raise JournalError(cannot_write(self.path)) from error
            raise DamagedError(foreign=not looks_like_sqlite(self.path)) from error

    # --- reading

    def events(self) -> list[Event]:
        """All events, oldest first. Raises `DamagedError` at the first that is not as it was written."""
        events: list[Event] = []
        try:
            for event in self.sound_events():
                events.append(event)
            if len(events) != self._db.execute("SELECT count(*) FROM events").fetchone()[0]:
                raise DamagedError(foreign=False)
        except sqlite3.DatabaseError as error:
            raise DamagedError(foreign=False) from error
        return events

    def sound_events(self) -> Iterator[Event]:
        """Events up to the first damaged one."""
        chain = ""
        for row in self._db.execute(f"SELECT {_FIELDS} FROM events ORDER BY seq"):
            chain = _link(chain, row[1:7])
            if chain != row[7]:
                return
            self._chain = chain
            try:
                change = None if row[6] is None else Change.model_validate_json(row[6])
            except ValidationError:
                return
            yield Event(row[0], row[1], row[2], row[3], row[4], json.loads(row[5]), change)

    def patterns(self) -> list[PatternRow]:
        """The versions of the pattern, oldest first. Raises `DamagedError`."""
        try:
            rows = self._db.execute(
                "SELECT digest, at, title, terms, source, skeleton, path FROM patterns ORDER BY rowid"
            )
            return [PatternRow(r[0], r[1], r[2], r[3], r[4], json.loads(r[5]), r[6]) for r in rows]
        except (sqlite3.DatabaseError, ValueError) as error:
            raise DamagedError(foreign=False) from error

    @property
    def identity(self) -> str:
        """The project's own name for itself, the same in every copy of it."""
        return str(self._db.execute("SELECT value FROM meta WHERE key = 'id'").fetchone()[0])

    # --- writing

    def append(
        self,
        at: float,
        kind: EventKind,
        command: str,
        slots: Mapping[str, int | str],
        change: Change | None = None,
        *,
        pattern: PatternRow | None = None,
    ) -> Event:
        """Puts one event on the disk and returns it, with `pattern` in the same stroke where the event belongs to it.

        Raises `JournalError`, and then nothing was kept.
        """
        written = None if change is None else change.model_dump_json(exclude_defaults=True)
        row = (at, self.session, kind, command, json.dumps(dict(slots), sort_keys=True), written)
        chain = _link(self._chain, row)
        insert = "INSERT INTO events (at, session, kind, command, slots, change, chain) VALUES (?, ?, ?, ?, ?, ?, ?)"
        statements: list[tuple[str, tuple[object, ...]]] = [(insert, (*row, chain))]
        if pattern is not None:
            statements.insert(0, _insert_pattern(pattern))
        seq = self._write(statements)
        self._chain = chain
        return Event(seq, at, self.session, kind, command, dict(slots), change)

    def add_pattern(self, row: PatternRow) -> None:
        """Keeps a version of the pattern. Raises `JournalError`."""
        self._write([_insert_pattern(row)])

    def _write(self, statements: list[tuple[str, tuple[object, ...]]]) -> int:
        """All statements in one transaction; returns the number of the last row."""
        last = 0
        try:
            self._db.execute("BEGIN IMMEDIATE")
            try:
                for statement, values in statements:
                    last = self._db.execute(statement, values).lastrowid or 0
                self._db.execute("COMMIT")
            except BaseException:
                with suppress(sqlite3.Error):
                    self._db.execute("ROLLBACK")
                raise
        except sqlite3.Error as error:
            raise JournalError(
                f"The place could not be saved ({error}). Free some space on the disk, then say it again."
            ) from error
        return last

    def copy_to(self, path: Path) -> None:
        """A copy of the whole project as one file."""
        with sqlite3.connect(path, isolation_level=None) as copy:
            self._db.backup(copy)
            copy.execute("PRAGMA journal_mode = DELETE")
        copy.close()

    def close(self) -> None:
        """Lets go of the file and of the lock."""
        self._db.close()
        if self._lock is not None:
            self._lock.close()


def _insert_pattern(row: PatternRow) -> tuple[str, tuple[object, ...]]:
    return (
        "INSERT INTO patterns (digest, at, title, terms, source, skeleton, path) VALUES (?, ?, ?, ?, ?, ?, ?)",
        (row.digest, row.at, row.title, row.terms, row.source, json.dumps(row.skeleton), row.path),
    )


def recover(aside: Path, journal: Journal) -> int:
    """Takes over what can still be read of a damaged journal; returns the number of events."""
    taken = 0
    with suppress(DamagedError, JournalError, sqlite3.Error):
        damaged = Journal(aside, _connect(aside, readonly=True), None)
        try:
            for row in damaged.patterns():
                journal.add_pattern(row)
            for event in damaged.sound_events():
                journal.append(event.at, event.kind, event.command, event.slots, event.change)
                taken += 1
        finally:
            damaged.close()
    return taken


def _connect(path: Path, readonly: bool) -> sqlite3.Connection:
    uri = f"{path.resolve().as_uri()}?mode={'ro' if readonly else 'rwc'}"
    return sqlite3.connect(uri, uri=True, isolation_level=None, timeout=2.0, check_same_thread=False)


def _link(chain: str, row: tuple[object, ...]) -> str:
    return hashlib.sha256(json.dumps([chain, *row]).encode()).hexdigest()[:16]
