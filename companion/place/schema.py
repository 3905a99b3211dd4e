"""The journal's tables, and how an older journal becomes a present one. Never change a version that was ever written.

The version is SQLite's `user_version`; `application_id` tells our files from other people's. Rows of `events` and
`patterns` are only ever added: triggers refuse to change or delete them.
"""

from __future__ import annotations

import sqlite3

APPLICATION_ID = 0x596F4B31
VERSION = 2

_APPEND_ONLY = """
CREATE TRIGGER {table}_kept BEFORE UPDATE ON {table} BEGIN SELECT RAISE(ABORT, 'the journal is only added to'); END;
CREATE TRIGGER {table}_stay BEFORE DELETE ON {table} BEGIN SELECT RAISE(ABORT, 'the journal is only added to'); END;
"""

VERSION_1 = f"""
CREATE TABLE meta (key TEXT PRIMARY KEY, value TEXT NOT NULL);
CREATE TABLE patterns (
    digest TEXT NOT NULL, at REAL NOT NULL, title TEXT NOT NULL, terms TEXT NOT NULL,
    source TEXT NOT NULL, skeleton TEXT NOT NULL, path TEXT NOT NULL
);
CREATE TABLE events (
    seq INTEGER PRIMARY KEY AUTOINCREMENT, at REAL NOT NULL, session TEXT NOT NULL, kind TEXT NOT NULL,
    command TEXT NOT NULL, slots TEXT NOT NULL, change TEXT, chain TEXT NOT NULL
);
{_APPEND_ONLY.format(table="events")}
{_APPEND_ONLY.format(table="patterns")}
"""

MIGRATIONS: dict[int, str] = {1: ""}
"""What turns version N into N + 1. Version 2 has the tables of 1; its events may hold what the maker measured, which a
program of version 1 would take for damage.
"""


def create(connection: sqlite3.Connection, identity: str) -> None:
    """Makes the tables in an empty file, whole or not at all, by the same way an old journal takes."""
    connection.executescript(
        f"BEGIN; {VERSION_1} INSERT INTO meta VALUES ('id', '{identity}');"
        f"PRAGMA application_id = {APPLICATION_ID}; PRAGMA user_version = 1; COMMIT;"
    )
    migrate(connection)


def migrate(connection: sqlite3.Connection) -> None:
    """Brings an older journal up to `VERSION`, each step whole or not at all."""
    version = connection.execute("PRAGMA user_version").fetchone()[0]
    while version < VERSION:
        script = MIGRATIONS[version]
        version += 1
        connection.executescript(f"BEGIN; {script} PRAGMA user_version = {version}; COMMIT;")
