"""Labels of rounds and rows: "Rnd 5:", "R5-9:", "Rows 2, 4 and 6", "1st round", "Round one", "Next row".

A label is a regular thing, so it is read with one regular expression; the instructions after it are not, and have a
grammar.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Final, Literal

from companion.pattern.lexer import fold

Kind = Literal["round", "row", "step"]

_WORD: Final = r"(?:rnds|rnd|rounds|round|rds|rd|rows|row|r)"
_PLURAL: Final = frozenset({"rnds", "rounds", "rds", "rows"})
_NUMBERS: Final = (
    "one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen "
    "eighteen nineteen twenty"
)
_PLACES: Final = "first second third fourth fifth sixth seventh eighth ninth tenth eleventh twelfth"
_SPELLED: Final = {
    **{word: n for n, word in enumerate(_NUMBERS.split(), 1)},
    **{word: n for n, word in enumerate(_PLACES.split(), 1)},
}
_NAMES: Final = "|".join(_SPELLED)
_STEPS: Final = (
    r"next|last|final|set-?\s?up|foundation|base|edging|border|trim|brim|cuff|rib|ribbing|band|hem|collar|neckband|ruffle|"
    r"increase|inc|decrease|dec|joining|closing|beginning|begin"
)

_STOPPED: Final = rf"edging|border|trim|foundation(?:\s+chain)?|set-?\s?up|(?:next|last|final)(?=\s+{_WORD}\b)"
"""Those that a full stop may end, "Border. Sc evenly around": "inc." and "rib." are abbreviations."""

_DOTTED: Final = rf"\d{{1,4}}[.)](?=(?:\s*-\s*\d{{1,4}}[.)])?\s+{_WORD}\s*:)"
"""The number before its word, "2. Rnd:", "4.-5. Rnd:"; an entry of a list, "2. Round eyes", has no colon there."""

_OWN_WORDS: Final = (  # a name before "row:" or "row 1:"; "At end of", "After last" and "Now work" are none
    r"(?:(?!(?:at|after|before|end|each|every|this|that|these|previous|from|until|in|on|note|for|of|to|per|same|join|turn|"
    r"marker|repeat|rep|work|all|other|even|odd|your|a|an|if|when|with|now|then|next|last|and|ws|rs)\b)"
    r"[a-z][a-z'-]*\s+){1,3}"
)
_NAMED: Final = rf"{_OWN_WORDS}(?:rnd|round|row)\b"
_SECTION: Final = re.compile(rf"[\s•>#_*|-]*?(?P<name>{_OWN_WORDS})(?={_WORD}(?![a-z])[.\s]*\d)")
_NO_SECTION: Final = re.compile(r"(?:foundation|set-?\s?up|increase|inc|decrease|dec|pattern|first|final|plain)\b")

_EVERY: Final = (
    r"(?:(?:following|foll|remaining|subsequent|the|of)\s+)*"
    r"(?P<which>even|odd|other|alternate|alt|ws|rs|wrong[\s-]side|right[\s-]side)\b"
    rf"(?:[\s-]*numbered|\s+(?:following|foll))*\s+{_WORD}\b"
)

_LABEL: Final = re.compile(
    rf"""
    (?P<lead>[\s•>#_*|-]*?)
    (?:
        (?P<word>{_WORD})(?![a-z])[.\s]*[#]?(?:no\.?\s*)?
        (?P<numbers>(?:\d{{1,6}}|(?:{_NAMES})\b)
            (?:\s*(?:-|\bto\b|\bthrough\b|\bthru\b|\band\b|&|\+|,(?:\s*(?:and|&))?)
               \s*(?:{_WORD}(?![a-z])\.?\s*)?(?:\d{{1,6}}|(?:{_NAMES})\b))*)
      | (?P<ordinal>\d{{1,4}}(?:st|nd|rd|th)|(?:{_NAMES})\b|{_DOTTED})
        (?:\s*(?:-|\bto\b|\band\b)\s*(?P<until>\d{{1,4}}(?:st|nd|rd|th)|{_DOTTED}))?\s+(?P<oword>{_WORD})\b
      | (?P<alone>(?:(?:on|work|for)\s+)?(?:(?:all|every|each)\s+)?(?:the\s+)?(?P<parity>even|odd)
            (?:[\s-]*numbered)?\s+{_WORD}\b)
        (?=\s*[:=(\[-])
      | (?P<step>(?:next\s+(?P<several>\d{{1,3}}|(?:{_NAMES})\b)\s+{_WORD}\b
        |(?:{_STEPS})(?:\s+(?:{_WORD}|chain|ch|ring))?)(?=\s*[:(\[])
        |{_NAMED}(?=\s*:)
        |(?:{_STOPPED})(?:\s+{_WORD})?(?=\.\s+\S))
    )
    (?P<emphasis>[*_]*)
    (?P<aside>(?:\s*[(\[][^()\[\]\n]{{0,60}}[)\]])*)
    (?P<every>(?:\s*[,(\[])?\s*(?:and|&|\+)\s+(?:all|every|each)\s+{_EVERY}[)\]]?)?
    (?P<stop>\s*(?:\*\*|__)?\s*(?:[:.=)|]|-(?=\s)|-(?=\D))?\s*(?:\*\*|__)?)
    """,
    re.VERBOSE,
)
_SPELLED_NUMBER: Final = re.compile(rf"\b(?:{_NAMES})\b")
_RANGE_AND_DASH: Final = re.compile(rf"(\d+\s*(?:-|to\b)\s*(?:{_WORD}\.?\s*)?\d+)\s*-\s*\d")
_PART: Final = re.compile(r"\d+|-|to\b|through\b|thru\b")
_AFTER: Final = re.compile(r"\s*[-:.,=]?\s*")
_FURTHER: Final = re.compile(r"\s*-\s*(?P<last>\d{1,4})\s+(?=\S)")
_SIDES: Final = re.compile(r"\s*[(\[]\s*(?:rs|ws|right side|wrong side)\s*[)\]]\s*")
_ASIDE_TOTAL: Final = re.compile(r"[(\[]\s*(\d{1,5})\s*(?:sts?|stitch(?:es)?|sc|dc|hdc|htr|tr)?\s*[)\]]")
_ASIDE_ROUNDS: Final = re.compile(rf"[(\[]\s*(\d{{1,5}})\s*{_WORD}\s*[)\]]")


@dataclass(frozen=True, slots=True)
class Label:
    """A label found at the start of a line. `start`, `end` are offsets in the line; the instructions begin at `body`.

    `numbers` are the rounds it stands for, a pair (first, last) for each stretch, empty for an unnumbered step.
    `aside` is a bracket between number and colon, "(RS)", with the total or the number of rounds it may give.
    `next_number` is true for "Next round", which goes on with the numbering without saying the number; `several` is
    the 3 of "Next 3 rounds". `every` is 0 for "and all even rows", 1 for "and all odd rows", None where none is said;
    "and all WS rows" are those that are even, or odd, as the row that is named. "Even rounds" alone has no numbers.
    `section` is the "Ribbing" of "Ribbing Rnd 1", whose numbers are its own.
    """

    text: str
    kind: Kind
    numbers: tuple[tuple[int, int], ...]
    start: int
    end: int
    body: int
    aside: str = ""
    aside_total: int | None = None
    aside_rounds: int | None = None
    next_number: bool = False
    several: int = 1
    every: int | None = None
    section: str = ""


def find_label(line: str) -> Label | None:
    """The label a line begins with, or None."""
    folded = fold(line)
    match = _LABEL.match(folded)
    if match is None:
        return _in_a_section(line, folded)
    label = (
        _step(match, line)
        if match["step"]
        else _ordinal(match, line)
        if match["ordinal"]
        else _every_other(match, line)
        if match["alone"]
        else _numbered(match, line, folded)
    )
    beside = re.search(_EVERY, match["aside"])
    which = match["which"] or (beside["which"] if beside else None)
    if label is not None and label.numbers and which:
        end = match.end("every" if match["which"] else "aside")
        parity = {"even": 0, "odd": 1}.get(which, label.numbers[0][0] % 2)
        label = replace(label, text=line[label.start : end].strip(), end=end, every=parity)
    if label is None or not match["aside"].strip():
        return label
    aside = match["aside"]
    if not match["stop"].strip() and not _SIDES.fullmatch(aside):
        bracket = len(aside) - len(aside.lstrip())
        return replace(
            label, body=match.start("aside") + bracket
        )  # "Rnd 5 (sc, inc) x 6": the bracket is the instruction
    total, rounds = _ASIDE_TOTAL.search(aside), _ASIDE_ROUNDS.search(aside)
    return replace(
        label,
        aside=line[match.start("aside") : match.end("aside")].strip(),
        aside_total=int(total[1]) if total else None,
        aside_rounds=int(rounds[1]) if rounds else None,
    )


def up_to_the_next(label: Label, line: str, following: Label | None) -> Label:
    """ "R5 - 8 sc x 15" is round 5 with eight single crochet or, where round 9 comes next, rounds 5 to 8."""
    if following is None or not following.numbers or len(label.numbers) != 1 or label.kind == "step":
        return label
    (first, last), further = label.numbers[0], _FURTHER.match(fold(line), label.end)
    if further is None or first != last or not first < int(further["last"]) == following.numbers[0][0] - 1:
        return label
    end = further.end("last")
    numbers = ((first, int(further["last"])),)
    return replace(label, text=line[label.start : end].strip(), numbers=numbers, end=end, body=further.end())


def _in_a_section(line: str, folded: str) -> Label | None:
    """ "Ribbing Rnd 1:", "Left front rows 2-5:"; "Increase rnd 4:" is called so and has no numbers of its own."""
    match = _SECTION.match(folded)
    numbered = find_label(line[match.end() :]) if match is not None else None
    if match is None or numbered is None or not numbered.numbers or numbered.section:
        return None
    start, before = match.start("name"), match.end()
    if ":" not in line[before + numbered.end : before + numbered.body]:
        return None
    name = "" if _NO_SECTION.match(match["name"]) else line[start:before].strip()
    end, body = before + numbered.end, before + numbered.body
    return replace(numbered, text=line[start:end].strip(), start=start, end=end, body=body, section=name)


def _step(match: re.Match[str], line: str) -> Label:
    text = line[match.start("step") : match.end("step")].strip()
    lower = text.lower()
    kind: Kind = "row" if "row" in lower else "round" if re.search(r"\b(?:rnd|round|rd)s?\b", lower) else "step"
    stop = _AFTER.match(fold(line), match.end("aside"))
    body = stop.end() if stop else match.end()
    goes_on = kind != "step" and lower.startswith(("next", "last", "final"))
    several = max(1, _value(match["several"])) if match["several"] else 1
    return Label(text, kind, (), match.start("step"), match.end("step"), body, next_number=goes_on, several=several)


def _ordinal(match: re.Match[str], line: str) -> Label:
    first = _value(match["ordinal"])
    last = max(first, _value(match["until"])) if match["until"] else first
    kind: Kind = "row" if match["oword"].startswith("row") else "round"
    start, end = match.start("ordinal"), match.end("oword")
    return Label(line[start:end], kind, ((first, last),), start, end, match.end())


def _every_other(match: re.Match[str], line: str) -> Label:
    """ "Even rounds:", "All odd-numbered rows:"."""
    start, end = match.span("alone")
    kind: Kind = "row" if "row" in match["alone"] else "round"
    return Label(line[start:end], kind, (), start, end, match.end(), every=int(match["parity"] == "odd"))


def _numbered(match: re.Match[str], line: str, folded: str) -> Label | None:
    word, numbers = match["word"], match["numbers"]
    start, end, body = match.start("word"), match.end("numbers"), match.end()
    if word == "r" and not re.match(r"r[.\s]?\s?\d", folded[start:]):
        return None
    two_dashes = _RANGE_AND_DASH.match(numbers)
    if two_dashes is not None:  # "Rounds 4-6 - 18 sc"
        numbers = two_dashes[1]
        end = match.start("numbers") + len(numbers)
        after = _AFTER.match(folded, end)
        body = after.end() if after else end
    stopped = bool(match["stop"].strip()) or bool(match["aside"].strip())
    if (
        word not in _PLURAL
        and not stopped
        and two_dashes is None
        and not re.fullmatch(rf"\d+(?:-(?:{_WORD}\.?\s?)?\d+)?|[a-z]+", numbers)
    ):
        # "Rnd 5 - 6 sc in ring": one number, and the instructions after the dash
        one = re.match(r"\d+|[a-z]+", numbers)
        assert one is not None
        numbers = one.group()
        end = match.start("numbers") + len(numbers)
        after = _AFTER.match(folded, end)
        body = after.end() if after else end
    found = stretches(numbers)
    if not found:
        return None
    return Label(line[start:end].strip(), "row" if word.startswith("row") else "round", found, start, end, body)


def _value(text: str) -> int:
    digits = re.match(r"\d+", text)
    return int(digits.group()) if digits else _SPELLED[text]


def stretches(numbers: str) -> tuple[tuple[int, int], ...]:
    """ "2-4, 6 and 8" -> ((2, 4), (6, 6), (8, 8)); neighbours, "5 and 6", are one stretch."""
    numbers = _SPELLED_NUMBER.sub(lambda match: str(_SPELLED[match[0]]), numbers)
    found: list[tuple[int, int]] = []
    joining = False
    for part in _PART.findall(numbers):
        if not part.isdigit():
            joining = True
            continue
        number = int(part)
        if joining and found:
            found[-1] = (found[-1][0], max(number, found[-1][0]))
        elif found and found[-1][1] + 1 == number:
            found[-1] = (found[-1][0], number)
        else:
            found.append((number, number))
        joining = False
    return tuple(found)


_INLINE: Final = re.compile(rf"(?<=[.;)\]>!])\s+(?={_WORD}\.?\s?\d{{1,4}}(?:\s?(?:-|to|and|&)\s?\d{{1,4}})?\s*[:.)=-])")


_AFTER_TOTAL: Final = re.compile(
    r"[(\[<]\s?\d{1,5}[a-z ]{0,40}[)\]>]"
    rf"\s+(?={_WORD}\.?\s?\d{{1,4}}(?:\s?(?:-|to|and|&)\s?\d{{1,4}})?\s+[\d(\[*a-z])"
)


def inline_labels(line: str, start: int) -> list[tuple[int, Label]]:
    """Further labels on the same line, after a full stop or a closing bracket: (offset, label within the rest).

    After a total in brackets the label needs no colon.
    """
    folded = fold(line)
    offsets = {match.end() for pattern in (_INLINE, _AFTER_TOTAL) for match in pattern.finditer(folded, start)}
    found: list[tuple[int, Label]] = []
    for offset in sorted(offsets):
        label = find_label(line[offset : offset + 200])
        if label is not None and label.numbers and not label.section:
            found.append((offset, label))
    return found
