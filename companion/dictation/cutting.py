"""A stretch of work cut in two: after so many stitches, wherever in a run or a repeat they are reached."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from companion.phrases.line import Act, Group, Item, Motion, Skip

Items = tuple[Item, ...]
Reach = Callable[[Items], int]
"""How a stretch compares with what is wanted: below 0 too short, 0 just right, above 0 too long."""


def cut(items: Items, reach: Reach) -> tuple[Items, Items] | None:
    """The stretch up to where it is just right, and what comes after; None where it never is.

    Runs and repeats are taken apart where the cut falls inside them. What is worked without going on, such as another
    stitch into the same place, stays with the first part.
    """
    done: Items = ()
    rest = list(items)
    while rest:
        item = rest.pop(0)
        compared = reach((*done, item))
        if compared > 0:
            halves = _halves(item)
            if not halves:
                return None
            rest = [*halves, *rest]
            continue
        done = (*done, item)
        if compared == 0:
            while rest and isinstance(rest[0], Motion | Act) and reach((*done, rest[0])) == 0:
                done = (*done, rest.pop(0))
            return together(done), together(rest)
    return None


def _halves(item: Item) -> Items:
    """The same in smaller parts; none where it has none."""
    match item:
        case Motion(count=count, each=False) | Skip(count) if count > 1:
            return replace(item, count=count // 2), replace(item, count=count - count // 2)
        case Group(inner, 1):
            return inner
        case Group(_, int(times)):
            return replace(item, times=times // 2), replace(item, times=times - times // 2)
    return ()


def together(items: Iterable[Item]) -> Items:
    """The same with the parts of a run, or of a repeat, put together again."""
    found: list[Item] = []
    for item in items:
        match (found[-1] if found else None), item:
            case (Motion(each=False) as last, Motion(each=False)) if last == replace(item, count=last.count):
                found[-1] = replace(last, count=last.count + item.count)
            case (Group(inner, int(times)) as last, Group(same, int(more))) if inner == same:
                found[-1] = replace(last, times=times + more)
            case _:
                found.append(item)
    opened: list[Item] = []
    for item in found:
        opened += item.items if isinstance(item, Group) and item.times == 1 else [item]
    return tuple(opened)
