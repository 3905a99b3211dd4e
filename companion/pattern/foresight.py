"""Looking ahead: which of two counts of a round, the one made or the one printed, the rounds after it assume."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from companion.pattern.shared import Stretch

if TYPE_CHECKING:
    from companion.pattern.counting import PieceCounter
    from companion.pattern.page import RoundDraft
    from companion.pattern.worked import Worked

MOST: Final = 6
"""Rounds looked at."""


class Verdict(NamedTuple):
    """The count that the rounds after it assume, and whether the very next one shows it."""

    stitches: int
    at_once: bool


def assumed(counter: PieceCounter, following: RoundDraft, worked: Worked, made: int, printed: int) -> Verdict | None:
    """Which count the rounds from `following` on fit, where they fit only one of the two; None where that is open."""
    start = next(k for k, draft in enumerate(counter.drafts) if draft is following)
    one, other = (worked, made), (worked, printed)
    for k, draft in enumerate(counter.drafts[start : start + MOST]):
        with_made, with_printed = _worked_after(counter, draft, *one), _worked_after(counter, draft, *other)
        fits_made, fits_printed = _fits(with_made, draft), _fits(with_printed, draft)
        if fits_made != fits_printed:
            return Verdict(made if fits_made else printed, k == 0)
        if not fits_made or with_made.gives is None or with_printed.gives is None:
            return None
        if with_made.gives == with_printed.gives or _changes(with_made, draft):
            return None
        one, other = (with_made, with_made.gives), (with_printed, with_printed.gives)
    return None


def _worked_after(counter: PieceCounter, draft: RoundDraft, before: Worked, count: int) -> Worked:
    """That round worked out, if the one before it had made `count`."""
    rules = counter.shared.rules
    chains = dict(rules.chain_counts)
    edge = counter.edge_after(before, count)
    after = counter.shared.work(Stretch.of(draft), edge, before.pending_chain, before.in_force)
    rules.chain_counts = chains
    return after


def _changes(worked: Worked, draft: RoundDraft) -> bool:
    """Whether it stands for several rounds of different totals, or for other rounds."""
    numbers = draft.label.numbers if draft.label is not None else ()
    several = len(numbers) > 1 or any(last > first for first, last in numbers)
    return worked.as_round is not None or (several and worked.gives != worked.there)


def _fits(worked: Worked, draft: RoundDraft) -> bool:
    """Whether it takes what is there and makes what it prints."""
    if worked.gives is None or not worked.fits:
        return False
    printed = worked.declared.stitches if worked.declared is not None else None
    if _changes(worked, draft):
        printed = worked.each[0] if worked.each else None
    return printed is None or printed == worked.gives
