"""Questions about the shape of a round: increases spread evenly, and whether it cups or ruffles."""

from __future__ import annotations

from collections import Counter
from typing import Literal

from companion.craft.choose import main_stitch
from companion.craft.rounds import rounds_of
from companion.craft.ruffle import lie
from companion.craft.spread import changes_of, even
from companion.pattern.model import Round, Work
from companion.place.result import Slots
from companion.place.view import View
from companion.sums.answers import CannotTell, Lying, Spreading, TooMany
from companion.sums.measures import Basis


def spread(view: View, basis: Basis, slots: Slots) -> object:
    """So many increases or decreases over so many stitches."""
    return _spread(view, slots, int(slots["stitches"]))


def spread_here(view: View, basis: Basis, slots: Slots) -> object:
    """So many increases or decreases over the stitches that this round goes into."""
    into = _worked_into(view)
    return _spread(view, slots, into) if into else CannotTell("no_stitches")


def _spread(view: View, slots: Slots, stitches: int) -> Spreading | TooMany:
    kind: Literal["inc", "dec"] = "inc" if "increases" in slots else "dec"
    changes = int(slots["increases" if kind == "inc" else "decreases"])
    most = stitches if kind == "inc" else stitches // 2
    if changes > most:
        return TooMany(kind, changes, stitches, most)
    # Only over the very stitches at hand is it known where the last increases lie.
    below = _changes_below(view) if stitches == _worked_into(view) else ()
    stitch = _stitch_of(view.stop.entry) if view.stop.entry else main_stitch(view.pattern)
    return Spreading(even(kind, changes, stitches, below, stitch), turned=bool(below))


def _worked_into(view: View) -> int | None:
    return view.stop.entry.worked_into if view.stop.entry else None


def _changes_below(view: View) -> tuple[float, ...]:
    """Where the changes of the last round that had any lie."""
    stops = view.part.stops[: view.progress.at.nth]
    found = (changes_of(stop.entry) for stop in reversed(stops) if stop.entry)
    return next((changes for changes in found if changes), ())


def ruffle(view: View, basis: Basis, slots: Slots) -> object:
    """How the round at hand lies over the one before."""
    piece, entry = view.part.piece, view.stop.entry
    if piece is None or entry is None:
        return CannotTell("assembly")
    if entry.kind == "row":
        return CannotTell("rows")
    worked, nth = rounds_of(piece), view.progress.at.nth
    now = worked[nth]
    if now.part_way:
        return CannotTell("part_way")
    earlier = [one for one in worked[:nth] if not one.part_way]
    if not earlier or now.oval or (now.aside and not now.edge):
        return CannotTell("first_round")
    before = now.edge if now.aside else earlier[-1].stitches
    if before is None or now.stitches is None:
        return CannotTell("unknown_round", piece.name, now.label)
    gauge = basis.gauge
    stitch = _stitch_of(entry)
    trusted = gauge if gauge and gauge.basis in ("measured", "pattern") else None
    return Lying(lie(before, now.stitches, trusted, stitch), view.here, stitch)


def _stitch_of(entry: Round) -> str:
    """The stitch that most of a round is worked in."""
    counts = Counter(step.instruction.stitch for step in entry.steps if isinstance(step.instruction, Work))
    return counts.most_common(1)[0][0] if counts else "sc"
