"""When the count is off: how far, where it most likely happened, and the ways out.

The order is the one a patient friend keeps (common practice, no source): first count again from the marker; then ask
whether the last repeat ended exactly at the marker. Yes: an increase or decrease was left out of this round or added,
and the plain stitches between two of them tell where. No: a stitch was skipped, doubled or worked into the join, or the
round below was off, so count that one. The ways out are to rip to that repeat, or to put it right in the next round:
offered only where few stitches are wrong and no colour work, matching copy or edge-to-edge join depends on the count.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from typing import Literal

from companion.pattern.model import Step
from companion.place.answers import (
    CountBelow,
    Counted,
    LookForShaping,
    Mend,
    MendHow,
    NoMend,
    Shaping,
)
from companion.place.layout import Stop
from companion.place.result import Question, Result, Slots, number
from companion.place.view import View

_EDGE = re.compile(r"edge to edge|stitch (for|to) stitch|last rounds? together|hold .* together", re.IGNORECASE)


def counted(view: View, slots: Slots) -> Result:
    """The maker's own count against what is due. Nothing moves."""
    said = number(slots, "stitches", 0)
    here = view.here
    below = _below(view)
    due, against = _due(view, said, below)
    off = None if due is None else said - due
    nth = view.progress.at.nth
    basis = view.part.stops[nth - 1].basis if against == "below" and nth else here.basis
    answer = Counted(said, due, off, against, here, basis, below)
    if off and against == "below":
        this = here.stitches
        return Result(replace(answer, against_this=None if this is None else said - this))
    if not off or against != "total":
        return Result(replace(answer, repeat_gives=_repeat_gives(view) if off else None))
    slip = _count_below(view, said, off)
    if len(_shapings(view.stop)) < abs(off):
        # Not even all increases or decreases of the round together explain it, and a round without any has none.
        return Result(replace(answer, then=slip))
    asked = replace(answer, repeat_gives=_repeat_gives(view), asks_marker=True)
    question = Question("marker", Result(_look_for_shaping(view, said, off)), Result(slip), None)
    return Result(asked, question=question)


def _due(view: View, said: int, below: int | None) -> tuple[int | None, Literal["total", "made", "below"]]:
    here = view.here
    if here.stitch and not here.full:
        return here.stitch, "made"
    if not here.stitch and below and _nearer(said, below, here.stitches):
        return below, "below"
    return here.stitches, "total"


def _nearer(said: int, below: int, total: int | None) -> bool:
    """Whether a count is that of the round below rather than of this one, of which nothing is told yet."""
    return total is None or abs(said - below) < abs(said - total)


def _below(view: View) -> int | None:
    """The stitches of the round that this one is worked into."""
    return view.stop.entry.worked_into if view.stop.entry else None


def _look_for_shaping(view: View, said: int, off: int) -> LookForShaping:
    shaping = _kind(view.stop)
    gap = _gap(view.stop)
    mends, no_mend = _mends(view, said, off)
    added = (off > 0) == (shaping == "increase")
    return LookForShaping(
        now=view.here,
        difference=off,
        shaping=shaping,
        shapings=len(_shapings(view.stop)),
        plain_between=gap,
        plain_if_left_out=None if gap is None or added else _left_out(gap, shaping),
        added=added,
        mends=mends,
        no_mend=no_mend,
    )


def _left_out(gap: int, shaping: Shaping) -> int | None:
    """Plain stitches between two shapings where the one between them was worked plain: its stitches join the gaps."""
    return {"increase": 2 * gap + 1, "decrease": 2 * gap + 2}.get(shaping)


def _count_below(view: View, said: int, off: int) -> CountBelow:
    mends, no_mend = _mends(view, said, off)
    nth = view.progress.at.nth
    number_below = view.part.stops[nth - 1].number if nth else None
    return CountBelow(view.here, off, _below(view), number_below, mends, no_mend)


# --- the shape of the round ---------------------------------------------------------------------------------------


def _shapings(stop: Stop) -> list[int]:
    """Indices of the steps that give another number than they take."""
    return [i for i, step in enumerate(stop.walk.steps) if step.gives and step.takes and step.gives != step.takes]


