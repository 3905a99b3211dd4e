"""Turning points: what cannot be done later, found in the pattern's notes and in what common practice adds.

Each is a hold between two stops of one part: after stop `after`, before the next one (or before the part is left). The
pattern's own point is taken where it has one. Two rules of common practice (no source) fill in where it has none:

- eyes go on before stuffing, while fingers still reach the washer: at the pattern's point, but never before the rounds
  they sit between are made; where they have no point, before the first narrowing round after those rounds;
- a ball is stuffed before its last decreases: where the pattern lists stuffing and a piece that narrows to its end says
  nothing of it. What is flattened or folded stays empty.

A colour change at a boundary is held there: the last chance to make the last pull-through in the new colour. Changes
inside a round are only told ahead. "Do not stuff" is advice, not a turning point.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import cast

from companion.pattern.model import Note, NoteKind
from companion.place.answers import HoldKind, Turning
from companion.place.layout import Layout, Part, Stop
from companion.place.progress import Progress

HELD_KINDS: frozenset[NoteKind] = frozenset({"eyes", "stuffing", "tail", "sew", "colour"})
"""Kinds of notes that hold the work; the others are read where they stand."""

_ORDER: dict[HoldKind, int] = {"eyes": 0, "stuffing": 1, "sew": 2, "colour": 3, "reminder": 4, "tail": 5}
_NEGATED = re.compile(r"\b(do not|don't|never|no need to|without|unstuffed)\b", re.IGNORECASE)
_FLAT = re.compile(r"\b(flatten\w*|fold\w*|(?:lay|press)\w* (?:it )?flat)\b", re.IGNORECASE)
_STUFFING = re.compile(r"\b(stuff\w*|fib(er|re)?fill|toy filling)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Hold:
    """A turning point in its place: after stop `after` of part `part`. `key` names it in the journal."""

    key: str
    part: int
    after: int
    turning: Turning


class TurningPoints:
    """All turning points of a layout, by part and stop."""

    def __init__(self, layout: Layout) -> None:
        self._by_stop: dict[tuple[int, int], tuple[Hold, ...]] = {}
        self._by_key: dict[str, Hold] = {}
        for part in layout.parts:
            holds = _last_chances(part, sorted(_holds(layout, part), key=lambda h: (h.after, _ORDER[h.turning.kind])))
            for hold in holds:
                self._by_key[hold.key] = hold
                self._by_stop[part.index, hold.after] = (*self._by_stop.get((part.index, hold.after), ()), hold)

    def named(self, key: str, progress: Progress) -> Hold | None:
        """The turning point of that key, the maker's reminders included."""
        return self._by_key.get(key) or next((h for h in _reminders(progress) if h.key == key), None)

    def open_after(self, part: int, nth: int, progress: Progress) -> tuple[Hold, ...]:
        """What still holds the work after that stop: its own points, reminders, and what was put off until now."""
        own = [
            *self._by_stop.get((part, nth), ()),
            *(h for h in _reminders(progress) if (h.part, h.after) == (part, nth)),
        ]
        back = [h for h in self._put_off(part, progress) if progress.put_off[h.key] <= nth and h not in own]
        return tuple(
            h for h in (*back, *own) if h.key not in progress.released or progress.put_off.get(h.key, nth + 1) <= nth
        )

    def at_stop(self, part: int, nth: int) -> tuple[Hold, ...]:
        """The pattern's own points after that stop, answered or not."""
        return self._by_stop.get((part, nth), ())

    def passed(self, part: int, first: int, last: int, progress: Progress) -> tuple[Hold, ...]:
        """Points after stops `first` to `last` (exclusive) of that part that nobody has answered."""
        return tuple(
            h
            for nth in range(first, last)
            for h in self._by_stop.get((part, nth), ())
            if h.key not in progress.released
        )

    def put_off(self, progress: Progress) -> tuple[Hold, ...]:
        """Everything put off and not done yet."""
        found = (self.named(key, progress) for key, how in progress.released.items() if how == "later")
        return tuple(h for h in found if h is not None)

    def _put_off(self, part: int, progress: Progress) -> Iterator[Hold]:
        return (h for h in self.put_off(progress) if h.part == part)


def _reminders(progress: Progress) -> Iterator[Hold]:
    for index, reminder in enumerate(progress.reminders):
        turning = Turning("reminder", reminder.text, "maker")
        yield Hold(f"reminder:{index}", reminder.part, reminder.before - 1, turning)


