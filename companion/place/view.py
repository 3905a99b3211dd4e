"""The project as it stands: the pattern laid out, what was told so far, and the sums that both give together.

Moves and questions read from a `View` and change nothing; a move hands back the change it wants.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import takewhile

from companion.pattern.model import Basis, Note, Pattern, Unread
from companion.place.answers import (
    ColourAhead,
    Disagrees,
    Grain,
    NoteHere,
    Notice,
    PatternSays,
    PieceBegins,
    PieceEnds,
    ProblemHere,
    Reading,
    Run,
    ShapeHere,
    TotalUnknown,
    Unreadable,
)
from companion.place.layout import Layout, Part, Spot, Stop
from companion.place.progress import Place, Progress, Shape
from companion.place.turning import HELD_KINDS, Hold, TurningPoints, colour_change
from companion.place.walk import Stretch, Walk
from companion.place.where import Where


@dataclass(frozen=True, slots=True)
class View:
    """The layout seen with the present progress. `grain` is how much is read at once, `now` the time, since 1970."""

    layout: Layout
    turning: TurningPoints
    progress: Progress
    grain: Grain = "round"
    now: float = 0.0

    # --- the present place

    @property
    def pattern(self) -> Pattern:
        """The pattern."""
        return self.layout.pattern

    @property
    def part(self) -> Part:
        """The piece and copy at hand."""
        return self.layout.parts[self.progress.at.part]

    @property
    def stop(self) -> Stop:
        """The round at hand."""
        return self.layout.stop(self.progress.at)

    @property
    def here(self) -> Where:
        """The present place in full."""
        return self.where(self.progress.at, self.progress.stitch)

    @property
    def held(self) -> Hold | None:
        """The turning point that holds the work now."""
        return self.turning.named(self.progress.held, self.progress) if self.progress.held else None

    # --- any place

    def counts_printed(self, stop: Stop) -> bool:
        """True where the maker chose to count this round by its printed total."""
        if not self.progress.chosen or not stop.disagrees:
            return False
        return self.progress.chosen.get(choice_key(self.layout.parts[stop.spot.part], stop), False)

    def total(self, stop: Stop) -> tuple[int | None, Basis]:
        """The total that this round is counted to, and where it comes from."""
        return (stop.declared, "pattern_says") if self.counts_printed(stop) else (stop.stitches, stop.basis)

    def walk(self, stop: Stop) -> Walk:
        """The round motion by motion, as far as it is sure."""
        return stop.printed_walk if self.counts_printed(stop) else stop.walk

    def where(self, spot: Spot, stitch: int) -> Where:
        """That place in full."""
        part, stop = self.layout.parts[spot.part], self.layout.stop(spot)
        walked = self.walk(stop)
        total, basis = self.total(stop)
        repeat, repeats = walked.repeat_at(stitch, full=stitch == total)
        motion = walked.motion_at(stitch)
        return Where(
            piece=part.name,
            copy=part.copy,
            copies=part.copies,
            kind=stop.kind,
            label=stop.label,
            round=stop.number,
            nth=stop.nth,
            of=stop.of,
            last_round=part.last_number,
            stitch=stitch,
            stitches=total,
            repeat=repeat,
            repeats=repeats,
            basis=basis,
            declared=stop.declared,
            within=0 if motion is None else stitch - walked.start_of(motion),
        )

    def place_in(self, part: Part) -> Place:
        """Where that part was left; its start if it was never worked."""
        if part.index == self.progress.at.part:
            return self.progress.place
        kept = self.progress.kept.get(part.index, Place(at=Spot(part.index, 0), stitch=0))
        total, _ = self.total(self.layout.stop(kept.at))
        # The total may be smaller than it was when the part was left: another copy chose to count by the other one.
        return kept if total is None or kept.stitch <= total else kept.model_copy(update={"stitch": total})

    def full_place(self, spot: Spot, stitch: int) -> Place:
        """The place at the end of that round; `stitch` where its total is unknown."""
        total, _ = self.total(self.layout.stop(spot))
        return Place(at=spot, stitch=stitch if total is None else total)

    # --- what is read aloud

    def ahead(self, place: Place, *, one: bool = False) -> Run | None:
        """The run of equal work that comes at this place; with `one` only its first motion."""
        return self.walk(self.layout.stop(place.at)).run_at(place.stitch, one=one)

    def reading(self, place: Place, grain: Grain | None = None) -> Reading:
        """What is to be read at this place: the round, or the stretch of the grain in force."""
        grain = grain or self.grain
        stop = self.layout.stop(place.at)
        walked = self.walk(stop)
        stretch: Stretch | None = None if grain == "round" else walked.stretch_at(place.stitch, grain)
        return Reading(
            where=self.where(place.at, place.stitch),
            grain="round" if stretch is None else grain,
            entry=stop.entry,
            note=stop.note,
            runs=() if stretch is None else walked.runs_between(stretch),
            whole=place.stitch == 0 and (stretch is None or stretch.end == walked.sure),
        )

    def notices(self, place: Place) -> tuple[Notice, ...]:
        """What must be said before the round's first stitch: doubts about its total, notes, colour changes to come."""
        begins = self._piece_begins(self.layout.parts[place.at.part]) if place.at.nth == 0 else []
        return (*begins, *self.doubts_and_notes(place))

    def doubts_and_notes(self, place: Place) -> tuple[Notice, ...]:
        """The same without what is said once at the start of a piece."""
        stop = self.layout.stop(place.at)
        said: list[Notice] = []
        if stop.entry is None:
            return ()
        said += self._doubts(stop)
        told = self._notes_of_the_one_before(stop)
        said += [
            NoteHere(note)
            for note in stop.entry.notes
            if note.when == "during"
            or (note.when == "before" and stop.nth == 1 and note not in told and not self._holds_before(stop, note))
        ]
        said += self.colours_ahead(stop)
        return tuple(said)

    def notices_after(self, spot: Spot) -> tuple[Notice, ...]:
        """What the pattern says after that round without holding the work: closing, markers, advice."""
        return tuple(NoteHere(note) for note in self._after(spot) if note.text not in self._held_texts(spot))

    def notices_before_hold(self, spot: Spot) -> tuple[Notice, ...]:
        """Those of them that come before what holds the work there."""
        held = self._held_texts(spot)
        first = takewhile(lambda note: note.text not in held, self._after(spot))
        return tuple(NoteHere(note) for note in first)

    def _after(self, spot: Spot) -> tuple[Note, ...]:
        stop = self.layout.stop(spot)
        if stop.entry is None or stop.nth != stop.of:
            return ()
        return tuple(note for note in stop.entry.notes if note.when == "after")

    def _held_texts(self, spot: Spot) -> frozenset[str]:
        return frozenset(hold.turning.text for hold in self.turning.at_stop(spot.part, spot.nth))

    def piece_ends(self, part: Part) -> PieceEnds:
        """The sums of a finished part."""
        totals = [self.total(stop)[0] for stop in part.stops]
        stitches = None if None in totals else sum(total or 0 for total in totals)
        return PieceEnds(part.name, part.copy, part.copies, len(part.numbered), stitches)

    def shape_of(self, part: Part) -> Shape | None:
        """How the rounds of this piece follow each other: what the maker said, else the pattern."""
        said = self.progress.shapes.get(part.piece_index)
        return said or (part.piece.shape if part.piece else None)

    def colours_ahead(self, stop: Stop) -> tuple[ColourAhead, ...]:
        """Colour changes within this round and at its end, each with the stitch before it."""
        walked = self.walk(stop)
        changes = [ColourAhead(start, colour, at_round_end=False) for start, colour in walked.colours[1:]]
        after = self.next_in_part(stop)
        if after is not None and (colour := colour_change(stop, after)) is not None:
            changes.append(ColourAhead(self.total(stop)[0], colour, at_round_end=True))
        return tuple(changes)

    def next_in_part(self, stop: Stop) -> Stop | None:
        """The stop after this one in its part."""
        stops = self.layout.parts[stop.spot.part].stops
        return stops[stop.spot.nth + 1] if stop.spot.nth + 1 < len(stops) else None

    def _piece_begins(self, part: Part) -> list[Notice]:
        if part.is_assembly:
            return []
        said: list[Notice] = [PieceBegins(part.name, part.copy, part.copies, _rounds(part) if part.copy > 1 else 0)]
        shape = self.shape_of(part)
        if part.numbered and (shape is not None or part.copy == 1):
            said.append(ShapeHere(shape))
        if part.piece is not None:
            said += [NoteHere(note) for note in part.piece.notes if note.kind not in HELD_KINDS]
        return said

    def _doubts(self, stop: Stop) -> list[Notice]:
        assert stop.entry is not None
        said: list[Notice] = []
        total, basis = self.total(stop)
        if stop.disagrees and not self.counts_printed(stop):
            assert stop.stitches is not None
            assert stop.declared is not None
            said.append(Disagrees(stop.stitches, stop.declared))
        elif total is None:
            if stop.kind != "step":
                said.append(TotalUnknown())
        elif basis == "pattern_says":
            said.append(PatternSays(total))
        said += [ProblemHere(problem) for problem in self.layout.problems_at(stop)]
        unread = tuple(s.instruction.text for s in stop.entry.steps if isinstance(s.instruction, Unread))
        if unread:
            said.append(Unreadable(unread))
        return said

    def _notes_of_the_one_before(self, stop: Stop) -> tuple[Note, ...]:
        """The notes of the round before: "repeat rows 2 and 3" is of all its rows, and told at the first of them."""
        if stop.spot.nth == 0:
            return ()
        entry = self.layout.parts[stop.spot.part].stops[stop.spot.nth - 1].entry
        return tuple(note for note in entry.notes if note.span is not None) if entry is not None else ()

    def _holds_before(self, stop: Stop, note: Note) -> bool:
        return any(h.turning.text == note.text for h in self.turning.at_stop(stop.spot.part, stop.spot.nth - 1))


def _rounds(part: Part) -> int:
    return len(part.numbered) or len(part.stops)


def choice_key(part: Part, stop: Stop) -> str:
    """The name under which the choice of a total is kept: one for all copies and all rounds of the entry."""
    return f"{part.piece_index}:{stop.entry_index}"