def _kind(stop: Stop) -> Shaping:
    steps = [stop.walk.steps[i] for i in _shapings(stop)]
    up, down = any(_grows(s) for s in steps), any(not _grows(s) for s in steps)
    if up and down:
        return "both"
    return "increase" if up else "decrease" if down else "none"


def _grows(step: Step) -> bool:
    return step.gives > step.takes


def _gap(stop: Stop) -> int | None:
    """Plain stitches between two shapings, where every gap is the same."""
    at = _shapings(stop)
    steps = stop.walk.steps
    gaps = {sum(step.gives for step in steps[a + 1 : b]) for a, b in pairwise(at)}
    return gaps.pop() if len(gaps) == 1 else None


def _repeats(view: View) -> tuple[tuple[int, int], ...]:
    """The stretches of the round that belong to repeats, as (start, end) in stitches."""
    walked = view.walk(view.stop)
    return tuple((s.start, s.end) for s in walked.stretches("repeat") if walked.steps[s.last - 1].repeat is not None)


def _repeat_gives(view: View) -> int | None:
    sizes = {end - start for start, end in _repeats(view)}
    return sizes.pop() if len(sizes) == 1 else None


# --- ways out -----------------------------------------------------------------------------------------------------


def _mends(view: View, said: int, off: int) -> tuple[tuple[Mend, ...], NoMend]:
    """Ways out, in the order to try them, and why none in a later round is among them."""
    if _too_far(view, off):
        return (), "too_far"
    rip = (Mend("rip"),) if _repeats(view) or view.progress.stitch else ()
    reason = _why_not_later(view)
    mend = None if reason else _mend_later(view, said, off)
    return ((*rip, mend), "") if mend else (rip, reason or "no_later_round")


def _too_far(view: View, off: int) -> bool:
    """More than can be hidden: above two stitches, and above a tenth of the round (common practice, no source)."""
    return abs(off) > max(2, (view.here.stitches or 0) // 10)


def _why_not_later(view: View) -> NoMend:
    part, nth = view.part, view.progress.at.nth
    later = part.stops[nth + 1 :]
    if part.copies > 1:
        return "copy"
    if any(_coloured(stop) for stop in later):
        return "colour"
    if _joined_by_edge(view):
        return "join"
    if any(view.total(stop)[0] is None for stop in later if stop.kind != "step"):
        return "unknown"
    return ""


def _coloured(stop: Stop) -> bool:
    """True for colour work: more than one colour within the round."""
    return len({step.colour for step in stop.walk.steps if step.gives and step.colour}) > 1


def _joined_by_edge(view: View) -> bool:
    name = view.part.name.casefold()
    rounds = [entry for piece in view.pattern.pieces for entry in piece.rounds]
    into_this = any(entry.into and name in entry.into.casefold() for entry in rounds)
    sewn = any(_EDGE.search(note.text) and name in note.text.casefold() for note in view.pattern.assembly)
    return into_this or sewn


def _mend_later(view: View, said: int, off: int) -> Mend | None:
    """Put right in the next round, which then has its written total, and so have all rounds after it."""
    nth = view.progress.at.nth
    later = [stop for stop in view.part.stops[nth + 1 :] if stop.number is not None]
    here = view.stop.number
    if not later or here is None:
        return None
    fix = later[0]
    wrong = abs(off)
    steps = [fix.walk.steps[i] for i in _shapings(fix)]
    increases = sum(step.gives - step.takes for step in steps if _grows(step))
    decreases = sum(step.takes - step.gives for step in steps if not _grows(step))
    how: MendHow
    if off < 0:
        how = "fewer_decreases" if decreases >= wrong else "more_increases"
    else:
        how = "fewer_increases" if increases >= wrong else "more_decreases"
    totals = [(here, said), *((s.number or 0, view.total(s)[0] or 0) for s in later)]
    return Mend("later", round=fix.number, how=how, stitches=wrong, totals=tuple(totals))


RECOUNT: dict[str, Callable[[View, Slots], Result]] = {"counted": counted}
