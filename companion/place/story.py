"""The events folded one after the other: the present progress, what can be undone, and when things were told."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from companion.place.answers import Grain
from companion.place.journal import Event
from companion.place.progress import Place, Progress, fold


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing that can be undone: its command, the number said in it, and the progress on its other side."""

    command: str
    said: int | None
    progress: Progress


@dataclass(frozen=True, slots=True)
class Track:
    """When a place was told, and by which command."""

    at: float
    place: Place
    command: str


class Story:
    """The fold over all events."""

    def __init__(self, events: Iterable[Event] = ()) -> None:
        self.progress = Progress()
        self.past: list[Entry] = []
        self.future: list[Entry] = []
        self.tracks: list[Track] = []
        self.grain: Grain = "round"
        self.paused = False
        self.last_at: float | None = None
        for event in events:
            self.apply(event)

    def apply(self, event: Event) -> None:
        """Takes one more event in."""
        match event.kind:
            case "did":
                self._did(event)
            case "undo" if self.past:
                entry = self.past.pop()
                self.future.append(Entry(entry.command, entry.said, self.progress))
                self.progress = entry.progress
            case "redo" if self.future:
                entry = self.future.pop()
                self.past.append(Entry(entry.command, entry.said, self.progress))
                self.progress = entry.progress
            case "grain":
                self.grain = _grain(event.slots.get("grain"))
            case "pause":
                self.paused = True
            case "resume" | "ended":
                self.paused = False
        self.tracks.append(Track(event.at, self.progress.place, event.command))
        self.last_at = event.at

    def _did(self, event: Event) -> None:
        if event.change is None:
            return
        if event.change.carried is not None:
            self.past.clear()
        else:
            numbers = [value for value in event.slots.values() if isinstance(value, int)]
            self.past.append(Entry(event.command, numbers[0] if numbers else None, self.progress))
        self.future.clear()
        self.progress = fold(self.progress, event.change)


def _grain(value: object) -> Grain:
    match value:
        case "stitch" | "repeat":
            return value
        case _:
            return "round"
