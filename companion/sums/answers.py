"""What the sums answer, as numbers; `words.py` makes sentences of them. Lengths in mm unless a field says otherwise."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from companion.craft.answers import GaugeFor, HowBig
from companion.craft.left import Left
from companion.craft.ruffle import Lie
from companion.craft.spread import Spread
from companion.craft.tables import Hook, YarnWeight
from companion.craft.units import System
from companion.place.where import Where

Way = Literal["high", "wide"]
Why = Literal[
    "no_gauge",
    "no_gauge_or_swatch",
    "unknown_round",
    "assembly",
    "no_such_piece",
    "rows",
    "first_round",
    "part_way",
    "flat",
    "no_stitches",
    "no_usual_gauge",
    "no_eyes",
    "odd_gauge",
    "out_of_reach",
]


@dataclass(frozen=True, slots=True)
class Size:
    """How big a piece comes out, one copy of it."""

    size: HowBig
    units: System


@dataclass(frozen=True, slots=True)
class WhatIf:
    """The size with another hook (`hook_mm`) or another yarn (`yarn`, its name as said).

    `now` is the present size, None where there is no gauge for it; `factor` is after against now.
    """

    size: HowBig
    now: HowBig | None
    factor: float | None
    units: System
    hook_mm: float | None = None
    yarn: str = ""


@dataclass(frozen=True, slots=True)
class WantedSize:
    """The gauge for a wanted size: `said` of `unit` is how high or wide it should be. `rows`: the piece is in rows."""

    found: GaugeFor
    said: int
    unit: Literal["mm", "cm", "inch"]
    way: Way
    rows: bool


@dataclass(frozen=True, slots=True)
class YarnToCome:
    """How much yarn the rest takes. `basis` is what it was worked out from."""

    left: Left
    basis: Literal["swatch", "measured", "pattern", "hook", "yarn"]
    units: System


@dataclass(frozen=True, slots=True)
class Spreading:
    """Increases or decreases spread evenly; `turned` where they keep clear of those of an earlier round."""

    spread: Spread
    turned: bool


@dataclass(frozen=True, slots=True)
class TooMany:
    """So many increases or decreases do not fit; `most` do."""

    kind: Literal["inc", "dec"]
    changes: int
    stitches: int
    most: int


@dataclass(frozen=True, slots=True)
class Lying:
    """How a round lies. `stitch` is the key of the stitch that most of it is worked in."""

    lie: Lie
    where: Where
    stitch: str


@dataclass(frozen=True, slots=True)
class EyeSizes:
    """Eye sizes for a head. `head` is its width from low to high, `usual` the usual eye for these two.

    `least` and `most` still suit it. `named` is what the pattern says of its eyes, "" for nothing.
    """

    head: tuple[float, float]
    usual: tuple[float, float]
    least: float
    most: float
    units: System
    named: str = ""


@dataclass(frozen=True, slots=True)
class HookSize:
    """A row of the table of hooks; `asked_us` where the US label was asked about."""

    hook: Hook
    asked_us: bool = False


@dataclass(frozen=True, slots=True)
class YarnFacts:
    """A row of the table of yarns, by the name that was said."""

    weight: YarnWeight
    said: str


@dataclass(frozen=True, slots=True)
class CannotTell:
    """Why there is no answer. `name` is the piece, the yarn or the rounds that stand in the way."""

    why: Why
    name: str = ""
    rounds: str = ""
