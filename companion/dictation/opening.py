"""A dictation begun, or gone on with from its journal."""

from __future__ import annotations

import time
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from companion import resources
from companion.dictation.dictating import Dictating
from companion.dictation.draft import Draft, DraftPiece
from companion.dictation.faithful import reads_as_said
from companion.dictation.log import open_log
from companion.dictation.story import Story
from companion.errors import MakerError
from companion.pattern.model import Terms
from companion.wording.dictation import DictationWording
from companion.wording.tools import joined


def open_dictation(
    out: Path, *, state: Path | None = None, terms: Terms | None = None, title: str | None = None
) -> Dictating:
    """Goes on with what was said for this file, or begins. `state` is the journal's folder.

    Raises `MakerError`: the journal cannot be kept, the file cannot be written where it is to be, the title would be
    read as something else.
    """
    if title is not None and not _is_title(title):
        raise MakerError(f'The title "{title}" would be read as something else in a pattern. Choose another.')
    if out.is_dir() or not out.resolve().parent.is_dir():
        raise MakerError(f"{out} cannot be written: name a file in a folder that is there.")
    log, aside = open_log(state or resources.state_folder(), out)
    events = log.events()
    begun = next((event for event in events if event.command == "begin"), None)
    if begun is None:
        slots: dict[str, int | str] = {"title": title or _title(out), "terms": terms or "US"}
        begun = log.append(time.time(), "did", "begin", slots)
    story = Story(_empty(begun.slots))
    written = set()
    for event in events:
        if event.command == "written":
            written.add(str(event.slots["digest"]))
        elif event.command != "begin":
            story, _ = story.told(event.command, event.slots)
    for name, value in (("title", title), ("terms", terms)):
        wanted = {"text" if name == "title" else name: value}
        if value and value != getattr(story.draft, name):
            log.append(time.time(), "did", name, {key: str(found) for key, found in wanted.items()})
            story, _ = story.told(name, {key: str(found) for key, found in wanted.items()})
    wording = DictationWording(story.draft.terms)
    said = wording.text("go_on", {"title": story.draft.title}) if story.steps else wording.text("begin")
    if aside:
        said = joined(wording.text("aside", {"file": aside}), said)
    return Dictating(out, log, story, frozenset(written), said)


def _empty(slots: Mapping[str, int | str]) -> Draft:
    return replace(Draft(str(slots["title"])), terms="UK" if slots["terms"] == "UK" else "US")


def _title(out: Path) -> str:
    """The file's name as a title; "My pattern" where it would be read as something else, as "rows2" is."""
    words = out.stem.replace("-", " ").replace("_", " ").strip()
    title = words[:1].upper() + words[1:]
    return title if _is_title(title) else "My pattern"


def _is_title(text: str) -> bool:
    """True where a pattern that begins with these words has them as its title."""
    return reads_as_said(Draft(text, pieces=(DraftPiece("piece one"),)))
