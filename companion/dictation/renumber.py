"""Notes that name a round, when rounds are split or joined: the number goes with its round, or the note is told.

"Stuff before round five" is renumbered where it is plain which round is meant. Where the round that it names is itself
the one that was changed, or may be another piece's, or is named in another way ("the fifth round"), the note stays as
it is and is told, so that the designer looks at it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from companion.dictation.draft import Draft, DraftPiece
from companion.phrases.numbers import RANGE, ordinal_digits, ordinal_ways, value, ways
from companion.wording.numbers import cardinal

_Edge = Literal["", "begin", "end"]


@dataclass(frozen=True, slots=True)
class Shift:
    """Rounds `first` to `last` of `written` were changed; those after them have numbers that differ by `by`.

    Where `last` is one less than `first`, none was changed, and others were put before `first`.

    `open` where rounds after the last one may be meant as they will be numbered in the end.
    """

    first: int
    last: int
    by: int
    written: int
    open: bool = False

    def of(self, number: int, edge: _Edge = "") -> int | None:
        """The round's number now; None where that cannot be told. `edge` where only its begin or end is meant."""
        if number < self.first or (edge == "begin" and number == self.first <= self.last):
            return number
        if number > self.written + 1:
            return number if self.open else None
        if number > self.last or (number == self.last and edge == "end"):
            return number + self.by
        return None


@dataclass(frozen=True, slots=True)
class Renumbered:
    """The draft with its notes renumbered; the notes that were, and those that have to be looked at."""

    draft: Draft
    changed: tuple[str, ...]
    doubtful: tuple[str, ...]


def renumber(draft: Draft, shift: Shift) -> Renumbered:
    """The draft, in whose present piece rounds were moved, with the notes and steps that name them."""
    changed: list[str] = []
    doubtful: list[str] = []
    *others, present = draft.pieces
    home = present.name.casefold()
    away = [piece.name.casefold() for piece in others]

    def moved(text: str, *, at_home: bool) -> str:
        found = _moved(text, shift)
        if found == text:
            return text
        elsewhere = any(name in text.casefold() for name in away)
        if found is None or elsewhere or not (at_home or home in text.casefold() or not away):
            doubtful.append(text)
            return text
        changed.append(found)
        return found

    rounds = tuple(
        replace(entry, notes=tuple(moved(text, at_home=True) for text in entry.notes)) for entry in present.rounds
    )
    present = replace(present, notes=tuple(moved(text, at_home=True) for text in present.notes), rounds=rounds)
    # Another piece's notes count its own rounds, unless they speak of this piece.
    spoken_of = [text for piece in others for text in _notes(piece) if home in text.casefold()]
    doubtful += [text for text in spoken_of if _moved(text, shift) != text]
    steps = tuple(moved(step, at_home=False) for step in draft.assembly)
    return Renumbered(
        replace(draft, pieces=(*others, present), assembly=steps), tuple(changed), tuple(dict.fromkeys(doubtful))
    )


def _notes(piece: DraftPiece) -> Iterator[str]:
    yield from piece.notes
    for entry in piece.rounds:
        yield from entry.notes


def _either(words: Iterator[str]) -> str:
    return "|".join(sorted({word.replace(" ", "[ -]") for word in words}, key=len, reverse=True))


_NUMBER = rf"(?>\d+|{_either(way for number in RANGE for way in ways(number))})\b"
_ROUND = r"\b(?:rounds?|rnds?|rows?)\.?"
_NAMED = re.compile(
    rf"(?P<before>\b(?:before|after|between)\s+(?:the\s+)?)?{_ROUND}\s*(?:number\s+|no\.\s*)?(?P<one>{_NUMBER})"
    rf"(?:\s*(?:-|–|\b(?:to|through|and)\b)\s*(?:{_ROUND}\s*)?(?P<two>{_NUMBER})(?!\s+(?:sts?|stitch(?:es)?)\b))?"
    rf"(?P<more>(?:\s*(?:,|\band\b|\bor\b)+\s*{_NUMBER}(?!\s+(?:sts?|stitch(?:es)?)\b))*)",
    re.IGNORECASE,
)
_NTH_VALUES = {way: number for number in RANGE for way in (*ordinal_ways(number), ordinal_digits(number))}
_NTH = re.compile(
    rf"\b(?:the|in|of)\s+(?P<nth>{_either(iter(_NTH_VALUES))})\s+(?:(?P<many>{_NUMBER})\s+)?{_ROUND}", re.IGNORECASE
)


def _moved(text: str, shift: Shift) -> str | None:
    """The text with the numbers that its rounds have now; None where that cannot be told."""
    for found in _NTH.finditer(text):
        nth = _NTH_VALUES[found["nth"].lower().replace("-", " ")]
        reached = value(found["many"]) or 1 if found["many"] else nth
        if shift.of(reached) != reached:
            return None
    parts, at = [], 0
    for found in _NAMED.finditer(text):
        replaced = _renamed(found, shift)
        if replaced is None:
            return None
        parts += [text[at : found.start()], replaced]
        at = found.end()
    return "".join([*parts, text[at:]])


def _renamed(found: re.Match[str], shift: Shift) -> str | None:
    edges: dict[str, tuple[_Edge, _Edge]] = {
        "before": ("begin", ""),
        "after": ("end", ""),
        "between": ("end", "begin"),
        "": ("begin", "end"),
    }
    how = (found["before"] or " ").split()
    one, two = edges[how[0].lower() if how else ""]
    if not found["two"] and not how:
        one = ""
    now = {"one": _number(found["one"], one, shift), "two": _number(found["two"] or "", two, shift)}
    more = [value(number) or 0 for number in re.findall(_NUMBER, found["more"], re.IGNORECASE)]
    stays = (now["one"], now["two"]) == (found["one"], found["two"] or "")
    if None in now.values() or (more and not stays) or any(shift.of(number) != number for number in more):
        return None
    if how == ["between"] or how == ["between", "the"]:
        numbers = [value(said or "") or 0 for said in (found["one"], found["two"], now["one"], now["two"])]
        if numbers[1] - numbers[0] != numbers[3] - numbers[2]:
            return None  # what lay between them was changed
    text = found[0]
    for name in ("two", "one"):  # from the end, so that places stay where they are
        if found[name]:
            begin, end = (place - found.start() for place in found.span(name))
            text = f"{text[:begin]}{now[name]}{text[end:]}"
    return text


def _number(said: str, edge: _Edge, shift: Shift) -> str | None:
    """The number as it is now, in figures or in words as it was said."""
    if not said:
        return ""
    number = value(said)
    if number is None:
        return said
    now = shift.of(number, edge)
    if now is None:
        return None
    return said if now == number else str(now) if said.isdigit() else cardinal(now)
