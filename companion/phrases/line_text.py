"""Lines of stitches as text and back: the form in which they stand in a command's slot, and so in a journal.

Elements have commas between them, what belongs to one element has semicolons, and where the words can be read in
several ways the readings have bars between them, the likeliest first. "Single crochet two, increase, six times" is
"2 sc, 1 inc, times 6"; "two single crochet in the next stitch" is "1 sc; in one 2".
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from .line import Act, Chain, Closing, Element, FromHook, Motion, Skip, Then


def write(readings: Iterable[Sequence[Element]]) -> str:
    """The text of one or more readings."""
    return " | ".join(", ".join(map(_written, elements)) for elements in readings)


def read(text: str) -> tuple[tuple[Element, ...], ...]:
    """The readings of a text made by `write`. Raises ValueError for any other text."""
    return tuple(tuple(map(_read, reading.split(", "))) for reading in text.split(" | "))


def _written(element: Element) -> str:
    match element:
        case Motion():
            parts = [f"{element.count} {element.stitch}"]
            parts += [f"in one {element.in_one}"] if element.in_one > 1 else []
            parts += [f"together {element.together}"] if element.together > 1 else []
            parts += ["each"] if element.each else []
            parts += [f"left {element.left}"] if element.left else []
            parts += [f"into {element.into}"] if element.into else []
            parts += [f"loop {element.loop}"] if element.loop != "both" else []
            return "; ".join(parts)
        case Chain():
            return f"chain {element.count}"
        case Skip():
            return f"skip {element.count}"
        case FromHook():
            return f"from hook {element.chain}"
        case Act():
            return f"act {element.kind}"
        case Then():
            return "then"
        case Closing():
            parts = ["around"] if element.times is None else [f"times {element.times}"]
            parts += [f"left {element.left}"] if element.left else []
            parts += ["all"] if element.all_of_it else []
            return "; ".join(parts)


def _read(text: str) -> Element:
    first, *others = text.split("; ")
    said = {name: value for name, _, value in (other.rpartition(" ") for other in others) if name}
    flags = {other for other in others if " " not in other}
    name, _, value = first.rpartition(" ")
    head, _, tail = first.partition(" ")
    if head.isdigit():
        return Motion(
            tail,
            int(head),
            in_one=int(said.get("in one", 1)),
            together=int(said.get("together", 1)),
            each="each" in flags,
            left=int(said.get("left", 0)),
            into=said.get("into", ""),  # type: ignore[arg-type]  # as it was written
            loop=said.get("loop", "both"),  # type: ignore[arg-type]
        )
    if first == "then":
        return Then()
    if head == "act":
        return Act(tail)  # type: ignore[arg-type]
    if first == "around" or name == "times":
        times = None if first == "around" else int(value)
        return Closing(times, int(said.get("left", 0)), "all" in flags)
    kinds: dict[str, Callable[[int], Element]] = {"chain": Chain, "skip": Skip, "from hook": FromHook}
    if name not in kinds:
        raise ValueError(f"not an element of a line: {text!r}")
    return kinds[name](int(value))
