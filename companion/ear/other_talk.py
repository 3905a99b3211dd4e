"""What is heard just after other talk: somebody who talks with others mostly goes on talking with them.

So what would act then must be as surely heard as beside the companion's own voice, or it is asked about; and free words
that are not sure are let pass ("No, not today" is no note). With an attention word none of this is needed.
"""

from __future__ import annotations

from collections import deque
from dataclasses import replace
from typing import TYPE_CHECKING

from companion.ear.beside import surer
from companion.ear.voice import FRAME_SECONDS

if TYPE_CHECKING:
    from companion.ear.decide import Verdict
    from companion.phrases.book import Book

_GOES_ON_FOR = round(3.0 / FRAME_SECONDS)  # frames after other talk in which more of it is likely
_SHORTEST = round(1.0 / FRAME_SECONDS)  # frames; what is shorter may have been a command that was not made out
_KEPT = 4  # endings; more do not fit into that time


class OtherTalk:
    """Remembers where other talk ended lately. One for each stream of sound."""

    def __init__(self) -> None:
        self._ended: deque[int] = deque(maxlen=_KEPT)

    def weigh(self, verdict: Verdict, book: Book, began: int, ended: int) -> Verdict:
        """The verdict on an utterance that began and ended at these frames, as it counts after what came before."""
        if verdict.decision == "ignore":
            if ended - began >= _SHORTEST:
                self._ended.append(ended)
            return verdict
        # What ended after this one began is its own first part, which could not be made out without the rest.
        if book.attention or not any(0 <= began - end <= _GOES_ON_FOR for end in self._ended):
            return verdict
        if verdict.decision == "ask" and any(meaning.reading.has_tail for meaning in verdict.alternatives[:1]):
            return replace(verdict, decision="ignore", alternatives=())
        return surer(verdict, book) if verdict.decision == "act" else verdict
