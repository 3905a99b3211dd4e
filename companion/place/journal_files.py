"""The files of a journal: the lock beside it, moving an untrusted one aside, and what can be wrong with them."""

from __future__ import annotations

import os
import re
import sqlite3
from contextlib import suppress
from pathlib import Path

from companion.errors import MakerError

SUFFIX = ".journal"


class JournalError(MakerError):
    """The journal cannot be read or written; the message says what to do."""


class ProjectInUseError(JournalError):
    """Another session has this project open."""


class DamagedError(Exception):
    """The file is damaged or is not a journal. `foreign`: it was never ours."""

    def __init__(self, foreign: bool) -> None:
        super().__init__("foreign" if foreign else "damaged")
        self.foreign = foreign


def file_name(project: str, identity: str) -> str:
    """A journal's: the project's name in letters and digits that every system takes, and eight of its identity."""
    slug = re.sub(r"[^a-z0-9]+", "-", project.lower()).strip("-")[:40] or "pattern"
    return f"{slug}-{identity[:8]}{SUFFIX}"


def take_lock(path: Path) -> sqlite3.Connection:
    """A lock that ends with the process, however that ends: an open transaction on a file beside."""
    lock = sqlite3.connect(
        path.with_name(path.name + ".lock"), isolation_level=None, timeout=0, check_same_thread=False
    )
    try:
        lock.execute("BEGIN EXCLUSIVE")
    except sqlite3.OperationalError as error:
        lock.close()
        if "locked" in str(error):
            raise ProjectInUseError(
                "This project is open in another session. End that one first, so that no count is lost."
            ) from error
        raise
    return lock


def set_aside(path: Path) -> Path:
    """Moves a file that cannot be trusted, with its log, to a name of its own beside it. Returns the new name."""
    number = 1
    while (aside := path.with_name(f"{path.name}.aside-{number}")).exists():
        number += 1
    path.rename(aside)
    for tail in ("-wal", "-shm"):
        beside = path.with_name(path.name + tail)
        if beside.exists():
            beside.rename(aside.with_name(aside.name + tail))
    return aside


def flush_folder(folder: Path) -> None:
    """Puts the name of a new file on the disk too, where the system lets a folder be flushed."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def looks_like_sqlite(path: Path) -> bool:
    """True where the file begins as SQLite's do."""
    with suppress(OSError), path.open("rb") as file:
        return file.read(16) == b"SQLite format 3\x00"
    return False


def cannot_write(path: Path) -> str:
    """The sentence for a folder that cannot be written."""
    return f"Cannot keep the place in {path.parent}. Choose a folder you may write to with --state FOLDER."
