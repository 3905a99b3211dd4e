"""Labels of rounds and rows: "Rnd 5:", "R5-9:", "Rows 2, 4 and 6", "1st round", "Round one", "Next row".

A label is a regular thing, so it is read with one regular expression; the instructions after it are not, and have a
grammar.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final, Literal

from companion.pattern.lexer import fold

Kind = Literal["round", "row", "step"]

_WORD: Final = r"(?:rnds|rnd|rounds|round|rds|rd|rows|row|r)"
_SPELLED: Final = {w: n for n, w in enumerate(
    ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty"], 1)} | {w: n for n, w in enumerate(
    ["first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth", "eleventh", "twelfth"], 1)}  # fmt: skip
_NAMES: Final = "|".join(_SPELLED)

_LABEL: Final = re.compile(
    rf"""
    (?P<lead>[\s•>#_*|-]*?)
    (?:
        (?P<word>{_WORD})(?![a-z])[.\s]*[#]?(?:no\.?\s*)?
        (?P<numbers>(?:\d{{1,6}}|(?:{_NAMES})\b)
            (?:\s*(?:-|\bto\b|\bthrough\b|\bthru\b|\band\b|&|\+|,(?:\s*(?:and|&))?)\s*(?:{_WORD}(?![a-z])\.?\s*)?\d{{1,6}})*)
      | (?P<ordinal>\d{{1,4}}(?:st|nd|rd|th)|(?:{_NAMES})\b)
        (?:\s*(?:-|\bto\b|\band\b)\s*(?P<until>\d{{1,4}}(?:st|nd|rd|th)))?\s+(?P<oword>{_WORD})\b
      | (?P<step>(?:next|last|final|set-?\s?up|setup|foundation|base|edging|border|inc(?:rease)?|dec(?:rease)?|joining|closing|begin(?:ning)?|trim)
        (?:\s+(?:{_WORD}|chain|ch|ring))?)(?=\s*[:(\[])
    )
    (?P<stars>\**)
    (?P<aside>(?:\s*[(\[][^()\[\]\n]{{0,60}}[)\]])*)
    (?P<stop>\s*(?:\*\*|__)?\s*(?:[:.=)|]|-(?=\s)|-(?=\D))?\s*(?:\*\*|__)?)
    """,
    re.VERBOSE,
)
_RANGE: Final = re.compile(r"\d+|-|to\b|through\b|thru\b")


@dataclass(frozen=True, slots=True)
class Label:
    """A label found at the start of a line. `start`, `end` are offsets in the line; the instructions begin at `body`.

    `numbers` are the rounds it stands for: a pair (first, last) for each stretch, empty for an unnumbered step.
    `aside` is a bracket between number and colon: "(RS)", "[30]".
    """

    text: str
    kind: Kind
    numbers: tuple[tuple[int, int], ...]
    start: int
    end: int
    body: int
    aside: tuple[int, int] | None = None
    aside_total: int | None = None
    next_number: bool = False


def find_label(line: str) -> Label | None:
    """The label a line begins with, or None."""
    folded = fold(line)
    match = _LABEL.match(folded)
    if match is None:
        return None
    word = match["word"] or match["oword"] or ""
    lead = len(match["lead"])
    if match["step"]:
        text = line[lead : match.end("step")]
        kind: Kind = (
            "row" if "row" in text.lower() else "round" if re.search(r"\b(?:rnd|round|rd)", text.lower()) else "step"
        )
        body = match.end("step")
        stop = re.compile(r"\s*[:.]?\s*").match(folded, match.end("aside"))
        aside = match.span("aside") if match["aside"].strip() else None
        return Label(text.strip(), kind, (), lead, body, stop.end() if stop else body, aside)
    kind = "row" if word.startswith("row") else "round"
    end = match.end("numbers") if match["numbers"] else match.end("oword")
    body = match.end()
    aside = match.span("aside") if match["aside"].strip() else None
    if match["ordinal"]:
        first = _value(match["ordinal"])
        last = _value(match["until"]) if match["until"] else first
        return Label(line[lead:end].strip(), kind, ((first, last),), lead, end, body, aside)
    numbers = match["numbers"]
    if word == "r" and not re.match(r"[\s•>#_*-]*r\s?\d", folded):
        return None
    plural = word in ("rnds", "rounds", "rds", "rows")
    stopped = bool(match["stop"].strip()) or bool(match["aside"].strip())
    if not plural and not stopped and not re.fullmatch(r"\d+(?:-\d+)?|[a-z]+", numbers):
        first_number = re.match(r"\d+|[a-z]+", numbers)
        assert first_number is not None
        numbers = first_number.group()
        end = match.start("numbers") + len(numbers)
        after = re.compile(r"\s*[-:.,=]?\s*").match(folded, end)
        body, aside = (after.end() if after else end), None
    stretches = _stretches(numbers)
    if not stretches:
        return None
    if (
        word == "r"
        and not stopped
        and len(line) > body
        and not re.match(r"[\s(\[*]|\d", folded[body - 1 : body] or " ")
    ):
        return None
    if aside and _is_instruction(folded[aside[0] : aside[1]], folded[body:]):
        body, aside = aside[0], None
    return Label(line[lead:end].strip(), kind, stretches, lead, end, body, aside)


def _is_instruction(bracket: str, rest: str) -> bool:
    """ "Rnd 5 (sc, inc) x 6": here the bracket is the instruction and no aside."""
    return bool(re.match(r"\s*(?:x|\d|times|rep|around|in\b|\*|all)", rest)) and not re.fullmatch(
        r"\s*[(\[]\s*(?:rs|ws|\d+)\s*[)\]]\s*", bracket
    )


def _value(text: str) -> int:
    digits = re.match(r"\d+", text)
    return int(digits.group()) if digits else _SPELLED[text]


def _stretches(numbers: str) -> tuple[tuple[int, int], ...]:
    """ "2-4, 6 and 8" -> ((2, 4), (6, 6), (8, 8))."""
    if numbers in _SPELLED:
        return ((_SPELLED[numbers], _SPELLED[numbers]),)
    found: list[tuple[int, int]] = []
    joining = False
    for part in _RANGE.findall(numbers):
        if not part.isdigit():
            joining = True
            continue
        number = int(part)
        if joining and found:
            found[-1] = (found[-1][0], max(number, found[-1][0]))
        else:
            found.append((number, number))
        joining = False
    if len(found) == 2 and found[0][0] == found[0][1] and found[1] == (found[0][0] + 1, found[0][0] + 1):
        return ((found[0][0], found[1][1]),)
    merged: list[tuple[int, int]] = []
    for first, last in found:
        if merged and merged[-1][1] + 1 == first:
            merged[-1] = (merged[-1][0], last)
        else:
            merged.append((first, last))
    return tuple(merged)


_INLINE: Final = re.compile(rf"(?<=[.;)\]>!])\s+(?={_WORD}\.?\s?\d{{1,4}}(?:\s?(?:-|to|and|&)\s?\d{{1,4}})?\s*[:.)=-])")


def inline_labels(line: str, start: int) -> list[tuple[int, Label]]:
    """Further labels on the same line, after a full stop or a closing bracket: (offset, label within the rest)."""
    found: list[tuple[int, Label]] = []
    for match in _INLINE.finditer(fold(line), start):
        label = find_label(line[match.end() :])
        if label is not None and label.numbers:
            found.append((match.end(), label))
    return found
