"""The draft's journal: every command that changed it, on the disk before it is answered.

The file has the form and the promises of the journal of work (`place.journal`); only what is written in it differs.
"""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

from companion.place.journal import Journal, recover
from companion.place.journal_files import DamagedError, set_aside

SUFFIX = ".draft"


def open_log(folder: Path, out: Path) -> tuple[Journal, str]:
    """The journal of the draft that is to be written to `out`, and the name of a damaged file that was moved aside.

    What a damaged file still tells is taken over. Raises `JournalError`.
    """
    path = folder / log_name(out)
    journal: Journal | None = None
    try:
        journal = Journal.open(path)
        journal.events()
    except DamagedError:
        if journal is not None:
            journal.close()
        aside = set_aside(path)
        journal = Journal.open(path)
        recover(aside, journal)
        return journal, aside.name
    return journal, ""


def log_name(out: Path) -> str:
    """The journal's file name: that of the pattern file, with a mark of its folder."""
    whole = out.resolve()
    mark = hashlib.sha256(str(whole).encode()).hexdigest()[:10]
    stem = re.sub(r"[^a-z0-9]+", "-", whole.stem.casefold()).strip("-") or "pattern"
    return f"{stem}-{mark}{SUFFIX}"
