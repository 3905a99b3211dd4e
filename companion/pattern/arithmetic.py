"""The arithmetic of a round: what it takes against what is there, what it makes against what is printed. One slip is
one error."""

from __future__ import annotations

from typing import TYPE_CHECKING

from companion.pattern.checks import name_of, report, short
from companion.pattern.counted import Counted
from companion.pattern.foresight import assumed
from companion.pattern.mending import mending
from companion.pattern.model import Span
from companion.pattern.problems import problem
from companion.pattern.spaces import spaces_disagree

if TYPE_CHECKING:
    from companion.pattern.counting import PieceCounter


def adds_up(counter: PieceCounter, entry: Counted) -> int | None:
    """Check what the round takes and gives; the number the next round goes on from, None where unknown."""
    printed, worked, second = entry.printed, entry.worked, entry.second
    made = worked.gives
    if made is None:
        return printed
    if entry.repeats_another and entry.stretch in counter.shared.faulty:
        return printed  # the slip is in the round that is repeated, and was reported there
    wrong_total = printed is not None and printed != made and worked.has_work
    if wrong_total or second is not None or not worked.fits:
        counter.shared.faulty.add(entry.stretch)
    if printed is not None and wrong_total:
        return _mismatch(counter, entry, made, printed)
    if second is not None:
        twice = f"worked once it makes {made} stitches, and the second time it takes {second.takes}."
        hint = "Write these rounds out one by one."
        report(counter, "does_not_fit", entry.outset, f"{name_of(entry.draft)}: {twice}", hint)
    elif not worked.fits:
        _does_not_fit(counter, entry)
    elif entry.declared is worked.declared and (wrong := spaces_disagree(worked)) is not None:
        _wrong_spaces(counter, entry, *wrong)
    return made


def _wrong_spaces(counter: PieceCounter, entry: Counted, printed: int, made: int, chains: int) -> None:
    what = f"spaces of {chains} chains" if chains > 1 else "spaces of 1 chain" if chains else "chain spaces"
    message = f"{name_of(entry.draft)} makes {made} {what}, but {printed} are printed."
    hint = f"Print {made}, or correct the instruction so that it makes {printed}."
    counter.shared.report(problem("total_mismatch", *_place_of_total(counter, entry), message, hint))


def _mismatch(counter: PieceCounter, entry: Counted, made: int, printed: int) -> int:
    worked = entry.worked
    goes_on, blame = made, ""
    if entry.following is not None:
        verdict = assumed(counter, entry.following, worked, made, printed)
        which = "The next round" if verdict is not None and verdict.at_once else "A later round"
        if verdict is not None and verdict.stitches == printed:
            goes_on = printed
            blame = f" {which} fits only the printed total, so the instruction is probably wrong."
        elif verdict is not None:
            blame = f" {which} fits what is worked out, so the printed total is probably wrong."
    misfit = ""
    if not worked.fits and worked.there is not None and worked.takes is not None:
        misfit = f" It takes {worked.takes} of the {worked.there} that are there."
    hint = mending(worked, printed)
    if not hint:
        hint = (
            f"Correct the instruction so that it makes {printed}."
            if goes_on == printed
            else f"Print {made}, or correct the instruction so that it makes {printed}."
        )
    message = f"{name_of(entry.draft)} makes {made} stitches, but {printed} is printed.{misfit}{blame}"
    counter.shared.report(problem("total_mismatch", *_place_of_total(counter, entry), message, hint))
    return goes_on


def _does_not_fit(counter: PieceCounter, entry: Counted) -> None:
    draft, stretch, worked = entry.draft, entry.stretch, entry.worked
    name, there, takes = name_of(draft), worked.there, worked.takes
    if worked.misfit_at is not None:
        where, taken, has = worked.misfit_at
        message = f"{name} takes {taken} stitches of the {where}, which has {has}."
        hint = f"Work {has} stitches there, or say which are left unworked."
    elif worked.idle is not None and takes == there:
        start, end = worked.idle
        words = short(counter.source.text[stretch.start + start : stretch.start + end])
        message = f"{name}: nothing is left for “{words}”; the rest of it takes all {takes} stitches."
        hint = "Take it out, or say how many stitches each part goes over."
    elif worked.remainder is not None:
        each, room, over = worked.remainder
        times = room // each
        message = f"{name}: {times} repeats of {each} stitches take {room - over}, and {over} of the {room} are left."
        hint = (
            mending(worked, None)
            or f"A repeat over {each} stitches fits {room - over} or {room - over + each} stitches."
        )
    else:
        more = "more than" if (takes or 0) > (there or 0) else "fewer than"
        stitches = "1 stitch" if takes == 1 else f"{takes} stitches"
        message = f"{name} takes {stitches}, {more} the {there} that are there."
        hint = mending(worked, None) or "Check this round, and the total of the one before."
    report(counter, "does_not_fit", entry.outset, message, hint)


def _place_of_total(counter: PieceCounter, entry: Counted) -> tuple[int, int]:
    """Line and column of the printed total, or of the round where the total stands nowhere in it."""
    span = total_span(counter, entry)
    return (span.line, span.column) if span is not None else counter.source.at(entry.outset)


def total_span(counter: PieceCounter, entry: Counted) -> Span | None:
    """Where the printed total of a round stands: the last place its words occur in the round."""
    words = entry.declared.text if entry.declared is not None else ""
    at = counter.source.text.rfind(words, entry.draft.start, entry.draft.end) if words else -1
    return counter.source.span(at, at + len(words)) if at >= 0 else None
