"""What the sums are worked out from beside the pattern: the maker's own gauge, hook, yarn, swatch, ball and units.

They come from the options of the command line, as for `companion estimate`, and from what the maker told while working
("my gauge is twenty stitches", "I changed to a 3 mm hook"), which comes later and so counts more.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from companion.craft import gauge_text, tables
from companion.craft.choose import choose, main_stitch, scaled_by_hook, scaled_by_yarn
from companion.craft.gauge import Gauge, from_figures, from_hook, from_yarn
from companion.craft.tables import YarnWeight
from companion.craft.units import System
from companion.craft.yarn import Ball, Swatch
from companion.pattern.model import Pattern
from companion.place.progress import Progress
from companion.wording.numbers import decimal, quantity


@dataclass(frozen=True, slots=True)
class Measures:
    """Stitches and rounds over 10 cm, the hook in mm, the name of a yarn weight, swatch, ball; None where not given."""

    stitches_per_10cm: float | None = None
    rounds_per_10cm: float | None = None
    hook: float | None = None
    yarn: str | None = None
    swatch: Swatch | None = None
    ball: Ball | None = None
    units: System = "metric"


def hook_said(text: str) -> float | None:
    """The size in mm of a hook as it was written or said: "3.5 mm", "three and a half millimetres"; None if unclear."""
    if written := gauge_text.hook_mm(text):
        return written
    words = re.sub(r"\b(millimet(re|er)s?|mm|hook)\b", " ", text.lower().replace("-", " "))
    return _spoken_sizes().get(" ".join(words.split()))


@cache
def _spoken_sizes() -> dict[str, float]:
    sizes = [hook.mm for hook in tables.hooks().hooks]
    return {said(f"{mm:g}"): mm for mm in sizes for said in (decimal, quantity)}


NOTHING_MEASURED = Measures()


@dataclass(frozen=True, slots=True)
class Basis:
    """A pattern with all that was measured or told: where every sum begins."""

    pattern: Pattern
    measures: Measures
    progress: Progress

    @property
    def hook(self) -> float | None:
        """The hook in mm that is worked with; None where nobody said."""
        return self._own_hook or gauge_text.hook_mm(self.pattern.hook)

    @property
    def _own_hook(self) -> float | None:
        """The hook in mm that the maker told of; None where it is the pattern's."""
        return hook_said(self.progress.hook) or self.measures.hook

    @property
    def yarn(self) -> YarnWeight | None:
        """The weight of the yarn that is worked with; None where nobody said."""
        if self.measures.yarn is not None:
            return tables.yarns().find(self.measures.yarn)
        return gauge_text.yarn_weight(self.pattern)

    @property
    def swatch(self) -> Swatch | None:
        """How much yarn some stitches took."""
        told = self.progress.measured
        if told.get("swatch_stitches"):
            return Swatch(told["swatch_metres"], told["swatch_stitches"])
        return self.measures.swatch

    @property
    def gauge(self) -> Gauge | None:
        """The best gauge there is: the maker's own, the pattern's, or a guess; None without anything to guess from."""
        told = self.progress.measured
        if told.get("stitches_per_10cm"):
            rounds = told.get("rounds_per_10cm") or None
            return from_figures(told["stitches_per_10cm"], rounds, main_stitch(self.pattern))
        return choose(
            self.pattern,
            stitches_per_10cm=self.measures.stitches_per_10cm,
            rounds_per_10cm=self.measures.rounds_per_10cm,
            hook=self._own_hook,
            yarn=self.measures.yarn,
        )

    def with_hook(self, hook_mm: float) -> Gauge:
        """The gauge with that hook: a guess, where it is another than now."""
        now = self.gauge
        if now is not None and hook_mm == self.hook:
            return now
        if now is None or now.basis not in ("measured", "pattern"):
            return from_hook(hook_mm, self.yarn)
        return scaled_by_hook(now, self.hook, hook_mm) or from_hook(hook_mm, self.yarn)

    def with_yarn(self, yarn: YarnWeight) -> Gauge | None:
        """The gauge with another yarn, which is a guess; None for a weight whose usual gauge is not in the table."""
        now = self.gauge
        if now is None or now.basis not in ("measured", "pattern"):
            return from_yarn(yarn)
        return scaled_by_yarn(now, self.yarn, yarn)
