"""The pattern file: written whole or not at all, and never over a file that was not written here."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Collection
from pathlib import Path

from companion.errors import MakerError
from companion.place.journal_files import flush_folder, set_aside


def put(out: Path, text: str, known: Collection[str]) -> tuple[str, str]:
    """Writes the text to `out`. Returns its digest, and the new name of a file that had to make room, "" if none had.

    `known` are the digests of what was written here before: such a file is replaced, any other is kept under a new
    name. Raises `MakerError` where it cannot be written.
    """
    data = text.encode("utf-8")
    moved = ""
    try:
        if out.exists() and out.stat().st_size and digest(out.read_bytes()) not in {*known, digest(data)}:
            moved = set_aside(out).name
        part = out.with_name(out.name + ".part")
        with part.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        part.replace(out)
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise MakerError(
            f"{out} cannot be written: {why}. All that was said is kept; start again with the same file."
        ) from error
    flush_folder(out.resolve().parent)
    return digest(data), moved


def digest(data: bytes) -> str:
    """What a file is known by."""
    return hashlib.sha256(data).hexdigest()[:16]
