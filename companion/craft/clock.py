"""Spans of time as they are printed, no narrower than they were worked out."""

from __future__ import annotations

import math
from collections.abc import Callable

from companion.craft.yarn import Between

_STEPS = ((20, 1), (90, 5), (600, 15), (math.inf, 60))
"""Up to so many minutes, what a time is rounded to."""


def span(minutes: Between) -> str:
    """ "40 minutes to 1 hour 45 minutes": the low end rounded down, the high end up."""
    low, high = max(1, _rounded(minutes.low, math.floor)), max(1, _rounded(minutes.high, math.ceil))
    if low == high:
        return f"about {_clock(low)}"
    if high < 60:
        return f"{low} to {_clock(high)}"
    return f"{_clock(low)} to {_clock(high)}"


def _rounded(minutes: float, whole: Callable[[float], int]) -> int:
    step = next(step for below, step in _STEPS if minutes < below)
    return whole(minutes / step) * step


def _clock(minutes: int) -> str:
    hours, rest = divmod(minutes, 60)
    parts = [
        f"{count} {unit}{'' if count == 1 else 's'}" for count, unit in ((hours, "hour"), (rest, "minute")) if count
    ]
    return " ".join(parts)
