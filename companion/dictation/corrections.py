""" "No, five, not six": the number or stitch that is meant in what was said before."""

from __future__ import annotations

from dataclasses import dataclass, replace

from companion.dictation.result import Result, Slots, refused
from companion.phrases import line_text
from companion.phrases.line import Chain, Closing, Element, FromHook, Motion, Skip

Value = int | str


@dataclass(frozen=True, slots=True)
class Corrected:
    """The slots as they should have been."""

    slots: Slots


def corrected(name: str, said: Slots, change: Slots) -> Corrected | Result:
    """The slots of the command `name` with one value changed, or why it is not clear which one.

    `change` has "new" and mostly "old". Without "old" it must be the only number that was said.
    """
    new, old = change["new"], change.get("old")
    lines = line_text.read(str(said["line"])) if "line" in said else ()
    others = {key: value for key, value in said.items() if key != "line" and _meant(value, old, new)}
    readings = [(reading, [at for at, item in enumerate(reading) if _fields(item, old, new)]) for reading in lines]
    counts = {sum(len(_fields(reading[at], old, new)) for at in places) for reading, places in readings}
    most = max(counts, default=0) + len(others)
    if most == 0:
        return refused("not_said", **({"old": old} if old is not None else {"old": new}))
    if most > 1:
        return refused("said_twice" if old is not None else "which_number", old=old if old is not None else new)
    slots = {key: (new if key in others else value) for key, value in said.items()}
    changed = [_changed(reading, old, new) for reading, places in readings if places]
    if changed:
        slots["line"] = line_text.write(changed)
    return Corrected(slots)


def _meant(value: Value, old: Value | None, new: Value) -> bool:
    """True for the value that was named, or any number above one where none was; one is seldom said."""
    if old is not None:
        return value == old
    return isinstance(value, int) and isinstance(new, int) and value > 1


def _fields(item: Element, old: Value | None, new: Value) -> list[str]:
    """The fields of an element that may be meant."""
    match item:
        case Motion() if isinstance(new, str):
            return ["stitch"] if item.stitch == old else []
        case Motion():
            # A count of one goes with any other number of the same motion and was not said then.
            names = ["in_one", "together", "left"]
            names += ["count"] if item.count > 1 or not any(getattr(item, name) > 1 for name in names) else []
        case Chain() | Skip():
            names = ["count"]
        case FromHook():
            names = ["chain"]
        case Closing():
            names = ["times", "left"]
        case _:
            names = []
    return [name for name in names if _meant(getattr(item, name), old, new) and getattr(item, name) != 0]


def _changed(reading: tuple[Element, ...], old: Value | None, new: Value) -> list[Element]:
    items: list[Element] = []
    for item in reading:
        fields = dict.fromkeys(_fields(item, old, new), new)
        items.append(replace(item, **fields) if fields else item)  # type: ignore[arg-type]
    return items
