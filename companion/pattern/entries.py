"""A round that was worked out, as the `Round` of the model."""

from __future__ import annotations

from typing import TYPE_CHECKING

from companion.pattern.arithmetic import total_span
from companion.pattern.model import Basis, Note, Round, Total
from companion.pattern.worked import Worked

if TYPE_CHECKING:
    from companion.pattern.counting import PieceCounter
    from companion.pattern.page import RoundDraft
    from companion.pattern.shared import Stretch


def entry_of(
    counter: PieceCounter,
    draft: RoundDraft,
    stretch: Stretch,
    worked: Worked,
    declared: Total | None,
    first: int | None,
    last: int | None,
) -> Round:
    """The entry of a piece. Its steps are left out where the pattern has more of them than can be kept."""
    source, shared, label = counter.source, counter.shared, draft.label
    steps = worked.steps
    shared.budget -= len(steps)
    if shared.budget < 0:
        steps = ()
    printed = declared.stitches if declared is not None else None
    if declared is not None:
        span = total_span(counter, draft, declared)
        declared = Total(declared.stitches, declared.chain_spaces, declared.text, span)
    basis: Basis = "worked_out" if worked.gives is not None else "pattern_says" if printed is not None else "unknown"
    return Round(
        label.text if label is not None else "",
        label.kind if label is not None else "step",
        first,
        last,
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
        _notes(counter, draft, stretch),
        counter.colour,
    )


def _notes(counter: PieceCounter, draft: RoundDraft, stretch: Stretch) -> tuple[Note, ...]:
    """What is said beside the label, "(RS)", and the words of a round that repeats another."""
    label, source = draft.label, counter.source
    notes: tuple[Note, ...] = ()
    if label is not None and label.aside and label.aside_total is None:
        notes = (Note("other", label.aside.strip("()[] "), "before"),)
    if stretch.start != draft.body:
        said = " ".join(source.text[draft.body : draft.end].split())
        notes += (Note("other", said, "before", span=source.span(draft.body, draft.end)),)
    return notes
