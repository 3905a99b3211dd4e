"""Which gauge a pattern gets: the maker's figures, the pattern's own, or a guess that says it is one."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace

from companion.craft import gauge_text, tables
from companion.craft.gauge import LEAST_HOOK, MOST_HOOK, Gauge, from_figures, from_hook, from_yarn
from companion.craft.kept import kept
from companion.craft.tables import YarnWeight
from companion.errors import MakerError
from companion.pattern.model import Pattern, Work


@kept
def main_stitch(pattern: Pattern) -> str:
    """The stitch most worked in a pattern: what its gauge is taken to be measured in where nobody says."""
    counts: Counter[str] = Counter()
    for piece in pattern.pieces:
        for entry in piece.rounds:
            for step in entry.steps:
                if isinstance(step.instruction, Work) and step.gives:
                    counts[step.instruction.stitch] += step.gives * entry.times * piece.make
    return counts.most_common(1)[0][0] if counts else "sc"


def choose(
    pattern: Pattern,
    *,
    stitches_per_10cm: float | None = None,
    rounds_per_10cm: float | None = None,
    hook: float | None = None,
    yarn: str | None = None,
) -> Gauge | None:
    """The best gauge there is for a pattern: the maker's figures, the pattern's, a guess from hook or yarn, or None.

    `hook` is the maker's hook in mm and `yarn` the name of a yarn weight, where they differ from the pattern's. With
    another hook than the pattern names, its gauge is scaled by the two sizes, which is a guess and says so.
    Raises MakerError for figures that cannot be a gauge, a hook that is none, or a yarn weight that is not known.
    """
    stitch = main_stitch(pattern)
    if stitches_per_10cm is not None or rounds_per_10cm is not None:
        return from_figures(stitches_per_10cm, rounds_per_10cm, stitch)
    _check_hook(hook)
    their_hook, their_yarn = gauge_text.hook_mm(pattern.hook), gauge_text.yarn_weight(pattern)
    weight = _weight(yarn) if yarn is not None else their_yarn
    written = gauge_text.read(pattern.gauge, pattern.terms, stitch) if pattern.gauge else None
    if written is not None and hook is not None and hook != their_hook:
        return scaled_by_hook(written, their_hook, hook) or from_hook(hook, weight)
    # Where the pattern names no yarn, nothing tells that the maker's is another; its gauge is the one to aim at.
    if written is not None and yarn is not None and their_yarn not in (None, weight) and hook is None:
        return scaled_by_yarn(written, their_yarn, weight)
    if written is not None:
        return written
    if (size := hook if hook is not None else their_hook) is not None:
        return from_hook(size, weight)
    return from_yarn(weight) if weight is not None else None


def without_pattern(
    *,
    stitches_per_10cm: float | None = None,
    rounds_per_10cm: float | None = None,
    hook: float | None = None,
    yarn: str | None = None,
) -> Gauge | None:
    """The best gauge there is where no pattern names one: the maker's figures, a guess from hook or yarn, or None.

    Raises MakerError as `choose` does, and for a yarn weight that tells no usual gauge.
    """
    if stitches_per_10cm is not None or rounds_per_10cm is not None:
        return from_figures(stitches_per_10cm, rounds_per_10cm)
    _check_hook(hook)
    weight = _weight(yarn) if yarn is not None else None
    if hook is not None:
        return from_hook(hook, weight)
    if weight is None:
        return None
    if (gauge := from_yarn(weight)) is None:
        raise MakerError(f"There is no usual gauge in single crochet for {weight.name} yarn. Give your hook or gauge.")
    return gauge


def _check_hook(hook: float | None) -> None:
    if hook is not None and not (math.isfinite(hook) and LEAST_HOOK <= hook <= MOST_HOOK):
        raise MakerError(f"{hook:g} mm is not a hook size. Hooks go from 0.6 to 30 mm; see companion table hooks.")


def _weight(name: str) -> YarnWeight:
    weight = tables.yarns().find(name)
    if weight is None:
        raise MakerError(f"I know no yarn weight called “{name}”. See companion table yarns for the names.")
    return weight


def scaled_by_hook(gauge: Gauge, theirs_mm: float | None, mine_mm: float) -> Gauge | None:
    """A gauge for another hook: stitches grow as the hook does, which is a guess. None: theirs unknown."""
    if theirs_mm is None:
        return None
    source = f"{_whose(gauge)} for a {theirs_mm:g} mm hook, scaled to {mine_mm:g} mm, which is a guess"
    spread = tables.practice().size_hook.high - 1
    return replace(gauge.scaled(mine_mm / theirs_mm), basis="hook", source=source, spread=spread)


def scaled_by_yarn(gauge: Gauge, theirs: YarnWeight | None, mine: YarnWeight | None) -> Gauge | None:
    """A gauge for another yarn, by the usual gauges of the two weights; else the usual gauge of `mine`."""
    before, after = (from_yarn(weight) if weight is not None else None for weight in (theirs, mine))
    if before is None or after is None or theirs is None or mine is None:
        return after
    source = f"{_whose(gauge)} for {theirs.name} yarn, scaled to {mine.name} yarn, which is a guess"
    factor = before.stitches_per_10cm / after.stitches_per_10cm
    return replace(gauge.scaled(factor), basis="yarn", source=source, spread=after.spread)


def _whose(gauge: Gauge) -> str:
    return "your own gauge" if gauge.basis == "measured" else "the pattern's gauge"
