"""Is it going to ruffle or cup: the growth of a round against what a flat one needs.

A flat round grows by 2 pi times the height of a stitch over its width (plain geometry): about six in single crochet.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from companion.craft import stitches
from companion.craft.gauge import SIX_A_ROUND, Basis, Gauge
from companion.craft.size import LITTLE

Lies = Literal["cups", "flat", "ruffles"]


@dataclass(frozen=True, slots=True)
class Lie:
    """How a round lies. `growth` is what it gained over the round before, `flat` what a flat one would gain.

    `lies` is "flat" within a tenth of that, which handling smooths out; below it "cups", above it "ruffles".
    `by` is whose gauge the flat figure is worked out from, None for that of common practice.
    """

    before: int
    after: int
    growth: int
    flat: float
    lies: Lies
    by: Basis | None


def flat_growth(gauge: Gauge | None = None, stitch: str = "sc") -> float:
    """Stitches that a flat round gains: 2 pi h / w, of the gauge or else of common practice (6 in single crochet)."""
    tall = stitches.height(stitch)
    ratio = SIX_A_ROUND * tall if gauge is None else gauge.height_mm(tall) / gauge.stitch_mm
    return 2 * math.pi * ratio


def lie(before: int, after: int, gauge: Gauge | None = None, stitch: str = "sc") -> Lie:
    """How a round of `after` stitches lies over one of `before` (0 for a ring)."""
    flat = flat_growth(gauge, stitch)
    growth = after - before
    lies: Lies = "cups" if growth < flat * (2 - LITTLE) else "ruffles" if growth > flat * LITTLE else "flat"
    return Lie(before, after, growth, flat, lies, gauge.basis if gauge else None)
