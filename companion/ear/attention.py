"""Who is spoken to: where the maker has chosen an attention word, what does not begin with it is let pass.

Everything is still heard in full, so that talk is not pressed into the few sentences that begin with the word. It is
only after the judgement that what was not addressed to the companion is ignored. Nothing is ever made of a sentence
that would not have been made of it otherwise.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import takewhile
from typing import TYPE_CHECKING

from companion.ear.decide import Interpretation, Verdict
from companion.ear.voice import FRAME_SECONDS
from companion.phrases.attention import ATTENTION, without_attention
from companion.phrases.normal import plain

if TYPE_CHECKING:
    from companion.phrases.book import Book

LISTENS_FOR = round(6.0 / FRAME_SECONDS)
"""Frames after the word alone in which a sentence may begin without it."""


class Attention:
    """Remembers whether the word was said by itself a moment ago. One for each stream of sound."""

    def __init__(self) -> None:
        self._open_until = -1

    def let_through(self, verdict: Verdict, book: Book, began: int, ended: int) -> Verdict:
        """The verdict on an utterance that began and ended at these frames, as it counts under the book's word.

        What was meant for the companion keeps its decision, without the word among its commands; of the rest only
        commands that need no word are left, and where there are none it is to be ignored. The word alone is acted on:
        it is the command "attention".
        """
        if not book.attention:
            return verdict
        if _begins_with(verdict.text, book.attention):
            return self._addressed(verdict, ended)
        if began <= self._open_until:
            return self._answered(verdict)
        needless = book.unaddressed
        kept = tuple(takewhile(lambda command: command.name in needless, verdict.commands))
        if not kept:
            return replace(verdict, decision="ignore")
        to_choose = [each for each in verdict.alternatives if all(c.name in needless for c in each.commands)]
        return replace(verdict, commands=kept, alternatives=tuple(to_choose))

    def _addressed(self, verdict: Verdict, ended: int) -> Verdict:
        if verdict.commands != (ATTENTION,):
            return self._answered(verdict)
        if verdict.decision != "act":  # "did you say clementine?" would help nobody
            return replace(verdict, decision="ignore")
        self._open_until = ended + LISTENS_FOR
        return verdict

    def _answered(self, verdict: Verdict) -> Verdict:
        if verdict.decision == "act":
            self._open_until = -1
        return replace(
            verdict,
            commands=without_attention(verdict.commands),
            alternatives=_distinct(verdict.alternatives),
        )


def _begins_with(text: str, word: str) -> bool:
    return f"{plain(text)} ".startswith(f"{word} ")


def _distinct(meanings: Iterable[Interpretation]) -> tuple[Interpretation, ...]:
    """The meanings without the word; those that differed in it alone are one."""
    found: dict[object, Interpretation] = {}
    for meaning in meanings:
        commands = without_attention(meaning.commands)
        if commands != (ATTENTION,):
            found.setdefault(commands, replace(meaning, commands=commands))
    return tuple(found.values())
