"""The smallest change that would make a round add up. Offered in the hint, never applied."""

from __future__ import annotations

from collections.abc import Sequence

from companion.pattern.model import InOne, Instruction, Repeat, Work
from companion.pattern.steps import gives_of, takes_of
from companion.pattern.worked import Worked


def mending(worked: Worked, printed: int | None) -> str:
    """A sentence with a change that makes the round fit what is there and make what is printed; empty if none is found.

    Tried, smallest first: another number of repeats; one plain stretch of another length.
    """
    there = worked.there
    if there is None or worked.takes is None or worked.gives is None or worked.edge_kind != "stitches":
        return ""
    want = printed
    for item in worked.instructions:
        if isinstance(item, Repeat):
            takes, gives = _measure(item.body)
            rest_takes, rest_gives = worked.takes - takes * item.times, worked.gives - gives * item.times
            if takes and (there - rest_takes) > 0 and (there - rest_takes) % takes == 0:
                times = (there - rest_takes) // takes
                if times != item.times and want in (None, rest_gives + gives * times):
                    return f"{times} repeats instead of {item.times} would fit and make {rest_gives + gives * times}."
    for item in worked.instructions:
        if (hint := _other_length(item, worked, there, want, 1)) is not None:
            return hint
    return ""


def _other_length(item: Instruction, worked: Worked, there: int, want: int | None, times: int) -> str | None:
    """Whether one plain stretch, worked `times` times in the round, could be longer or shorter by a few stitches."""
    if isinstance(item, Repeat):
        for child in item.body:
            if (hint := _other_length(child, worked, there, want, times * item.times)) is not None:
                return hint
        return None
    if not isinstance(item, Work) or item.in_one != 1 or item.together != 1 or not takes_of(item):
        return None
    assert worked.takes is not None
    assert worked.gives is not None
    missing = there - worked.takes
    if missing == 0 or missing % times:
        return None
    count = item.count + missing // times
    if count < 1 or want not in (None, worked.gives + missing):
        return None
    return f"{count} {item.stitch} in place of {item.count} {item.stitch} would fit and make {worked.gives + missing}."


def _measure(items: Sequence[Instruction]) -> tuple[int, int]:
    takes = gives = 0
    for item in items:
        if isinstance(item, Repeat):
            t, g = _measure(item.body)
            takes, gives = takes + t * item.times, gives + g * item.times
        elif isinstance(item, InOne):
            _, g = _measure(item.body)
            takes, gives = takes + takes_of(item) * item.count, gives + g * item.count
        else:
            count = getattr(item, "count", 1) if isinstance(item, Work) or type(item).__name__ == "Skip" else 1
            takes, gives = takes + takes_of(item) * count, gives + gives_of(item) * count
    return takes, gives
