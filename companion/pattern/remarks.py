"""What was assumed while a round was read, and what is missing in it without being wrong."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from companion.pattern.checks import miscounted, name_of, report, short
from companion.pattern.counted import Counted
from companion.pattern.model import Act, Work
from companion.pattern.stitches import table
from companion.pattern.worked import Worked

_OTHER_COUNT: Final = re.compile(r"[(\[{<]\s*\d+\s+[a-z]", re.IGNORECASE)

if TYPE_CHECKING:
    from companion.pattern.counting import PieceCounter


def remarks(counter: PieceCounter, entry: Counted) -> None:
    """What was assumed, and what is missing without being wrong."""
    if entry.listed:
        return
    draft, stretch, worked = entry.draft, entry.stretch, entry.worked
    first, last = entry.first, entry.last
    name = name_of(draft)
    aside = draft.label.aside_rounds if draft.label is not None else None
    if (worked.round_count is not None or aside is not None) and first is not None and last is not None:
        count = worked.round_count.n if worked.round_count is not None else aside
        stands_for = last - first + 1
        if count != stands_for:
            miscounted(counter, draft, stands_for, count)
    if worked.assumed_chain is not None:
        _chain_assumed(counter, entry)
    if entry.again:
        report(
            counter,
            "reading_assumed",
            draft.body,
            f"{name} repeats a round that begins in a ring or on a chain; only its stitches are worked here.",
            "Write the round out, so that it says what it is worked into.",
        )
    if worked.suggested is not None:
        begin, end = worked.suggested
        words = counter.source.text[stretch.start + begin : stretch.start + end]
        report(
            counter,
            "places_suggested",
            stretch.start + begin,
            f"{name}: “{short(words)}” does not say where; what is laid out here, evenly, is a suggestion.",
            "Work it as you like, or write the round out stitch by stitch.",
        )
    if worked.other_reading:
        words = counter.source.text[stretch.start : stretch.end]
        report(
            counter,
            "reading_assumed",
            stretch.start,
            f"{name}: “{short(words)}” can be read in two ways; the one that adds up was taken.",
            "Say how far each part goes, and put what is repeated in brackets.",
        )
    if entry.declared is not None or _counts_otherwise(worked):
        return
    made = worked.gives
    if made is None:
        if not (worked.unread or worked.unknown or worked.too_large):
            report(
                counter,
                "total_missing",
                draft.start,
                f"{name} has no printed total, and it cannot be worked out.",
                "Write the total at its end.",
            )
    elif (
        not entry.repeats_another
        and counter.prints_totals
        and worked.has_work
        and made != worked.there
        and not _is_its_own_total(worked)
        and worked.fits
    ):
        report(
            counter,
            "total_missing",
            draft.start,
            f"{name} has no printed total; it works out at {made}.",
            f"Add [{made}] at its end.",
        )


def _counts_otherwise(worked: Worked) -> bool:
    """Whether the pattern prints a count that is not of stitches: "[12 petals]"."""
    return any(isinstance(item, Act) and _OTHER_COUNT.match(item.text) for item in worked.instructions)


def _is_its_own_total(worked: Worked) -> bool:
    """Whether the round is one count and nothing else: "6 sc in a magic ring"."""
    made = [item for item in worked.instructions if not isinstance(item, Act)]
    return len(made) == 1 and isinstance(made[0], Work) and made[0].in_one == 1


def _chain_assumed(counter: PieceCounter, entry: Counted) -> None:
    assert entry.worked.assumed_chain is not None
    key, chains, counts, offset = entry.worked.assumed_chain
    counter.shared.assumed.setdefault(key, counts)
    flag = (key, chains)
    if flag in counter.shared.flagged:
        return
    counter.shared.flagged.add(flag)
    stitch = table()[key].names(counter.shared.rules.terms).name if key in table() else key
    how = "counts as a stitch" if counts else "does not count as a stitch"
    if key in counter.shared.rules.practice:
        why = f"the totals only add up if it {how}."
    else:
        why = f"by common practice it {how}."
    silent = f"the pattern does not say whether the starting chain of {chains} before {stitch} counts"
    message = f"{name_of(entry.draft)}: {silent}; {why}"
    report(counter, "chain_assumed", entry.stretch.start + offset, message, "Say in the pattern whether it counts.")
