"""A spoken round as it is written: "(2 sc, inc) x 6", in the usual abbreviations that any reader of patterns knows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from .line import Act, Chain, Colour, FromHook, Group, Item, Motion, Skip
from .numbers import ordinal_digits

IN_FORCE = "st"
"""The stitch of "did eighteen": that in force, which whoever keeps the round knows."""

_ACTS = {"turn": "turn", "join": "join with sl st", "ring": "magic ring", "fasten off": "fasten off"}
_SPOTS = {"ring": "magic ring", "space": "next ch-sp", "same": "same st"}


def written(items: Sequence[Item], names: Mapping[str, str] | None = None, in_force: str = "sc") -> str:
    """The items with commas between. `names` are abbreviations by key where they differ from the keys, as in UK terms.

    `in_force` is the key of the stitch that bare numbers are of.
    """
    names = names or {}
    return ", ".join(_each(items, {IN_FORCE: names.get(in_force, in_force), **names}))


def _each(items: Sequence[Item], names: Mapping[str, str]) -> list[str]:
    found = []
    rest = list(items)
    while rest:
        item, *rest = rest
        if isinstance(item, Motion) and rest and isinstance(rest[0], FromHook):
            item, rest = rest[0], [item, *rest[1:]]  # "six single crochet from the second chain" begins there too
        if isinstance(item, FromHook) and rest and isinstance(rest[0], Motion):
            found.append(_from_hook(item, rest.pop(0), names))  # type: ignore[arg-type]  # just looked at
        else:
            found.append(_item(item, names))
    return found


def _item(item: Item, names: Mapping[str, str]) -> str:
    match item:
        case Motion():
            return _motion(item, names)
        case Chain():
            return f"ch {item.count}"
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


def _motion(motion: Motion, names: Mapping[str, str]) -> str:
    name = names.get(motion.stitch, motion.stitch)
    if motion.together > 1:
        name = f"{name}{motion.together}tog" if name.isalnum() else f"{motion.together} {name} together"
    loop = {"both": "", "front": "FLO ", "back": "BLO "}[motion.loop]
    if motion.each:
        spot = f"each st to last {motion.left} sts" if motion.left else "each st around"
        return f"{loop}{_counted(motion.in_one, name)} in {spot}"
    if motion.into in ("ring", "space"):
        return f"{loop}{_counted(motion.count, name)} in {_SPOTS[motion.into]}"
    if motion.into == "same":
        return f"{loop}{_counted(motion.in_one, name)} in same st"
    if motion.in_one > 1:
        spot = "next st" if motion.count == 1 else f"each of next {motion.count} sts"
        return f"{loop}{motion.in_one} {name} in {spot}"
    return f"{loop}{_counted(motion.count, name)}"


def _from_hook(start: FromHook, motion: Motion, names: Mapping[str, str]) -> str:
    name = names.get(motion.stitch, motion.stitch)
    first = f"{name} in {ordinal_digits(start.chain)} ch from hook"
    if motion.each:
        return f"{first} and in each ch across"
    return f"{first}, {name} in next {motion.count - 1} ch" if motion.count > 1 else first


def _counted(count: int, name: str) -> str:
    return name if count == 1 else f"{count} {name}"
