"""What the maker wants kept beside the place: notes, reminders, what happened to the work, the tester's log."""

from __future__ import annotations

from collections.abc import Callable

from companion.place.answers import (
    EventNoted,
    Logged,
    Measured,
    Noted,
    NoteOfMine,
    Notes,
    Reason,
    ReminderSet,
    ShapeSet,
)
from companion.place.layout import Spot
from companion.place.progress import Change, EventKind, LogEntry, LogKind, Measure, Remark, Reminder, Shape
from companion.place.result import Result, Slots, no_such_round, number, refused
from companion.place.rounds import numbered
from companion.place.view import View


def note(view: View, slots: Slots) -> Result:
    """A note in free words, kept with the place."""
    text = str(slots.get("text", ""))
    change = Change(remark=Remark(kind="note", text=text, place=view.progress.place, when=view.now))
    return Result(Noted(text, view.here), change=change)


def remind(view: View, slots: Slots) -> Result:
    """A turning point of the maker's own: before that round of this piece the work is held."""
    said, text = number(slots, "round", 0), str(slots.get("text", ""))
    stop = numbered(view, said)
    if stop is None:
        return no_such_round(view, "remind", said)
    if stop.spot.nth <= view.progress.at.nth:
        return refused(view, Reason.ROUND_PASSED, "remind", said=said)
    change = Change(reminder=Reminder(part=view.part.index, before=stop.spot.nth, text=text))
    return Result(ReminderSet(text, said, view.here), change=change)


def my_notes(view: View, slots: Slots) -> Result:
    """Everything noted, and the reminders still to come."""
    notes = tuple(
        NoteOfMine(remark.text, view.where(remark.place.at, remark.place.stitch), remark.when, remark.kind)
        for remark in view.progress.remarks
    )
    coming = [
        (view.layout.stop(Spot(r.part, r.before)).number or 0, r.text)
        for index, r in enumerate(view.progress.reminders)
        if view.progress.released.get(f"reminder:{index}") not in ("done_that", "skip_it")
    ]
    return Result(Notes(notes, tuple(coming)))


# --- what happened to the work ------------------------------------------------------------------------------------


def _happened(view: View, kind: EventKind, text: str, of: str = "", change: Change | None = None) -> Result:
    remark = Remark(kind=kind, text=text, place=view.progress.place, when=view.now)
    kept = (change or Change()).model_copy(update={"remark": remark})
    return Result(EventNoted(kind, text, view.here, of), change=kept)


def joined_ball(view: View, slots: Slots) -> Result:
    """A new ball was joined here."""
    return _happened(view, "ball", str(slots.get("text", "")))


def changed_hook(view: View, slots: Slots) -> Result:
    """Another hook from here on."""
    text = str(slots.get("text", ""))
    return _happened(view, "hook", text, change=Change(hook=text))


def hold_double(view: View, slots: Slots) -> Result:
    """Two strands held together from here on."""
    return _happened(view, "strands", "double", change=Change(double=True))


def hold_single(view: View, slots: Slots) -> Result:
    """One strand again."""
    return _happened(view, "strands", "single", change=Change(double=False))


def left_tail(view: View, slots: Slots) -> Result:
    """A tail was left here."""
    return _happened(view, "tail", str(slots.get("text", "")))


def label_yarn(view: View, slots: Slots) -> Result:
    """The maker's own name for a yarn or colour of the pattern."""
    yarn, text = str(slots.get("yarn", "")), str(slots.get("text", ""))
    return _happened(view, "label", text, yarn, Change(label={yarn: text}))


def my_gauge(view: View, slots: Slots) -> Result:
    """The maker's own gauge, over 10 cm or 4 inches. Said without rounds, those of an earlier one no longer count."""
    stitches, rounds, inches = number(slots, "stitches", 0), slots.get("rounds"), number(slots, "inches", 0)
    per_10cm = 10 / (inches * 2.54) if inches else 1
    told: dict[Measure, float] = {
        "stitches_per_10cm": stitches * per_10cm,
        "rounds_per_10cm": number(slots, "rounds", 0) * per_10cm,
    }
    answer = Measured(stitches, None if rounds is None else int(rounds), inches=inches or None)
    return Result(answer, change=Change(measured=told))


def my_swatch(view: View, slots: Slots) -> Result:
    """Metres of yarn, with half a metre where it was said, that so many stitches took."""
    stitches, metres = number(slots, "stitches", 0), number(slots, "metres", 0) + number(slots, "half", 0) / 2
    change = Change(measured={"swatch_metres": metres, "swatch_stitches": stitches})
    return Result(Measured(stitches, metres=metres), change=change)


def _shape(shape: Shape) -> Callable[[View, Slots], Result]:
    def set_shape(view: View, slots: Slots) -> Result:
        return Result(ShapeSet(shape, view.here), change=Change(shape={view.part.piece_index: shape}))

    return set_shape


# --- the tester's log ---------------------------------------------------------------------------------------------


def _log(kind: LogKind) -> Callable[[View, Slots], Result]:
    def log(view: View, slots: Slots) -> Result:
        text = str(slots.get("text", slots.get("stitches", "")))
        entry = LogEntry(kind=kind, text=text, place=view.progress.place, when=view.now)
        count = len(view.progress.log) + 1
        return Result(Logged(kind, text, view.here, line_of(view), count), change=Change(log=entry))

    return log


def line_of(view: View, spot: Spot | None = None) -> int:
    """The line of the pattern's source in which that round (the present one) stands; 0 where it has none."""
    stop = view.layout.stop(spot or view.progress.at)
    span = stop.entry.span if stop.entry else stop.note.span if stop.note else None
    return span.line if span else 0


REMARKS: dict[str, Callable[[View, Slots], Result]] = {
    "note": note,
    "remind": remind,
    "my_notes": my_notes,
    "joined_ball": joined_ball,
    "changed_hook": changed_hook,
    "hold_double": hold_double,
    "hold_single": hold_single,
    "left_tail": left_tail,
    "label_yarn": label_yarn,
    "my_gauge": my_gauge,
    "my_swatch": my_swatch,
    "shape_spiral": _shape("spiral"),
    "shape_joined": _shape("joined"),
    "shape_turned": _shape("turned"),
    "log_error": _log("error"),
    "log_unclear": _log("unclear"),
    "log_count": _log("count"),
    "log_yarn": _log("yarn"),
}
