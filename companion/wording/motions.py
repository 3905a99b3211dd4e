"""One motion of the hook, or a stretch of equal ones, in words: "three single crochet", "one decrease", "chain two".

The count always comes first and a group is always closed, so that no number can be heard as belonging to the wrong
stitch.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from companion.pattern.model import Act, Chain, InOne, Instruction, Repeat, Skip, Terms, Unread, Work
from companion.wording import names
from companion.wording.numbers import cardinal, counted, listed, ordinal, times

Leaf = Work | InOne | Chain | Skip | Act | Unread

BOTH_LAYERS = "both layers"
CHAIN_SPACE = "chain space"
_PLACES = {
    "ring": ("in the ring", "in the ring"),
    CHAIN_SPACE: ("in the chain space", "in the chain space"),
    "row end": ("in the row end", "in the row ends"),
    "marked stitch": ("in the marked stitch", "in the marked stitch"),
    BOTH_LAYERS: ("through both layers", "through both layers"),
}
_SHAPED = {(2, 1): "increase", (1, 2): "decrease"}
_PREPOSITIONS = {"across", "along", "around", "between", "from", "in", "into", "on", "over", "through", "to", "under"}
_ARTICLES = {"a", "an", "all", "any", "both", "each", "every", "the"}


def stitch_kinds(instructions: Iterable[Instruction]) -> frozenset[str]:
    """The kinds of stitches worked, chains and slip stitches aside.

    Where there is only one, its increases and decreases need not be told apart by name.
    """
    kinds: set[str] = set()
    for item in instructions:
        if isinstance(item, Work) and item.stitch != "sl st":
            kinds.add(item.stitch)
        elif isinstance(item, Repeat | InOne):
            kinds |= stitch_kinds(item.body)
    return frozenset(kinds)


class Motions:
    """Says single instructions in one set of terms. `speak` makes written words speakable."""

    def __init__(self, terms: Terms, speak: Callable[[str], str]) -> None:
        self._terms = terms
        self._speak = speak

    def say(
        self,
        leaf: Leaf,
        count: int | None = None,
        *,
        kinds: frozenset[str] = frozenset(),
        loops: bool = True,
        place: str = "",
    ) -> str:
        """The instruction in words, without capital or full stop.

        `count` stands in for the instruction's own count where only a part of it is meant. `kinds` are the kinds of
        stitches of its round: an increase in a round of one kind is called just that. `loops` False leaves "in the
        back loop only" out, where it was said for the whole round. `place` stands in for where it goes, where the round
        tells more than the instruction: "in a magic ring", "in the second chain from the hook".
        """
        match leaf:
            case Work():
                return self._work(leaf, leaf.count if count is None else count, kinds, loops, place)
            case InOne():
                return self._in_one(leaf, leaf.count if count is None else count, kinds)
            case Chain():
                return self._chain(leaf)
            case Skip():
                return (
                    f"{names.skip(self._terms)} {counted(leaf.count if count is None else count, 'stitch', 'stitches')}"
                )
            case Act():
                return self.act(leaf)
            case Unread():
                return f"the pattern says, and I cannot work it out: {self._speak(leaf.text)}"

    def noun(self, work: Work, kinds: frozenset[str] = frozenset()) -> str:
        """One such motion as a thing, without a count: "increase", "single crochet"."""
        shape = (work.in_one, work.together)
        if shape in _SHAPED and self._is_base(work, kinds):
            return f"invisible {_SHAPED[shape]}" if work.invisible else _SHAPED[shape]
        return names.spoken(work.stitch, self._terms)[0]

    def _work(self, work: Work, count: int, kinds: frozenset[str], loops: bool, place: str) -> str:
        if work.into == BOTH_LAYERS:  # one stitch of each layer for one stitch made
            work = replace(work, together=max(1, work.together // 2))
        one, many = names.spoken(work.stitch, self._terms)
        shape = (work.in_one, work.together)
        where = f" {place}" if place else self._where(work, count)
        loop = f" in the {work.loop} {'loop' if count == 1 else 'loops'} only" if loops and work.loop != "both" else ""
        kind = names.kind(work.stitch)
        if work.into == CHAIN_SPACE and not work.same and work.together == 1:
            return f"{counted(work.in_one, one, many)} {_each(count, 'chain space')}{loop}"
        if shape == (1, 1) or kind == "spread":
            return counted(count, one, many) + self._size(work, count) + loop + where
        if kind == "gathered" and work.in_one == 1:
            each = ", each" if count > 1 else ""
            return f"{counted(count, one, many)}{each} over {cardinal(work.together)} stitches{where}"
        if shape in _SHAPED and self._is_base(work, kinds) and not where:
            return counted(count, self.noun(work, kinds)) + loop
        if work.together == 1:
            target = where or f" {_each(count, 'stitch', 'stitches')}"
            often = f"{times(count)} " if where and count > 1 else ""
            return f"{often}{counted(work.in_one, one, many)}{target}{loop}"
        joined = f"{one} {cardinal(work.together)} together"
        if work.in_one > 1:
            joined = f"{counted(work.in_one, one, many)} into {cardinal(work.together)} stitches together"
        if work.invisible:
            joined = f"invisible {joined}"
        return (f"{times(count)} " if count > 1 else "") + joined + loop + where

    @staticmethod
    def _size(work: Work, count: int) -> str:
        """How many stitches a shell has; nothing for a stitch that is always the same."""
        if work.stitch != "shell" or work.in_one == 1:
            return ""
        return f"{', each' if count > 1 else ''} of {cardinal(work.in_one)} stitches"

    @staticmethod
    def _is_base(work: Work, kinds: frozenset[str]) -> bool:
        return kinds <= {work.stitch} if kinds else work.stitch == "sc"

    def _where(self, item: Work | InOne, count: int) -> str:
        if item.same:
            return " in the same space" if item.into == CHAIN_SPACE else " in the same stitch"
        if isinstance(item, InOne) and item.from_hook:
            return f" in the {ordinal(item.from_hook)} chain from the hook"
        if item.into is None:
            return ""
        if item.into in _PLACES:
            return " " + _PLACES[item.into][count > 1]
        words = self._speak(item.into)
        first = words.split(" ")[0].lower()
        if first in _PREPOSITIONS:
            return f" {words}"
        return f" into {words}" if first in _ARTICLES else f" into the {words}"

    def _in_one(self, group: InOne, count: int, kinds: frozenset[str]) -> str:
        parts = listed([self.say(part, kinds=kinds) for part in group.body if not isinstance(part, Repeat)])
        where = self._where(group, count).strip()
        if group.into == CHAIN_SPACE and not group.same:
            where = _each(count, "chain space")
        elif not where:
            where = _each(count, "stitch", "stitches")
        elif count > 1:
            where = f"{times(count)} {where}"
        return f"{where}, {parts}, all in that place"

    @staticmethod
    def _chain(chain: Chain) -> str:
        length = f"chain {cardinal(chain.count)}"
        if chain.role == "picot":
            return f"a picot of {counted(chain.count, 'chain')}"
        if chain.role == "start":
            return f"{length}, which {'counts as a stitch' if chain.counts else 'does not count as a stitch'}"
        return length

    def act(self, act: Act) -> str:
        """Something done that makes no stitch, without capital or full stop."""
        text = self._speak(act.text) if act.text else ""
        match act.kind:
            case "ring":
                return "make a magic ring"
            case "join":
                bare = text.lower() in ("", "join", "join with slip stitch", "slip stitch to join")
                return "join with a slip stitch" if bare else text
            case "turn":
                return "turn"
            case "colour":
                return f"change to {text}"
            case "marker":
                return text or "place the marker"
            case "close":
                return text or "gather the last loops and pull them tight"
            case "fasten_off":
                return "fasten off" if text.lower() in ("", "fo", "f.o", "f/o") else text
            case "leave":
                return text or "leave the remaining stitches unworked"
            case "note":
                return f"the pattern says: {text}"


def _each(count: int, one: str, many: str | None = None) -> str:
    """ "in the next stitch", "in each of the next three stitches"."""
    return f"in the next {one}" if count == 1 else f"in each of the next {counted(count, one, many)}"
