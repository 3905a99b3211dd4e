"""Numbers, references and words: what is checked of a round before its arithmetic, and the sentences it is told in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from companion.pattern.counted import Counted
from companion.pattern.problems import problem
from companion.pattern.worked import Worked

if TYPE_CHECKING:
    from companion.pattern.counting import PieceCounter
    from companion.pattern.page import RoundDraft


def report(counter: PieceCounter, kind: str, offset: int, message: str, hint: str = "") -> None:
    """Note a problem at an offset of the source."""
    line, column = counter.source.at(offset)
    counter.shared.report(problem(kind, line, column, message, hint))


def name_of(draft: RoundDraft) -> str:
    """What a round is called in a message: its label as printed."""
    return draft.label.text if draft.label is not None and draft.label.text else "This line"


def short(words: str) -> str:
    """Words of the pattern as a message quotes them: on one line, and not too long."""
    words = " ".join(words.split())
    return words if len(words) <= 80 else words[:77] + "..."


# --- numbering ---


def numbering(counter: PieceCounter, draft: RoundDraft, first: int, last: int) -> None:
    """Missing and repeated numbers."""
    kind = draft.label.kind if draft.label else "round"
    before = counter.last_number
    if before is None:
        if first > 1 and not counter.rounds:
            report(
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
        report(counter, "duplicate_round", draft.start, message, "Renumber it, or take out the one that is not meant.")
    elif first > before + 1:
        gone = f"{kind} {before + 1} is" if first == before + 2 else f"{kind}s {before + 1} to {first - 1} are"
        report(
            counter,
            "missing_round",
            draft.start,
            f"After {kind} {before} comes {kind} {first}: {gone} missing.",
            "Look for it in the pattern, or renumber.",
        )


def too_large(counter: PieceCounter, draft: RoundDraft) -> None:
    """A round with more stitches than can be meant."""
    report(
        counter,
        "too_large",
        draft.body,
        f"{name_of(draft)} has more stitches than can be meant.",
        "Look for a number with too many digits.",
    )


def too_long_a_range(counter: PieceCounter, draft: RoundDraft, times: int) -> None:
    """A range that stands for more rounds than are listed one by one."""
    report(
        counter,
        "too_large",
        draft.start,
        f"{name_of(draft)} stands for {times} rounds that all differ.",
        "Look for a number with too many digits.",
    )


def miscounted(counter: PieceCounter, draft: RoundDraft, stands_for: int, count: int | None) -> None:
    """A label that stands for other than so many rounds as the words beside it say, which may be none at all."""
    rounds = "1 round" if stands_for == 1 else f"{stands_for} rounds"
    beside = f"{count} rounds are printed beside it" if count else "what is printed beside it ends at another round"
    report(
        counter,
        "rounds_miscounted",
        draft.start,
        f"{name_of(draft)} stands for {rounds}, but {beside}.",
        "Correct one of the two.",
    )


def unknown_reference(counter: PieceCounter, draft: RoundDraft, worked: Worked) -> None:
    """A round or piece is referred to that is not there."""
    assert worked.as_round is not None
    back = worked.as_round.back
    what = worked.as_round.name or f"round {worked.as_round.first}"
    if back:
        what = "the round before it" if back == 1 else f"the {back} rounds before it"
    report(
        counter,
        "unknown_reference",
        draft.body,
        f"{name_of(draft)} refers to {what}, which is not found above.",
        "Check the name or the number, or write the round out.",
    )


# --- reading ---


def readable(counter: PieceCounter, entry: Counted) -> None:
    """Words that were not turned into stitches."""
    draft, stretch, worked = entry.draft, entry.stretch, entry.worked
    for node in worked.unread:
        words = counter.source.text[stretch.start + node.start : stretch.start + node.end]
        report(
            counter,
            "unreadable",
            stretch.start + node.start,
            f"{name_of(draft)}: “{short(words)}” could not be turned into stitches.",
            "It is read aloud as written. Check it by eye, or write it with the usual abbreviations.",
        )

    for node in worked.unknown[:1]:
        if counter.edge_lost or worked.unread:
            break
        words = counter.source.text[stretch.start + node.start : stretch.start + node.end]
        why = "it is not known how many are there"
        hint = "Print the total of this round, or of the one before."
        if worked.astray:
            why = "the stitches before it do not lead to the corner or chain space that it names"
            hint = "Count the stitches up to there, or write the round out."
        elif worked.goes_around:
            why = "it goes around a piece worked in rows, and nothing says how many stitches go into the row ends"
            hint = "Say how many stitches go along each side, or print the total of this round."
            if entry.printed is not None:
                hint = "Say how many stitches go along each side."
        message = f"{name_of(draft)}: how often “{short(words)}” is worked is unknown: {why}."
        report(counter, "edge_unknown", stretch.start + node.start, message, hint)
