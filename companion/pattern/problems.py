"""Every kind of problem the reader can report, and how grave it is. Nothing else makes up kinds of its own."""

from __future__ import annotations

from typing import Final

from companion.pattern.model import Problem, Severity

KINDS: Final[dict[str, tuple[Severity, str]]] = {
    "total_mismatch": ("error", "what a round makes is not the total that is printed"),
    "does_not_fit": ("error", "what a round takes is not what is there to be worked into"),
    "unreadable": ("warning", "words that could not be turned into stitches"),
    "edge_unknown": ("warning", "how many stitches are there to be worked into is not known"),
    "missing_round": ("error", "a number is left out in the numbering of the rounds"),
    "duplicate_round": ("error", "a number is used twice in the numbering of the rounds"),
    "terms_assumed": ("warning", "nothing says whether the terms are US or UK"),
    "terms_mixed": ("error", "US and UK terms are used side by side"),
    "chain_assumed": ("warning", "nothing says whether a starting chain counts as a stitch"),
    "total_missing": ("warning", "a round has no printed total although its neighbours have"),
    "stitches_in_note": ("warning", "stitches stand without a label that could be read; nobody counts them"),
    "rounds_not_written": ("warning", "a sentence stands for rounds that are not written out; nobody counts them"),
    "size_assumed": ("warning", "several sizes are given and none was chosen"),
    "reading_assumed": ("warning", "words with two readings; the one that adds up was taken"),
    "places_suggested": ("warning", "increases or decreases are spread, and their places are not said"),
    "rounds_miscounted": ("error", "the number of rounds in words is not the number in the label"),
    "unknown_reference": ("warning", "a round or piece is referred to that is not there"),
    "picture_only": ("warning", "something is only in a picture or a colour grid"),
    "too_large": ("error", "a number too large to be meant"),
    "nothing_to_work": ("error", "no round or row was found"),
}


def problem(kind: str, line: int, column: int, message: str, hint: str = "") -> Problem:
    """A problem of one of the kinds above, with that kind's severity. KeyError for a kind that is not listed."""
    severity, _ = KINDS[kind]
    return Problem(line=line, column=column, severity=severity, kind=kind, message=message, hint=hint)
