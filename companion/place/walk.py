"""One round walked motion by motion: what comes at which stitch count, and where its stretches begin and end.

A position in a round is a count of stitches given, nothing else. The motion at count n is the first that is not
finished at n: at count 1 of an increase (which gives two) that is the increase itself, one stitch into it. What gives
no stitch (a skip, a chain, a colour change, a join) is done together with the motion after it; at the end of the round
with the motion before it.

Where the steps and the total disagree, or something could not be read, the steps are trusted only as far as they are
sure, and beyond that nothing is said about single stitches.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Hashable
from dataclasses import dataclass
from itertools import accumulate

from companion.pattern.model import Round, Step, Unread
from companion.place.answers import Grain, Run


@dataclass(frozen=True, slots=True)
class Stretch:
    """Steps `first` to `last` (exclusive) of a round, which make the stitches after `start` up to `end`."""

    start: int
    end: int
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class Walk:
    """The steps of a round with running counts.

    `sure` is the stitch count up to which they are trusted. `colours` are the colours that are named, in turn, each
    with the stitch count at which it begins; two that follow each other differ.
    """

    steps: tuple[Step, ...]
    ends: tuple[int, ...]
    sure: int
    colours: tuple[tuple[int, str], ...] = ()

    def motion_at(self, stitch: int) -> int | None:
        """Index of the motion that is not finished at this stitch count; None at the end or beyond what is sure."""
        if stitch >= self.sure:
            return None
        return bisect_right(self.ends, stitch)

    def start_of(self, motion: int) -> int:
        """The stitch count at which this motion begins."""
        return self.ends[motion - 1] if motion else 0

    def stretches(self, grain: Grain) -> tuple[Stretch, ...]:
        """The round cut into runs ("stitch") or repeats ("repeat"), each with at least one stitch."""
        made: list[Stretch] = []
        keys: list[Hashable] = []
        begin = 0
        for index, step in enumerate(self.steps):
            if not step.gives or self.ends[index] > self.sure:
                continue
            key = step.run if grain == "stitch" else (step.group, step.repeat)
            if made and keys[-1] == key:
                made[-1] = Stretch(made[-1].start, self.ends[index], made[-1].first, index + 1)
            else:
                made.append(Stretch(self.start_of(index), self.ends[index], begin, index + 1))
                keys.append(key)
            begin = index + 1
        return tuple(made)

    def stretch_at(self, stitch: int, grain: Grain) -> Stretch | None:
        """The stretch that holds the next stitch to make; None at the end or beyond what is sure."""
        return next((s for s in self.stretches(grain) if s.start <= stitch < s.end), None)

    def repeat_at(self, stitch: int, full: bool) -> tuple[int | None, int | None]:
        """Repeat of the next stitch to make, and how many there are; of the last repeat when the round is full."""
        if full:
            last = next((s for s in reversed(self.steps) if s.repeat is not None), None) if self.sure else None
            return (last.repeat, last.repeats) if last else (None, None)
        motion = self.motion_at(stitch)
        return (None, None) if motion is None else (self.steps[motion].repeat, self.steps[motion].repeats)

    def run_at(self, stitch: int, *, one: bool = False) -> Run | None:
        """The stretch of equal work ahead of this count, to its end; only its first motion with `one`."""
        motion = self.motion_at(stitch)
        if motion is None:
            return None
        run = self.steps[motion].run
        last = motion + 1
        while not one and last < len(self.steps) and self.steps[last].run == run and self.ends[last] <= self.sure:
            last += 1
        return self._run(motion, last, stitch)

    def runs_between(self, stretch: Stretch) -> tuple[Run, ...]:
        """All runs of a stretch."""
        runs: list[Run] = []
        at = stretch.start
        while at < stretch.end and (run := self.run_at(at)) is not None:
            runs.append(run)
            at = run.last
        return tuple(runs)

    def _run(self, motion: int, last: int, stitch: int) -> Run:
        start = self.start_of(motion)
        before = motion
        while before and not self.steps[before - 1].gives:
            before -= 1
        steps = self.steps[motion:last]
        # Acts within the run (there are none between its first and last motion) stay with the run after it.
        worked = [step for step in steps if step.gives]
        head = self.steps[motion]
        end = self.ends[last - 1]
        return Run(
            instruction=head.instruction,
            motions=len(worked),
            gives=end - stitch,
            takes=sum(step.takes for step in steps),
            first=stitch + 1,
            last=end,
            before=tuple(s.instruction for s in self.steps[before:motion]) if stitch == start else (),
            within=stitch - start,
            repeat=head.repeat,
            repeats=head.repeats,
            colour=head.colour,
        )


NOTHING = Walk((), (), 0)
"""The walk of what has no stitches: an assembly step."""


def walk(entry: Round, *, total: int | None) -> Walk:
    """The walk of a round that is counted to `total` (None where unknown).

    Sure to the end where the steps give exactly the total; else up to the first thing that could not be read; and not
    at all where everything was read and the sums still differ.
    """
    ends = tuple(accumulate(step.gives for step in entry.steps))
    unread = next((i for i, step in enumerate(entry.steps) if isinstance(step.instruction, Unread)), None)
    given = ends[-1] if ends else 0
    if unread is not None:
        sure = ends[unread - 1] if unread else 0
        sure = min(sure, total) if total is not None else sure
    else:
        sure = given if total is None or given == total else 0
    return Walk(entry.steps, ends, sure, _colours(entry, ends))


def _colours(entry: Round, ends: tuple[int, ...]) -> tuple[tuple[int, str], ...]:
    found: list[tuple[int, str]] = []
    for step, end in zip(entry.steps, ends, strict=True):
        if step.gives and step.colour is not None and (not found or found[-1][1] != step.colour):
            found.append((end - step.gives, step.colour))
    return tuple(found)
