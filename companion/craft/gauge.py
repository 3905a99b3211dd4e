"""Gauge: how wide a stitch is and how tall a round, and how far to trust it.

It comes, best first, from the maker's own swatch, from the pattern's words, from the hook, from the yarn. All but the
first are somebody else's hand or a guess, and say so through `basis` and `spread`. Which one a pattern gets is decided
in `choose.py`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from companion.craft import stitches, tables
from companion.errors import MakerError

Basis = Literal["measured", "pattern", "hook", "yarn"]

_LEAST, _MOST = 1, 200
"""Stitches or rounds over 10 cm that a gauge can have."""
_ODD = 4
"""So many times flatter or taller than usual a stitch cannot be, whichever stitch was measured."""
LEAST_HOOK, MOST_HOOK = 0.4, 40
"""Sizes in mm that a hook can have; the table goes from 0.6 to 30."""

SIX_A_ROUND = 6 / (2 * math.pi)
"""Height of a single crochet against its width, from the flat round of common practice that gains six a round."""


class OddGaugeError(MakerError):
    """Stitches and rounds over 10 cm that no fabric has together."""


@dataclass(frozen=True, slots=True)
class Gauge:
    """Stitches and rounds over 10 cm, measured in `stitch` (a key of the stitch table).

    `spread` is how far a size worked out from it may be off either way, as a share (0.05 is five per cent).
    `source` says in words where it comes from.
    """

    stitches_per_10cm: float
    rounds_per_10cm: float
    basis: Basis
    source: str
    spread: float
    stitch: str = "sc"

    @property
    def stitch_mm(self) -> float:
        """Width of one stitch in millimetres."""
        return 100 / self.stitches_per_10cm

    @property
    def round_mm(self) -> float:
        """Height of one round of `stitch` in millimetres."""
        return 100 / self.rounds_per_10cm

    def height_mm(self, height: float) -> float:
        """Height in millimetres of a round whose stitches stand `height` times a single crochet."""
        return self.round_mm * height / stitches.height(self.stitch)

    def told(self, by: str) -> str:
        """ "from your own gauge" where `by` is "from"; a guess stands for itself: "a guess from a 4 mm hook"."""
        return self.source if self.source.startswith("a guess") else f"{by} {self.source}"

    @property
    def can_be_worked(self) -> bool:
        """Whether anybody works so many, or so few, stitches and rounds over 10 cm."""
        return all(_LEAST <= figure <= _MOST for figure in (self.stitches_per_10cm, self.rounds_per_10cm))

    def scaled(self, factor: float) -> Gauge:
        """The same fabric `factor` times as large each way."""
        return replace(
            self,
            stitches_per_10cm=self.stitches_per_10cm / factor,
            rounds_per_10cm=self.rounds_per_10cm / factor,
        )


def from_figures(stitches_per_10cm: float | None, rounds_per_10cm: float | None, stitch: str = "sc") -> Gauge:
    """The maker's own gauge. Where one figure is missing it is taken from the other by `SIX_A_ROUND`, and says so.

    Raises MakerError where a figure cannot be a gauge, OddGaugeError where the two do not go together.
    """
    for figure, what in ((stitches_per_10cm, "stitches"), (rounds_per_10cm, "rounds")):
        if figure is not None and not (math.isfinite(figure) and _LEAST <= figure <= _MOST):
            raise MakerError(f"{figure:g} {what} over 10 cm cannot be a gauge. Count them over 10 cm and try again.")
    high = stitches.height(stitch)
    spread = tables.practice().size_measured.high - 1
    if stitches_per_10cm is not None and rounds_per_10cm is not None:
        if not 1 / _ODD <= stitches_per_10cm / rounds_per_10cm / SIX_A_ROUND / high <= _ODD:
            raise OddGaugeError(
                f"{stitches_per_10cm:g} stitches and {rounds_per_10cm:g} rounds over 10 cm cannot be one gauge. "
                "Count both over 10 cm and try again."
            )
        return Gauge(stitches_per_10cm, rounds_per_10cm, "measured", "your own gauge", spread, stitch)
    wider = tables.practice().size_pattern.high - 1
    if stitches_per_10cm is not None:
        source = "your own stitches over 10 cm; the rounds are taken from them as usual for this stitch"
        rounds = stitches_per_10cm / SIX_A_ROUND / high
        return Gauge(stitches_per_10cm, rounds, "measured", source, wider, stitch)
    if rounds_per_10cm is not None:
        source = "your own rounds over 10 cm; the stitches are taken from them as usual for this stitch"
        return Gauge(rounds_per_10cm * SIX_A_ROUND * high, rounds_per_10cm, "measured", source, wider, stitch)
    raise MakerError("A gauge needs the stitches or the rounds over 10 cm. Count one of them and say it.")


def width_per_hook() -> float:
    """Width of a single crochet against the hook it is worked with: about 1.4.

    Worked out from the Craft Yarn Council's table: the middle of each gauge range against the middle of its hooks, for
    the weights measured in single crochet with both ranges closed, but super bulky, whose yarn fills the stitch.
    """
    ratios = []
    for weight in tables.yarns().weights:
        (low, high), (thin, thick) = weight.gauge, weight.hook_mm
        if weight.gauge_stitch == "sc" and weight.number <= 5 and low and high and thin and thick:
            ratios.append(101.6 / ((low + high) / 2) / ((thin + thick) / 2))
    return sum(ratios) / len(ratios)


def from_hook(hook_mm: float, yarn: tables.YarnWeight | None = None) -> Gauge:
    """A guess from the hook: the width of a stitch by `width_per_hook`, its height by `SIX_A_ROUND`.

    `yarn` widens nothing but the words: a hook outside the Council's range for it is named.
    """
    per_10cm = 100 / (hook_mm * width_per_hook())
    source = f"a guess from a {hook_mm:g} mm hook"
    if yarn is not None:
        low, high = yarn.hook_mm
        source += f" and {yarn.name} yarn"
        if low is not None and hook_mm < low:
            source += ", a smaller hook than is usual for it, as toys are worked"
        elif high is not None and hook_mm > high:
            source += ", a larger hook than is usual for it"
    return Gauge(per_10cm, per_10cm / SIX_A_ROUND, "hook", source, tables.practice().size_hook.high - 1)


def from_yarn(yarn: tables.YarnWeight) -> Gauge | None:
    """A guess from the yarn weight alone: the middle of the Council's gauge. None for one that has no plain range."""
    low, high = yarn.gauge
    if low is None or high is None or yarn.gauge_stitch != "sc":
        return None
    per_10cm = (low + high) / 2 * 100 / 101.6
    source = f"a guess from {yarn.name} yarn, at the hook its label names"
    return Gauge(per_10cm, per_10cm / SIX_A_ROUND, "yarn", source, tables.practice().size_yarn.high - 1)
