"""A round that was worked out, as the `Round` of the model."""

from __future__ import annotations

from typing import TYPE_CHECKING

from companion.pattern.arithmetic import total_span
from companion.pattern.counted import Counted
from companion.pattern.model import Basis, Note, Round, Total

if TYPE_CHECKING:
    from companion.pattern.counting import PieceCounter


def entry_of(counter: PieceCounter, entry: Counted) -> Round:
    """The entry of a piece. Its steps are left out where the pattern has more of them than can be kept."""
    draft, stretch, worked, declared = entry.draft, entry.stretch, entry.worked, entry.declared
    source, shared, label = counter.source, counter.shared, draft.label
    steps = worked.steps
    shared.budget -= len(steps)
    if shared.budget < 0:
        steps = ()
    printed = entry.printed
    if declared is not None:
        span = total_span(counter, entry)
        declared = Total(declared.stitches, declared.chain_spaces, declared.text, span)
    basis: Basis = "worked_out" if worked.gives is not None else "pattern_says" if printed is not None else "unknown"
    return Round(
        label.text if label is not None else "",
        draft.kind,
        entry.first,
        entry.last,
        worked.instructions,
        steps,
        worked.worked_into,
        worked.gives if worked.gives is not None else printed,
        declared,
        basis,
        source.text[stretch.start : stretch.end],
        source.span(draft.outset, draft.end),
        worked.said_into,
        worked.chain_spaces,
        _notes(counter, entry),
        counter.colour,
        _suggested(counter, entry),
    )


def _suggested(counter: PieceCounter, entry: Counted) -> str:
    """The words that leave open where increases or decreases go."""
    if entry.worked.suggested is None:
        return ""
    start, end = entry.worked.suggested
    at = entry.stretch.start
    return " ".join(counter.source.text[at + start : at + end].split())


def _notes(counter: PieceCounter, entry: Counted) -> tuple[Note, ...]:
    """What is said beside the label, "(RS)", and the words of a round that repeats another."""
    draft, source = entry.draft, counter.source
    label = draft.label
    notes: tuple[Note, ...] = ()
    if label is not None and label.aside and label.aside_total is None:
        notes = (Note("other", label.aside.strip("()[] "), "before"),)
    if entry.repeats_another:
        said = " ".join(source.text[draft.body : draft.end].split())
        notes += (Note("other", said, "before", span=source.span(draft.body, draft.end)),)
    return notes
