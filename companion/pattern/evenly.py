"""Increases and decreases spread evenly over a stretch of stitches: the gaps between them, and the stitches laid out.

The rule is the exact integer one: the plain stitches go into as many gaps as there are changes, and no gap is longer
than another by more than one.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from companion.pattern.model import Instruction, Repeat, Work


def even_gaps(plain: int, changes: int) -> tuple[int, ...]:
    """The plain stitches before each of `changes` changes, in the order they are worked. Both are 0 or more."""
    # Every gap but the fractions it owes: the integer rule that spaces a leap year.
    return tuple((index + 1) * plain // changes - index * plain // changes for index in range(changes))


def laid_evenly(plain: Work, change: Work, gaps: Sequence[int], tail: int = 0) -> tuple[Instruction, ...]:
    """One change after each gap of plain stitches, `tail` plain ones at the end; equal stretches are repeats.

    `plain` and `change` are one motion each.
    """
    parts: list[Instruction] = []
    for gap, same in groupby(gaps):
        times = len(list(same))
        body = (*_so_many(plain, gap), change)
        parts += body if times == 1 else (Repeat(times, body),)
    return (*parts, *_so_many(plain, tail))


def _so_many(plain: Work, count: int) -> tuple[Work, ...]:
    return (Work(plain.stitch, count, 1, plain.together, plain.loop, into=plain.into, at=plain.at),) if count else ()
