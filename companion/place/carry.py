"""The place carried over when the pattern was edited meanwhile: by content, not by number.

The stops of the old and of the new pattern are laid side by side as sequences of signatures (what the hands do), part
by part; a stop that stands in an equal stretch is found again, whatever it is called now. Where the round at hand
itself was changed, nobody can know: a place is proposed and the maker is asked.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher

from companion.place.layout import Layout, Part, Spot
from companion.place.progress import Carried, Change, Place, Progress, ReleaseHow, Reminder

Skeleton = Sequence[Mapping[str, object]]


@dataclass(frozen=True, slots=True)
class CarriedOver:
    """The change that sets the progress anew. `sure` is False where the round at hand could not be found again.

    `label_before` is what the round was called, `number_before` its printed number, `stitch_before` how many of it were
    made; `moved` tells whether the number differs now.
    """

    change: Change
    sure: bool
    label_before: str
    number_before: int | None
    stitch_before: int
    moved: bool


def nothing_in_common(old: Skeleton, layout: Layout) -> bool:
    """True where the file holds another pattern altogether: no piece of the same name, no round of the same work."""
    names = {part.name.casefold() for part in layout.parts if not part.is_assembly}
    signatures = {stop.signature for part in layout.parts for stop in part.stops}
    return not any(str(part["piece"]).casefold() in names or signatures.intersection(_signatures(part)) for part in old)


def carry_over(old: Skeleton, progress: Progress, layout: Layout) -> CarriedOver:
    """Finds every place of `progress`, which counts in the old pattern, again in the new one."""
    finder = _Finder(old, layout)
    at, found = finder.spot(progress.at)
    total = layout.stop(at).stitches
    fits = total is None or progress.stitch <= total
    sure = found and fits
    stitch = progress.stitch if fits else 0
    carried = Carried(
        kept={
            place.at.part: place
            for part, kept in progress.kept.items()
            if part in finder.parts and (place := finder.place(kept)) is not None and place.at.part != at.part
        },
        finished=[finder.parts[part] for part in progress.finished if part in finder.parts],
        released={},
        chosen={},
        reminders=[r for r in (finder.reminder(reminder) for reminder in progress.reminders) if r is not None],
        remarks=[r.model_copy(update={"place": finder.nearest(r.place)}) for r in progress.remarks],
        log=[e.model_copy(update={"place": finder.nearest(e.place)}) for e in progress.log],
    )
    released, put_off = finder.holds(progress)
    carried = carried.model_copy(update={"released": released, "put_off": put_off})
    change = Change(place=Place(at=at, stitch=stitch), all_done=progress.all_done and sure, carried=carried)
    label, number = finder.was(progress.at)
    return CarriedOver(change, sure, label, number, progress.stitch, moved=number != layout.stop(at).number)


class _Finder:
    """Old spots to new ones."""

    def __init__(self, old: Skeleton, layout: Layout) -> None:
        self._old = old
        self._layout = layout
        by_name = {(part.name.casefold(), part.copy): part.index for part in layout.parts}
        keys = [(str(part["piece"]).casefold(), part["copy"]) for part in old]
        self.parts = {index: by_name[key] for index, key in enumerate(keys) if key in by_name}
        self._stops = {i: _same_stops(_signatures(old[i]), layout.parts[new]) for i, new in self.parts.items()}

    def spot(self, old: Spot) -> tuple[Spot, bool]:
        """The new spot, and whether it is sure. Not sure: the round of the same number, else the piece's first."""
        if old.part not in self.parts:
            return Spot(0, 0), False
        part = self._layout.parts[self.parts[old.part]]
        nth = self._stops[old.part].get(old.nth)
        if nth is not None:
            return Spot(part.index, nth), True
        _, number = self.was(old)
        same = next((stop for stop in part.numbered if stop.number == number), part.stops[0])
        return same.spot, False

    def place(self, old: Place) -> Place | None:
        """The same place, where its round was found again."""
        spot, sure = self.spot(old.at)
        return Place(at=spot, stitch=old.stitch) if sure else None

    def nearest(self, old: Place) -> Place:
        """A place for what was noted there: the same round, or the nearest guess at its start."""
        spot, sure = self.spot(old.at)
        return Place(at=spot, stitch=old.stitch if sure else 0)

    def reminder(self, old: Reminder) -> Reminder | None:
        """The reminder before the same round."""
        spot, sure = self.spot(Spot(old.part, old.before))
        return Reminder(part=spot.part, before=spot.nth, text=old.text) if sure and spot.nth else None

    def holds(self, progress: Progress) -> tuple[dict[str, ReleaseHow], dict[str, int]]:
        """Answers to turning points, under the names they have now."""
        released: dict[str, ReleaseHow] = {}
        put_off: dict[str, int] = {}
        for key, how in progress.released.items():
            new = self._hold_key(key)
            if new is None:
                continue
            released[new] = how
            if key in progress.put_off:
                put_off[new] = progress.put_off[key]
        return released, put_off

    def _hold_key(self, key: str) -> str | None:
        first, _, rest = key.partition(":")
        if first == "reminder":
            return None
        after, _, tail = rest.partition(":")
        spot, sure = self.spot(Spot(int(first), int(after)))
        return f"{spot.part}:{spot.nth}:{tail}" if sure else None

    def was(self, old: Spot) -> tuple[str, int | None]:
        """The old label and number."""
        _, number, label = _stops(self._old[old.part])[old.nth]
        return str(label), number if isinstance(number, int) else None


def _stops(part: Mapping[str, object]) -> list[list[object]]:
    stops = part["stops"]
    assert isinstance(stops, list)
    return stops


def _signatures(part: Mapping[str, object]) -> list[str]:
    return [str(stop[0]) for stop in _stops(part)]


def _same_stops(old: list[str], part: Part) -> dict[int, int]:
    """Old stop to new stop: in all stretches of equal work, and where the work of a round is there just once."""
    new = [stop.signature for stop in part.stops]
    matcher = SequenceMatcher(a=old, b=new, autojunk=False)
    same = {block.a + i: block.b + i for block in matcher.get_matching_blocks() for i in range(block.size)}
    for nth, signature in enumerate(old):
        if nth not in same and old.count(signature) == 1 and new.count(signature) == 1:
            same[nth] = new.index(signature)
    return same
