"""What is checked of each round, and the sentences in which it is reported. One slip is one error."""

from __future__ import annotations

from typing import TYPE_CHECKING

from companion.pattern.mending import mending
from companion.pattern.model import Span, Total
from companion.pattern.problems import problem
from companion.pattern.stitches import table
from companion.pattern.worked import Worked

if TYPE_CHECKING:
    from companion.pattern.counting import PieceCounter
    from companion.pattern.page import RoundDraft
    from companion.pattern.shared import Stretch


def _report(counter: PieceCounter, kind: str, offset: int, message: str, hint: str = "") -> None:
    line, column = counter.source.at(offset)
    counter.shared.problems.append(problem(kind, line, column, message, hint))


def _name(draft: RoundDraft) -> str:
    return draft.label.text if draft.label is not None and draft.label.text else "This line"


def _short(words: str) -> str:
    words = " ".join(words.split())
    return words if len(words) <= 80 else words[:77] + "..."


# --- numbering ---


def numbering(counter: PieceCounter, draft: RoundDraft, first: int, last: int) -> None:
    """Missing and repeated numbers."""
    kind = draft.label.kind if draft.label else "round"
    before = counter.last_number
    if before is None:
        if first > 1 and not counter.rounds:
            _report(
                counter,
                "missing_round",
                draft.start,
                f"The first {kind} here is number {first}.",
                "Look for the ones before it.",
            )
        return
    if first <= before:
        twice = first in counter.by_number
        message = (
            f"{kind.capitalize()} {first} is there twice."
            if twice
            else f"{kind.capitalize()} {first} comes after {kind} {before}."
        )
        _report(counter, "duplicate_round", draft.start, message, "Renumber it, or take out the one that is not meant.")
    elif first > before + 1:
        gone = f"{kind} {before + 1} is" if first == before + 2 else f"{kind}s {before + 1} to {first - 1} are"
        _report(
            counter,
            "missing_round",
            draft.start,
            f"After {kind} {before} comes {kind} {first}: {gone} missing.",
            "Look for it in the pattern, or renumber.",
        )


def too_large(counter: PieceCounter, draft: RoundDraft) -> None:
    """A round with more stitches than can be meant."""
    _report(
        counter,
        "too_large",
        draft.body,
        f"{_name(draft)} has more stitches than can be meant.",
        "Look for a number with too many digits.",
    )


def too_long_a_range(counter: PieceCounter, draft: RoundDraft, times: int) -> None:
    """A range that stands for more rounds than are listed one by one."""
    _report(
        counter,
        "too_large",
        draft.start,
        f"{_name(draft)} stands for {times} rounds that all differ.",
        "Look for a number with too many digits.",
    )


def unknown_reference(counter: PieceCounter, draft: RoundDraft, worked: Worked) -> None:
    """A round or piece is referred to that is not there."""
    assert worked.as_round is not None
    what = worked.as_round.name or f"round {worked.as_round.first}"
    _report(
        counter,
        "unknown_reference",
        draft.body,
        f"{_name(draft)} refers to {what}, which is not found above.",
        "Check the name or the number, or write the round out.",
    )


# --- reading ---


def readable(counter: PieceCounter, draft: RoundDraft, stretch: Stretch, worked: Worked, listed: bool) -> None:
    """Words that were not turned into stitches."""
    if listed:
        return
    for node in worked.unread:
        words = counter.source.text[stretch.start + node.start : stretch.start + node.end]
        _report(
            counter,
            "unreadable",
            stretch.start + node.start,
            f"{_name(draft)}: “{_short(words)}” could not be turned into stitches.",
            "It is read aloud as written. Check it by eye, or write it with the usual abbreviations.",
        )

    for node in worked.unknown[:1]:
        if counter.edge_lost or worked.unread:
            break
        words = counter.source.text[stretch.start + node.start : stretch.start + node.end]
        _report(
            counter,
            "edge_unknown",
            stretch.start + node.start,
            f"{_name(draft)}: how often “{_short(words)}” is worked is unknown: it is not known how many are there.",
            "Print the total of this round, or of the one before.",
        )


# --- the arithmetic ---


def adds_up(
    counter: PieceCounter,
    draft: RoundDraft,
    stretch: Stretch,
    worked: Worked,
    declared: Total | None,
    following: RoundDraft | None,
    second: Worked | None,
) -> int | None:
    """Check what the round takes and gives; the number the next round goes on from, None where unknown."""
    printed = declared.stitches if declared is not None else None
    made = worked.gives
    if made is None:
        return printed
    if printed is not None and printed != made and worked.has_work:
        return _mismatch(counter, draft, stretch, worked, made, printed, declared, following)
    if second is not None:
        _report(
            counter,
            "does_not_fit",
            stretch.start,
            f"{_name(draft)}: worked once it makes {made} stitches, and the second time it takes {second.takes}.",
            "Write these rounds out one by one.",
        )
    elif not worked.fits:
        _does_not_fit(counter, draft, stretch, worked)
    return made


