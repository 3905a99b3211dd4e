"""The room's data files: YAML for people, checked by pydantic, and kept checked as JSON in the user's cache folder.

Reading YAML and checking it takes longer than reading a pattern does. It is done once for each version of a file; from
then on the checked copy is taken, as long as its digest says that it was made from this very file.
"""

from __future__ import annotations

import hashlib
import json
from importlib.resources import files
from pathlib import Path
from typing import Any

from platformdirs import user_cache_dir


def cache_file(name: str) -> Path | None:
    """Where a file of that name is kept between runs; None where nothing can be."""
    try:
        return Path(user_cache_dir("companion", ensure_exists=True)) / name
    except OSError:
        return None


def load(name: str) -> Any:
    """The contents of a data file as plain lists and dictionaries, checked against its kind in `data_kinds`.

    pydantic's ValidationError where the file is not of that kind.
    """
    text = files("companion.pattern").joinpath(name).read_bytes()
    digest = hashlib.sha256(text).hexdigest()
    kept = cache_file(f"{name}.json")
    if kept is not None:
        try:
            made_from, data = json.loads(kept.read_text(encoding="utf-8"))
            if made_from == digest:
                return data
        except (OSError, ValueError, TypeError):
            pass  # not there yet, or half written: it is made anew
    from companion.pattern.data_kinds import checked

    data = checked(name, text)
    if kept is not None:
        _keep(kept, json.dumps([digest, data]))
    return data


def _keep(path: Path, text: str) -> None:
    """Write the copy under another name first, so that a second program never sees half of it."""
    try:
        draft = path.with_suffix(f".{hashlib.sha256(text.encode()).hexdigest()[:8]}.new")
        draft.write_text(text, encoding="utf-8")
        draft.replace(path)
    except OSError:
        pass  # without the copy the next start is slower, and nothing else
