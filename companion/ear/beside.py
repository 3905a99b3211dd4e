"""What is heard while the companion itself speaks: what is left of its own voice may sound like a short word.

A wrong move is worse than a question. So what would act then must be surer than else and have two words at least, or it
is asked about. What only silences the companion, or answers its question, does no harm and needs no more than ever. And
silence itself is not asked about: whoever says "stop" meanwhile does not want to hear a question.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from companion.ear.decide import Verdict

if TYPE_CHECKING:
    from companion.phrases.book import Book

_SILENCES = frozenset({"stop", "wait", "quiet"})
_SURE = 0.93  # score; set by hand


def surer(verdict: Verdict, book: Book) -> Verdict:
    """The verdict on something that was heard where other speech may be taken for it."""
    if verdict.decision == "ask" and all(command.name in _SILENCES for command in verdict.commands):
        return replace(verdict, decision="act", alternatives=())
    harmless = all(command.name in book.unaddressed for command in verdict.commands)
    if verdict.decision != "act" or harmless:
        return verdict
    if len(verdict.text.split()) > 1 and verdict.score >= _SURE:
        return verdict
    return replace(verdict, decision="ask")