def _mismatch(
    counter: PieceCounter,
    draft: RoundDraft,
    stretch: Stretch,
    worked: Worked,
    made: int,
    printed: int,
    declared: Total | None,
    following: RoundDraft | None,
) -> int:
    goes_on, blame = made, ""
    if following is not None:
        with_made = counter.fits_next(following, worked, made)
        with_printed = counter.fits_next(following, worked, printed)
        if with_printed and not with_made:
            goes_on = printed
            blame = " The next round fits only the printed total, so the instruction is probably wrong."
        elif with_made and not with_printed:
            blame = " The next round fits what is worked out, so the printed total is probably wrong."
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
    span = total_span(counter, draft, declared) if declared is not None else None
    line, column = (span.line, span.column) if span is not None else counter.source.at(stretch.start)
    message = f"{_name(draft)} makes {made} stitches, but {printed} is printed.{misfit}{blame}"
    counter.shared.problems.append(problem("total_mismatch", line, column, message, hint))
    return goes_on


def _does_not_fit(counter: PieceCounter, draft: RoundDraft, stretch: Stretch, worked: Worked) -> None:
    name, there, takes = _name(draft), worked.there, worked.takes
    if worked.misfit_at is not None:
        where, taken, has = worked.misfit_at
        message = f"{name} takes {taken} stitches of the {where}, which has {has}."
        hint = f"Work {has} stitches there, or say which are left unworked."
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
        message = f"{name} takes {takes} stitches, {more} the {there} that are there."
        hint = mending(worked, None) or "Check this round, and the total of the one before."
    _report(counter, "does_not_fit", stretch.start, message, hint)


# --- remarks ---


def remarks(
    counter: PieceCounter,
    draft: RoundDraft,
    stretch: Stretch,
    worked: Worked,
    declared: Total | None,
    first: int | None,
    last: int | None,
    listed: bool,
) -> None:
    """What was assumed, and what is missing without being wrong."""
    if listed:
        return
    name = _name(draft)
    aside = draft.label.aside_rounds if draft.label is not None else None
    if (worked.round_count is not None or aside is not None) and first is not None and last is not None:
        count = worked.round_count.n if worked.round_count is not None else aside
        stands_for = last - first + 1
        if count != stands_for:
            _report(
                counter,
                "rounds_miscounted",
                draft.start,
                f"{name} stands for {stands_for} rounds, but {count} rounds are printed beside it.",
                "Correct one of the two.",
            )
    if worked.assumed_chain is not None:
        _chain_assumed(counter, stretch, worked, name)
    if worked.other_reading:
        words = counter.source.text[stretch.start : stretch.end]
        _report(
            counter,
            "reading_assumed",
            stretch.start,
            f"{name}: “{_short(words)}” can be read in two ways; the one that adds up was taken.",
            "Put what is repeated in brackets.",
        )
    if declared is not None and declared.stitches is not None:
        return
    made = worked.gives
    if made is None:
        if not worked.unread and not worked.unknown:
            _report(
                counter,
                "total_missing",
                draft.start,
                f"{name} has no printed total, and it cannot be worked out.",
                "Write the total at its end.",
            )
    elif (
        stretch.start == draft.body
        and counter.prints_totals
        and worked.has_work
        and made != worked.there
        and worked.fits
    ):
        _report(
            counter,
            "total_missing",
            draft.start,
            f"{name} has no printed total; it works out at {made}.",
            f"Add [{made}] at its end.",
        )


def _chain_assumed(counter: PieceCounter, stretch: Stretch, worked: Worked, name: str) -> None:
    assert worked.assumed_chain is not None
    key, chains, counts, offset = worked.assumed_chain
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
    message = f"{name}: the pattern does not say whether the starting chain of {chains} before {stitch} counts; {why}"
    _report(counter, "chain_assumed", stretch.start + offset, message, "Say in the pattern whether it counts.")


def total_span(counter: PieceCounter, draft: RoundDraft, declared: Total) -> Span | None:
    """Where the printed total of a round stands: the last place its words occur in the round."""
    text = counter.source.text
    at = text.rfind(declared.text, draft.start, draft.end) if declared.text else -1
    return counter.source.span(at, at + len(declared.text)) if at >= 0 else None
