"""What has been told so far, as one frozen value, and how each change folds into it.

A `Change` is what one accepted command did; it is what the journal keeps. Folding all changes from the first gives the
present `Progress`; nothing else does. The fold needs no pattern: spots are pairs of numbers.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Literal, TypeVar

from pydantic import BaseModel, ConfigDict, Field

from companion.place.layout import Spot

Shape = Literal["spiral", "joined", "turned"]
LogKind = Literal["error", "unclear", "count", "yarn"]
EventKind = Literal["ball", "hook", "strands", "tail", "label"]
Measure = Literal["stitches_per_10cm", "rounds_per_10cm", "swatch_metres", "swatch_stitches"]
"""What the maker measured of their own work: the gauge, and the yarn that so many stitches took. 0 is not measured."""
ReleaseHow = Literal["done_that", "skip_it", "later"]


V = TypeVar("V")
START = Spot(0, 0)


class _Kept(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Place(_Kept):
    """A place in the work: `stitch` stitches of the stop at `at` are made."""

    at: Spot
    stitch: int


class Reminder(_Kept):
    """The maker's own turning point: before stop `before` of that part."""

    part: int
    before: int
    text: str


class Remark(_Kept):
    """A note of the maker's, or an event of the work, with its place and time."""

    kind: Literal["note"] | EventKind
    text: str
    place: Place
    when: float


class LogEntry(_Kept):
    """One entry of the tester's log."""

    kind: LogKind
    text: str
    place: Place
    when: float


class Carried(_Kept):
    """The whole progress set anew, after the pattern was edited."""

    kept: dict[int, Place] = Field(default_factory=dict)
    finished: list[int] = Field(default_factory=list)
    released: dict[str, ReleaseHow] = Field(default_factory=dict)
    put_off: dict[str, int] = Field(default_factory=dict)
    chosen: dict[str, bool] = Field(default_factory=dict)
    reminders: list[Reminder] = Field(default_factory=list)
    remarks: list[Remark] = Field(default_factory=list)
    log: list[LogEntry] = Field(default_factory=list)


class Change(_Kept):
    """What one accepted command changed. Everything is optional; a field that is absent changes nothing.

    `left_at` is where the part that is left stands now, if not where it stood before.
    Where `place` is given, `held` and `all_done` are set with it. `finished` and `reopened` are numbers of parts.
    """

    place: Place | None = None
    left_at: Place | None = None
    held: str | None = None
    all_done: bool = False
    finished: list[int] = Field(default_factory=list)
    reopened: list[int] = Field(default_factory=list)
    released: dict[str, ReleaseHow] = Field(default_factory=dict)
    put_off: dict[str, int] = Field(default_factory=dict)
    unreleased: list[str] = Field(default_factory=list)
    chosen: dict[str, bool] = Field(default_factory=dict)
    told: list[str] = Field(default_factory=list)
    reminder: Reminder | None = None
    remark: Remark | None = None
    log: LogEntry | None = None
    shape: dict[int, Shape] = Field(default_factory=dict)
    label: dict[str, str] = Field(default_factory=dict)
    hook: str | None = None
    double: bool | None = None
    measured: dict[Measure, float] = Field(default_factory=dict)
    carried: Carried | None = None


@dataclass(frozen=True, slots=True)
class Progress:
    """Everything that was told about the work.

    `kept` holds the places of the other parts, as they were left. `released` tells how each turning point was
    answered; one put off has in `put_off` the number of the stop (in its part) after which it comes back. `chosen`
    says of entries that disagree with the print ("piece index:entry index") whether the printed total is counted.
    `told` names what is said only once.
    """

    at: Spot = START
    stitch: int = 0
    held: str | None = None
    all_done: bool = False
    kept: Mapping[int, Place] = field(default_factory=dict)
    finished: frozenset[int] = frozenset()
    released: Mapping[str, ReleaseHow] = field(default_factory=dict)
    put_off: Mapping[str, int] = field(default_factory=dict)
    chosen: Mapping[str, bool] = field(default_factory=dict)
    told: frozenset[str] = frozenset()
    reminders: tuple[Reminder, ...] = ()
    remarks: tuple[Remark, ...] = ()
    log: tuple[LogEntry, ...] = ()
    shapes: Mapping[int, Shape] = field(default_factory=dict)
    labels: Mapping[str, str] = field(default_factory=dict)
    hook: str = ""
    double: bool = False
    measured: Mapping[Measure, float] = field(default_factory=dict)

    @property
    def place(self) -> Place:
        """The present place."""
        return Place(at=self.at, stitch=self.stitch)


def fold(progress: Progress, change: Change) -> Progress:
    """The progress after that change."""
    if change.carried is not None:
        progress = _carry(progress, change.carried)
    if change.place is not None:
        progress = _move(progress, change)
    if change.released or change.put_off or change.unreleased:
        gone = (*change.released, *change.unreleased)
        progress = replace(
            progress,
            released={**_without(progress.released, gone), **change.released},
            put_off={**_without(progress.put_off, gone), **change.put_off},
        )
    if change.chosen:
        progress = replace(progress, chosen={**progress.chosen, **change.chosen})
    if change.told:
        progress = replace(progress, told=progress.told | frozenset(change.told))
    if change.reminder is not None:
        progress = replace(progress, reminders=(*progress.reminders, change.reminder))
    if change.remark is not None:
        progress = replace(progress, remarks=(*progress.remarks, change.remark))
    if change.log is not None:
        progress = replace(progress, log=(*progress.log, change.log))
    if change.shape:
        progress = replace(progress, shapes={**progress.shapes, **change.shape})
    if change.label:
        progress = replace(progress, labels={**progress.labels, **change.label})
    if change.hook is not None:
        progress = replace(progress, hook=change.hook)
    if change.double is not None:
        progress = replace(progress, double=change.double)
    if change.measured:
        progress = replace(progress, measured={**progress.measured, **change.measured})
    return progress


def _without(mapping: Mapping[str, V], keys: Iterable[str]) -> dict[str, V]:
    gone = frozenset(keys)
    return {key: value for key, value in mapping.items() if key not in gone}


def _move(progress: Progress, change: Change) -> Progress:
    assert change.place is not None
    kept = dict(progress.kept)
    if change.place.at.part != progress.at.part:
        kept[progress.at.part] = change.left_at or progress.place
    kept.pop(change.place.at.part, None)
    return replace(
        progress,
        at=change.place.at,
        stitch=change.place.stitch,
        held=change.held,
        all_done=change.all_done,
        kept=kept,
        finished=(progress.finished | frozenset(change.finished)) - frozenset(change.reopened),
    )


def _carry(progress: Progress, carried: Carried) -> Progress:
    return replace(
        progress,
        kept=carried.kept,
        finished=frozenset(carried.finished),
        released=carried.released,
        put_off=carried.put_off,
        chosen=carried.chosen,
        reminders=tuple(carried.reminders),
        remarks=tuple(carried.remarks),
        log=tuple(carried.log),
    )
