"""What the pattern says beside its stitches: hook, yarn, colours, eyes, what is needed; and how far the work is."""

from __future__ import annotations

from collections.abc import Callable

from companion.place.answers import Colour, ColourChange, Eyes, Hook, Needed, Progress, ToDo, Yarn
from companion.place.layout import Stop
from companion.place.result import Result, Slots
from companion.place.small_parts import eye_notes, has_small_parts
from companion.place.sums import made_in, rounds_after, totals
from companion.place.view import View


def which_hook(view: View, slots: Slots) -> Result:
    """The hook as written, and as the maker changed it."""
    return Result(Hook(view.pattern.hook, view.progress.hook))


def which_yarn(view: View, slots: Slots) -> Result:
    """The yarn as written, with the maker's own names for it."""
    return Result(Yarn(view.pattern.yarn, tuple(view.progress.labels.items()), view.progress.double))


def which_colour(view: View, slots: Slots) -> Result:
    """The colour of the next stitch."""
    colour = _colour_now(view)
    label = next((text for yarn, text in view.progress.labels.items() if colour and yarn in colour), "")
    return Result(Colour(view.here, colour, label))


def _colour_now(view: View) -> str | None:
    walked = view.walk(view.stop)
    motion = walked.motion_at(view.progress.stitch)
    if motion is not None and walked.steps[motion].colour:
        return walked.steps[motion].colour
    if view.here.full and (last := next((s.colour for s in reversed(walked.steps) if s.gives), None)):
        return last
    return (view.stop.entry.colour if view.stop.entry else None) or (
        view.part.piece.colour if view.part.piece else None
    )


def colour_change(view: View, slots: Slots) -> Result:
    """The next colour change in this piece, with the stitch that is finished in the new colour."""
    here = view.progress
    for stop in view.part.stops[here.at.nth :]:
        for change in view.colours_ahead(stop):
            if stop is view.stop and change.stitch is not None and change.stitch <= here.stitch and here.stitch:
                continue
            at = view.where(stop.spot, 0)
            return Result(ColourChange(view.here, at, change.stitch, change.colour, change.at_round_end))
    return Result(ColourChange(view.here, None, None, None))


def where_eyes(view: View, slots: Slots) -> Result:
    """Every note about eyes, with its piece."""
    return Result(Eyes(view.here, tuple(eye_notes(view.pattern))))


def what_needed(view: View, slots: Slots) -> Result:
    """What the pattern lists."""
    pattern = view.pattern
    small = has_small_parts(pattern)
    return Result(Needed(pattern.materials, pattern.hook, pattern.yarn, pattern.gauge, pattern.cautions, small))


def progress(view: View, slots: Slots) -> Result:
    """How far the whole project is, in stitches."""
    parts = view.layout.parts
    total, unknown, _ = totals(view, parts)
    made = sum(made_in(view, part) for part in parts)
    pieces = [part for part in parts if not part.is_assembly]
    done = sum(part.index in view.progress.finished for part in pieces)
    percent = made * 100 // total if total else None
    return Result(Progress(made, total, percent, unknown, done, len(pieces)))


def to_do(view: View, slots: Slots) -> Result:
    """Pieces not finished with the rounds left in each, turning points put off, steps of assembly."""
    waiting = [p for p in view.layout.parts if not p.is_assembly and p.index not in view.progress.finished]
    pieces = tuple((p.name, p.copy, _rounds_to_do(view, rounds_after(view, p), p.index)) for p in waiting)
    put_off = tuple(hold.turning for hold in view.turning.put_off(view.progress))
    assembly = next((p for p in view.layout.parts if p.is_assembly), None)
    steps = 0
    if assembly is not None and not view.progress.all_done and assembly.index not in view.progress.finished:
        steps = len(assembly.stops) - view.place_in(assembly).at.nth
    return Result(ToDo(pieces, put_off, steps))


def _rounds_to_do(view: View, after: tuple[Stop, ...], part: int) -> int:
    """Numbered rounds still to be finished, the one at hand included unless it is full."""
    place = view.place_in(view.layout.parts[part])
    stop = view.layout.stop(place.at)
    full = view.where(place.at, place.stitch).full
    return sum(s.number is not None for s in after) + (stop.number is not None and not full)


FACTS: dict[str, Callable[[View, Slots], Result]] = {
    "which_hook": which_hook,
    "which_yarn": which_yarn,
    "which_colour": which_colour,
    "colour_change": colour_change,
    "where_eyes": where_eyes,
    "what_needed": what_needed,
    "progress": progress,
    "to_do": to_do,
}
