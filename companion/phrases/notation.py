"""A spoken round as it is written: "(2 sc, inc) x 6", in the usual abbreviations that any reader of patterns knows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from .line import SHAPES, Act, Chain, Colour, FromHook, Group, Item, Motion, Skip
from .numbers import ordinal_digits

IN_FORCE = "st"
"""The stitch of "did eighteen": that in force, which whoever keeps the round knows."""

_ACTS = {"turn": "turn", "join": "join with sl st", "ring": "magic ring", "fasten off": "fasten off"}
_SPOTS = {"ring": "magic ring", "space": "next ch-sp", "same": "same st", "same-space": "same ch-sp"}


def written(items: Sequence[Item], names: Mapping[str, str] | None = None, in_force: str = "sc") -> str:
    """The items with commas between. `names` are abbreviations by key where they differ from the keys, as in UK terms.

    `in_force` is the key of the stitch that bare numbers are of. Nothing is left to be read in another way: a plain run
    at the end is "sc x 9", since "9 sc" could be the total of what comes before it, and a stitch by itself is "1 sc",
    since "sc" could go all around.
    """
    names = {IN_FORCE: (names or {}).get(in_force, in_force), **(names or {})}
    found = _each(items, names)
    works = [item for item in items if not isinstance(item, Act | Colour)]
    match works:
        case [Motion(count=1, in_one=1, each=False, into="") as only]:
            at = items.index(only)
            found[at] = _motion(only, names, alone=True)
        case [*_, before, Motion(stitch, count) as last] if last == Motion(stitch, count) and last is items[-1]:
            if count > 1 and stitch not in SHAPES and not isinstance(before, FromHook):
                found[-1] = f"{names.get(stitch, stitch)} x {count}"
    return ", ".join(found)


def _each(items: Sequence[Item], names: Mapping[str, str]) -> list[str]:
    found = []
    rest = list(items)
    while rest:
        item, *rest = rest
        if isinstance(item, Motion) and rest and isinstance(rest[0], FromHook):
            item, rest = rest[0], [item, *rest[1:]]  # "six single crochet from the second chain" begins there too
        if isinstance(item, FromHook) and rest and isinstance(rest[0], Motion):
            found.append(_from_hook(item, rest.pop(0), names))  # type: ignore[arg-type]  # just looked at
        elif isinstance(item, Chain) and rest and rest[0] == Act("join") and not found:
            found += [f"ch {item.count}", "join with sl st to form a ring"]
            return found + [text.replace(_SPOTS["ring"], "ring") for text in _each(rest[1:], names)]
        else:
            found.append(_item(item, rest, names))
    return found


def _told(counts: bool | None, following: Sequence[Item], names: Mapping[str, str]) -> str:
    """Whether a starting chain is a stitch, where that was said; it is then one like the first that follows."""
    if counts is None:
        return ""
    if not counts:
        return " (does not count as a st)"
    first = next((motion for item in following for motion in _motions(item)), None)
    return f" (counts as {names.get(first.stitch, first.stitch) if first else 'a st'})"


def _motions(item: Item) -> Iterator[Motion]:
    if isinstance(item, Motion):
        yield item
    elif isinstance(item, Group):
        for inner in item.items:
            yield from _motions(inner)


def _item(item: Item, following: Sequence[Item], names: Mapping[str, str]) -> str:
    match item:
        case Chain():
            return f"ch {item.count}{_told(item.counts, following, names)}"
        case Motion():
            return _motion(item, names)
        case Skip():
            return "sk next st" if item.count == 1 else f"sk next {item.count} sts"
        case FromHook():
            return f"beginning in {ordinal_digits(item.chain)} ch from hook"
        case Act():
            return _ACTS[item.kind]
        case Colour():
            return f"with {item.name}"
        case Group():
            body = f"({', '.join(_each(item.items, names))})"
            if item.times is not None:
                return f"{body} x {item.times}"
            return f"{body} to last {item.left} sts" if item.left else f"{body} around"


def _motion(motion: Motion, names: Mapping[str, str], *, alone: bool = False) -> str:
    name = names.get(motion.stitch, motion.stitch)
    if motion.together > 1:
        name = f"{name}{motion.together}tog" if name.isalnum() else f"{motion.together} {name} together"
    loop = {"both": "", "front": "FLO ", "back": "BLO "}[motion.loop]
    if motion.each:
        spot = f"each st to last {motion.left} sts" if motion.left else "each st around"
        return f"{loop}{_counted(motion.in_one, name)} in {spot}"
    if motion.into in ("ring", "space", "same-space"):
        return f"{loop}{_counted(motion.count, name)} in {_SPOTS[motion.into]}"
    if motion.into == "same":
        return f"{loop}{_counted(motion.in_one, name)} in same st"
    if motion.in_one > 1:
        spot = "next st" if motion.count == 1 else f"each of next {motion.count} sts"
        return f"{loop}{motion.in_one} {name} in {spot}"
    return f"{loop}1 {name}" if alone else f"{loop}{_counted(motion.count, name)}"


def _from_hook(start: FromHook, motion: Motion, names: Mapping[str, str]) -> str:
    name = names.get(motion.stitch, motion.stitch)
    told = _told(start.counts, (motion,), names).replace("(", "(skipped ch ", 1)
    first = f"{name} in {ordinal_digits(start.chain)} ch from hook{told}"
    if motion.each:
        return f"{first}, {name} in each ch across" if told else f"{first} and in each ch across"
    return f"{first}, {name} in next {motion.count - 1} ch" if motion.count > 1 else first


def _counted(count: int, name: str) -> str:
    return name if count == 1 else f"{count} {name}"
