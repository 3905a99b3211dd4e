"""Questions that need more than the place: the working hand, the maker's pace, the other projects."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from companion.place import projects
from companion.place.answers import HowTo, OpenProject, Projects, Reason
from companion.place.pace import time_left
from companion.place.result import Result, Slots, refused
from companion.place.settings import Settings
from companion.place.story import Track
from companion.place.view import View

ELSEWHERE = frozenset({"how_to", "time_left", "which_projects", "open_project"})
"""The commands answered here."""


def answer(
    name: str, slots: Slots, view: View, *, settings: Settings, tracks: Sequence[Track], state_dir: Path, journal: Path
) -> Result:
    """The answer to one of `ELSEWHERE`. `journal` is this project's own file in `state_dir`."""
    match name:
        case "how_to":
            return Result(HowTo(str(slots.get("stitch", "")), settings.hand))
        case "time_left":
            return Result(time_left(view, tracks))
        case "which_projects":
            return Result(Projects(projects.listed(state_dir, journal)))
        case _:
            wanted = str(slots.get("project", ""))
            found = projects.find(state_dir, wanted)
            if found is None:
                names = tuple(entry.title for entry in projects.listed(state_dir, journal))
                return refused(view, Reason.NO_SUCH_PROJECT, name, name=wanted, names=names)
            return Result(OpenProject(found.pattern.title, found.pattern.path))
