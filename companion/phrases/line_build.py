"""From the values a sentence of stitch language gives, in the order they are said, to the elements of its line."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from .line import SHAPES, Act, Chain, Closing, Element, FromHook, Motion, Skip, Then

Token = tuple[str, int | str]
"""A slot and its value. What each slot means is told at the head of dictation.yaml."""

_STITCH = ("stitch", "shape", "shapes")
_OF_A_MOTION = frozenset(["after", "as_one", "spot", "over", "spread", "left", "loop"])
_TOGETHER = frozenset([("times", "scope"), ("last", "round"), ("on", "from")])
_OF_THE_LINE = frozenset(["round", "last", "rounds", "total"])


@dataclass(frozen=True, slots=True)
class Line:
    """One reading of a sentence: its elements, and what was said with them (round, last, rounds, total).

    `doubts` are what speaks against it: counts that come now before their stitch and now after it, and every "did one"
    before a bare "increase", which is rather one increase. The reading with the fewest is believed.
    """

    elements: tuple[Element, ...]
    slots: dict[str, int | str]
    doubts: int


def build(tokens: Iterable[Token]) -> Line | None:
    """The line of these tokens; None where they make no sense together."""
    tokens = list(tokens)
    if any(map(_one_number, pairwise(tokens))):
        return None
    elements: list[Element] = []
    slots: dict[str, int | str] = {}
    sides = set()
    line_loop: int | str = "both"
    for part in _parts(tokens):
        (slot, value), *_ = part.items()
        if slot in _OF_THE_LINE:
            slots |= part
        elif slot == "loop":
            line_loop = value
        elif slot == "plain":
            elements.append(Motion("st", _number(part, slot)))
        elif any(name in part for name in _STITCH):
            motion = _motion({"loop": line_loop, **part})
            if motion is None:
                return None
            elements.append(motion)
            sides |= {side for side in ("before", "after") if _number(part, side) > 1}
        else:
            elements.append(_other(part))
            if "on" in part:
                before = next((item for item in reversed(elements) if isinstance(item, Motion)), None)
                if before is None:
                    return None
                elements.append(Motion(before.stitch, each=True))
    if not all(map(_follows, pairwise(elements))):
        return None
    return Line(tuple(elements), slots, int(len(sides) > 1) + sum(map(_one_motion, pairwise(elements))))


def _one_motion(pair: tuple[Element, Element]) -> bool:
    """True for "did one" and "increase", which is rather one increase."""
    first, second = pair
    return first == Motion("st") and isinstance(second, Motion) and second.stitch in SHAPES and second.count == 1


def _one_number(pair: tuple[Token, Token]) -> bool:
    """True if one number was taken for two: "increase twenty", "two times"; "three", "hundred times"."""
    (_, first), (_, second) = pair
    if not (isinstance(first, int) and isinstance(second, int)):
        return False
    tens = first % 10 == 0 and first % 100 >= 20 and second < 10
    hundreds = (first % 100 == 0 and second < 100) or (first < 10 and second >= 100)
    return tens or hundreds


def _follows(pair: tuple[Element, Element]) -> bool:
    """True if the second can be meant to follow the first."""
    match pair:
        case Then(), Closing():
            return False
        case Motion(each=True), Closing(times=None):  # "in each stitch around" says it once
            return False
        case Motion(stitch="st"), Motion(
            count=1, in_one=1, each=False, into=""
        ) as two:  # "did eighteen single crochet"
            return two.stitch in SHAPES
    return True


def _parts(tokens: Iterable[Token]) -> Iterator[dict[str, int | str]]:
    """The tokens of one element after the other."""
    part: dict[str, int | str] = {}
    for slot, value in tokens:
        if part and not _belongs(slot, part):
            yield part
            part = {}
        part[slot] = value
    if part:
        yield part


def _belongs(slot: str, part: dict[str, int | str]) -> bool:
    """True if the slot tells more of the same element."""
    if slot in _STITCH:
        return part.keys() <= {"before", "together"}
    if slot in _OF_A_MOTION:
        return any(name in part for name in _STITCH)
    return (slot, *part) in _TOGETHER


def _number(part: dict[str, int | str], slot: str, otherwise: int = 0) -> int:
    value = part.get(slot, otherwise)
    return value if isinstance(value, int) else otherwise


def _motion(part: dict[str, int | str]) -> Motion | None:
    """The motion, None where its numbers contradict each other: "three ... in the next two stitches"."""
    count = _number(part, "before") or _number(part, "after")
    made = Motion(
        next(str(part[name]) for name in _STITCH if name in part),
        together=_number(part, "together") or _number(part, "as_one", 1),
        loop=part["loop"],  # type: ignore[arg-type]  # the template file has front and back
    )
    spot = part.get("spot")
    if over := _number(part, "over"):
        return replace(made, count=over) if count in (0, over) else None
    if spread := _number(part, "spread"):
        return replace(made, count=spread, in_one=count or 1)
    if spot == "each" or "left" in part:
        return replace(made, each=True, left=_number(part, "left"), in_one=count or 1)
    if spot in ("next", "same"):
        return replace(made, in_one=count or 1, into="same" if spot == "same" else "")
    return replace(made, count=count or 1, into=str(spot or ""))  # type: ignore[arg-type]  # ring or a space


def _other(part: dict[str, int | str]) -> Element:
    (slot, value), *_ = part.items()
    match slot:
        case "chain":
            return Chain(_number(part, slot))
        case "skip":
            return Skip(_number(part, slot))
        case "from":
            return FromHook(_number(part, slot))
        case "act":
            return Act(str(value))  # type: ignore[arg-type]  # the template file has no others
        case "then":
            return Then()
        case "until":
            return Closing(None, left=_number(part, slot))
        case "times" | "scope":
            return Closing(_number(part, "times"), all_of_it="scope" in part)
        case _:
            raise ValueError(f"no element of a line: {slot}")
