"""The room's data files, and what is made of them once and kept in the user's cache folder.

Reading YAML and checking it, and making tables of the grammar, takes longer than reading a pattern does. It is done
once for each version of a file; from then on the copy is taken, as long as it was made from this very text.
"""

from __future__ import annotations

import json
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

from platformdirs import user_cache_dir

_FORM: Final = 1
"""Goes up by one when what is made of a file changes while the file does not."""


def folder() -> Path:
    """Where the room's data files lie."""
    return Path(__file__).parent


def load(name: str) -> Any:
    """The contents of a data file as plain lists and dictionaries, checked against its kind in `data_kinds`.

    pydantic's ValidationError where the file is not of that kind.
    """

    def make(text: str) -> Any:
        from companion.pattern.data_kinds import checked

        return checked(name, text)

    return kept(folder() / name, make)


def kept(path: Path, make: Callable[[str], Any]) -> Any:
    """What `make` makes of a file's text, as plain data; from the cache folder where it was made before.

    Whatever `make` raises.
    """
    raw = path.read_bytes()
    made_for = [_FORM, len(raw), zlib.crc32(raw)]
    copy = _cache_file(f"{path.name}.json")
    if copy is not None:
        try:
            known, data = json.loads(copy.read_bytes())
            if known == made_for:
                return data
        except (OSError, ValueError, TypeError):
            pass  # not there yet, or half written: it is made anew
    data = make(raw.decode("utf-8"))
    if copy is not None:
        _keep(copy, json.dumps([made_for, data], separators=(",", ":")))
    return data


def _cache_file(name: str) -> Path | None:
    """Where a file of that name is kept between runs; None where nothing can be."""
    try:
        return Path(user_cache_dir("companion", ensure_exists=True)) / name
    except OSError:
        return None


def _keep(path: Path, text: str) -> None:
    """Write the copy under another name first, so that a second program never sees half of it."""
    try:
        draft = path.with_suffix(f".{zlib.crc32(text.encode())}.new")
        draft.write_text(text, encoding="utf-8")
        draft.replace(path)
    except OSError:
        pass  # without the copy the next start is slower, and nothing else
