"""Remembers what was worked out of a piece or a pattern, so that a question asked again is answered at once."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from functools import wraps
from typing import TypeVar

Of = TypeVar("Of")
Result = TypeVar("Result")

_MOST = 64


def kept(work_out: Callable[[Of], Result]) -> Callable[[Of], Result]:
    """The function, its latest results remembered by the very object they are of.

    By the object and not by what is in it, since comparing thousands of stitches takes as long as working it out. What
    is remembered holds on to its object, so that no other one can be taken for it.
    """
    results: OrderedDict[int, tuple[Of, Result]] = OrderedDict()

    @wraps(work_out)
    def remembered(of: Of) -> Result:
        found = results.get(id(of))
        if found is None:
            found = results[id(of)] = (of, work_out(of))
            if len(results) > _MOST:
                results.popitem(last=False)
        return found[1]

    return remembered
