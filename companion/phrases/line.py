"""A spoken line of stitches: its elements, and what a closing "six times" in it may cover.

"Single crochet two, increase, six times" is a `Motion`, a `Motion` and a `Closing`. `bracketings` turns the elements of
a round into groups, in every way in which they can be meant.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

SHAPES = ("inc", "dec", "invdec")
"""Increase, decrease and invisible decrease: motions of the stitch in force."""


@dataclass(frozen=True, slots=True)
class Motion:
    """`count` times the same motion of the hook.

    `stitch` is the key of a stitch, or one of `SHAPES`. One motion puts `in_one` stitches into one place or works
    `together` stitches as one; an increase is `in_one` 1 of "inc". `each` means in each stitch around, but for the last
    `left`; `count` is then 1. `into` is "", "ring", "space", "same" (the stitch just used) or "same-space".
    """

    stitch: str
    count: int = 1
    in_one: int = 1
    together: int = 1
    each: bool = False
    left: int = 0
    into: Literal["", "ring", "space", "same", "same-space"] = ""
    loop: Literal["both", "front", "back"] = "both"


@dataclass(frozen=True, slots=True)
class Chain:
    """`count` chain stitches. `counts` tells whether they are a stitch, where that was said of a starting chain."""

    count: int
    counts: bool | None = None


@dataclass(frozen=True, slots=True)
class Skip:
    """`count` stitches left unworked."""

    count: int


@dataclass(frozen=True, slots=True)
class FromHook:
    """What follows begins in that chain from the hook, the second for 2.

    `counts` tells whether the chains before it are a stitch, where that was said.
    """

    chain: int
    counts: bool | None = None


@dataclass(frozen=True, slots=True)
class Act:
    """Something done that makes no stitch: "turn", "join", "ring" or "fasten off"."""

    kind: Literal["turn", "join", "ring", "fasten off"]


@dataclass(frozen=True, slots=True)
class Then:
    """A new stretch of the round begins: "then do"."""


@dataclass(frozen=True, slots=True)
class Closing:
    """What was said before it, so many `times` ("six times"); around where `times` is None, but for the last `left`.

    `all_of_it` where the maker said that the whole round is meant.
    """

    times: int | None
    left: int = 0
    all_of_it: bool = False


Element = Motion | Chain | Skip | FromHook | Act | Then | Closing


@dataclass(frozen=True, slots=True)
class Group:
    """`items` over and over: `times`, or around but for the last `left` stitches where `times` is None."""

    items: tuple[Item, ...]
    times: int | None
    left: int = 0


@dataclass(frozen=True, slots=True)
class Colour:
    """Another colour from here on. No element of a line: a command of its own, which stands among the items."""

    name: str


Item = Motion | Chain | Skip | FromHook | Act | Group | Colour
Way = tuple[tuple[Item, ...], int]
"""What is worked so far, and the place among it at which its last stretch begins."""


def bracketings(elements: Sequence[Element]) -> tuple[tuple[Item, ...], ...]:
    """Every way to read the closings of a round, each as what is worked, the widest cover first.

    A closing covers everything back to the start of the round, or back to the last "then do"; without a "then do" that
    is the same. What an earlier closing covers stays together. Whoever knows the round below takes the way that fits.
    """
    return tuple(dict.fromkeys(items for items, _ in ways(elements)))


def ways(elements: Sequence[Element], begun: Way = ((), 0)) -> tuple[Way, ...]:
    """Every way to go on with these elements from what was worked before them, the widest cover first."""
    found: list[Way] = [begun]
    for element in elements:
        grown: list[Way] = []
        for items, stretch in found:
            match element:
                case Then():
                    grown.append((items, len(items)))
                case Closing():
                    for start in sorted({0} if element.all_of_it else {0, stretch}):
                        if items[start:]:
                            group = Group(items[start:], element.times, element.left)
                            grown.append(((*items[:start], group), start))
                case _:
                    grown.append(((*items, element), stretch))
        found = grown
    return tuple(dict.fromkeys(found))