def _holds(layout: Layout, part: Part) -> Iterator[Hold]:
    count = 0
    previous: Stop | None = None
    for stop in part.stops:
        for note in _notes_of(stop):
            if (after := _after(part, stop, note)) is not None:
                yield _hold(part, after, count, note, _colour_after(part, after) if note.kind == "colour" else None)
                count += 1
        change = colour_change(previous, stop) if previous else None
        told = any(note.kind == "colour" for note in (*_notes_of(stop), *(_notes_of(previous) if previous else ())))
        if change is not None and not told:
            turning = Turning("colour", "", "pattern", colour=change)
            yield Hold(f"{part.index}:{stop.spot.nth - 1}:colour", part.index, stop.spot.nth - 1, turning)
        previous = stop
    if part.piece is not None:
        for note in part.piece.notes:
            if note.kind in ("eyes", "stuffing") and not _NEGATED.search(note.text):
                where = _before_narrowing(part, _made(part, note)) if note.kind == "eyes" else _before_closing(part)
                if where is not None:
                    yield _hold(part, where, count, note)
                    count += 1
    if (practice := _stuffing_unsaid(layout, part)) is not None:
        yield practice


def _notes_of(stop: Stop) -> tuple[Note, ...]:
    """The notes that belong to this stop: of a range, those before go to its first round, those after to its last."""
    if stop.entry is None:
        return ()
    return tuple(
        note
        for note in stop.entry.notes
        if (note.when == "before" and stop.nth == 1) or (note.when != "before" and stop.nth == stop.of)
    )


def _after(part: Part, stop: Stop, note: Note) -> int | None:
    """The stop after which this note holds the work; None for one that is only read."""
    if note.kind not in HELD_KINDS or _NEGATED.search(note.text):
        return None
    if note.when == "during" and stop.of > 1:
        return None
    after = stop.spot.nth - 1 if note.when == "before" else stop.spot.nth
    if note.kind == "eyes":
        after = max(after, _made(part, note))
    return after if after >= 0 else None


def _made(part: Part, note: Note) -> int:
    """The stop of the later of the two rounds that eyes sit between; -1 where they are not named."""
    if note.between_rounds is None:
        return -1
    return next((s.spot.nth for s in part.numbered if s.number == max(note.between_rounds)), -1)


def _narrows(stop: Stop) -> bool:
    into = stop.entry.worked_into if stop.entry else None
    return stop.stitches is not None and into is not None and stop.stitches < into


def _before_narrowing(part: Part, after: int) -> int | None:
    narrow = next((s.spot.nth for s in part.stops if s.spot.nth > max(after, 0) and _narrows(s)), None)
    return len(part.stops) - 1 if narrow is None else narrow - 1


def _before_closing(part: Part) -> int | None:
    """Before the last narrowing round of a piece that narrows to its end; None where it does not."""
    narrow = [s.spot.nth for s in part.stops if _narrows(s)]
    return narrow[-1] - 1 if narrow and narrow[-1] > 0 else None


def _stuffing_unsaid(layout: Layout, part: Part) -> Hold | None:
    if part.piece is None or not any(_STUFFING.search(line) for line in layout.pattern.materials):
        return None
    words = [*part.piece.notes, *(note for entry in part.piece.rounds for note in entry.notes)]
    if any(note.kind == "stuffing" or _STUFFING.search(note.text) or _FLAT.search(note.text) for note in words):
        return None
    last = part.numbered[-1] if part.numbered else None
    if last is None or not _narrows(last) or (after := _before_closing(part)) is None:
        return None
    return Hold(f"{part.index}:{after}:practice", part.index, after, Turning("stuffing", "", "practice"))


def _colour_after(part: Part, after: int) -> str | None:
    return colour_change(part.stops[after], part.stops[after + 1]) if after + 1 < len(part.stops) else None


def _hold(part: Part, after: int, count: int, note: Note, colour: str | None = None) -> Hold:
    turning = Turning(
        cast(HoldKind, note.kind),
        note.text,
        "pattern",
        between_rounds=note.between_rounds,
        stitches_apart=note.stitches_apart,
        colour=colour,
    )
    return Hold(f"{part.index}:{after}:{note.kind}:{count}", part.index, after, turning)


def _last_chances(part: Part, holds: Sequence[Hold]) -> list[Hold]:
    """Eyes can be set until the piece is stuffed, stuffing until the last round: that round's number goes with them."""
    last = part.numbered[-1].number if part.numbered else None
    found: list[Hold] = []
    for hold in holds:
        chance = None
        if hold.turning.kind == "eyes":
            later = [h.after for h in holds if h.turning.kind == "stuffing" and h.after >= hold.after]
            chance = part.stops[min(later)].number if later else last
        elif hold.turning.kind == "stuffing":
            chance = last
        found.append(replace(hold, turning=replace(hold.turning, last_chance=chance)))
    return found


def colour_change(before: Stop, after: Stop) -> str | None:
    """The colour that `after` begins with where `before` ends with another; None where it goes on or none is named."""
    ends = before.walk.colours[-1][1] if before.walk.colours else _named(before)
    begins = after.walk.colours[0][1] if after.walk.colours else _named(after)
    return begins if begins is not None and begins != ends else None


def _named(stop: Stop) -> str | None:
    return stop.entry.colour if stop.entry else None
