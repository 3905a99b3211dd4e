"""The tables of the trade, read from the data files beside this module and checked when they are read.

Every value names its source; a source is a key of the file's own `sources`. Adding a hook or a yarn is adding a line.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import TypeVar

import yaml
from pydantic import BaseModel, ConfigDict, Field, model_validator

_HERE = Path(__file__).parent
_Table = TypeVar("_Table", bound="Sourced")

Range = tuple[float | None, float | None]
"""A low and a high end; None where the standard leaves that end open."""


class _Strict(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Sourced(_Strict):
    """A table whose values name their sources."""

    sources: dict[str, str]
    notes: tuple[str, ...] = ()

    def named(self) -> Iterable[str]:
        """Every source key that a value names."""
        raise NotImplementedError

    @model_validator(mode="after")
    def _sources_are_there(self) -> Sourced:
        named = set(self.named())
        if missing := named - set(self.sources):
            raise ValueError(f"no such source: {', '.join(sorted(missing))}")
        if unused := set(self.sources) - named - {"names", "cautions"}:
            raise ValueError(f"source named by no value: {', '.join(sorted(unused))}")
        return self


class Hook(_Strict):
    """A hook: `mm` is the diameter of its shaft; `us` and the old `uk` label, None where there is none."""

    mm: float = Field(gt=0)
    us: str | None = None
    us_source: str
    uk: str | None = None
    uk_source: str | None = None

    @model_validator(mode="after")
    def _uk_has_a_source(self) -> Hook:
        if (self.uk is None) != (self.uk_source is None):
            raise ValueError(f"hook of {self.mm} mm: a UK number and its source go together")
        return self


class SteelHooks(_Strict):
    """Steel hooks for thread: millimetres and US number, largest first. One number has several sizes."""

    source: str
    sizes: tuple[tuple[float, str], ...]


class HookTable(Sourced):
    """Hooks by size, smallest first."""

    hooks: tuple[Hook, ...]
    steel: SteelHooks

    def named(self) -> Iterable[str]:
        """Every source key that a value names."""
        uk = (hook.uk_source for hook in self.hooks if hook.uk_source)
        return [*(hook.us_source for hook in self.hooks), *uk, self.steel.source]

    def nearest(self, mm: float) -> Hook:
        """The hook whose size is closest to `mm` (the smaller of two as close)."""
        return min(self.hooks, key=lambda hook: (abs(hook.mm - mm), hook.mm))

    def labelled(self, label: str) -> Hook | None:
        """The hook with this US label: whole ("G-6"), or its letter or number where only one hook has it."""
        wanted = label.strip().upper()
        exact = [hook for hook in self.hooks if hook.us and hook.us.upper() == wanted]
        parts = [hook for hook in self.hooks if hook.us and wanted in hook.us.upper().replace("/", "-").split("-")]
        found = exact or parts
        return found[0] if len(found) == 1 else None


class YarnWeight(_Strict):
    """A yarn weight. `gauge` is stitches over 4 inches (101.6 mm) in `gauge_stitch`; `hook_mm` the hook for it."""

    number: int
    name: str
    also: tuple[str, ...]
    gauge: Range
    gauge_stitch: str
    hook_mm: Range
    gauge_source: str
    metres_per_100g: Range
    length_source: str


class YarnTable(Sourced):
    """Yarn weights by number, finest first."""

    weights: tuple[YarnWeight, ...]

    def named(self) -> Iterable[str]:
        """Every source key that a value names."""
        return [source for weight in self.weights for source in (weight.gauge_source, weight.length_source)]

    def find(self, words: str) -> YarnWeight | None:
        """The weight that `words` name: "DK weight", "25 g of grey cotton, sport", "4". The longest name wins."""
        text = re.sub(r"(\d)ply\b", r"\1 ply", " ".join(words.lower().replace("-", " ").split()))
        if text.isdigit():
            return next((weight for weight in self.weights if weight.number == int(text)), None)
        names = sorted(
            ((name, weight) for weight in self.weights for name in (weight.name, *weight.also)),
            key=lambda pair: -len(pair[0]),
        )
        padded = "".join(letter if letter.isalnum() else " " for letter in f" {text} ")
        # "light" and "fine" are also plain words ("light grey"), so they must stand as a weight; trade names need not.
        for name, weight in names:
            plain = name in {"light", "fine", "medium", "craft", "rug", "thread", "baby"}
            if (plain and (text == name or f" {name} weight " in padded)) or (not plain and f" {name} " in padded):
                return weight
        return None


class EyeTable(Sourced):
    """Safety eyes. `head_widths_an_eye` is the width of the head divided by the width of one eye."""

    class Ratio(_Strict):
        """How many eyes wide a head is, for large, usual and small eyes."""

        large: float
        usual: float
        small: float

    cautions: tuple[str, ...]
    source: str
    head_widths_an_eye: Ratio
    sizes_mm: tuple[float, ...]

    def named(self) -> Iterable[str]:
        """Every source key that a value names."""
        return [self.source]

    def heads(self, eye_mm: float) -> tuple[float, float, float]:
        """Head widths in mm on which an eye of `eye_mm` looks large, usual and small."""
        ratio = self.head_widths_an_eye
        return eye_mm * ratio.large, eye_mm * ratio.usual, eye_mm * ratio.small

    def for_head(self, head_mm: float) -> tuple[float, ...]:
        """The sizes sold that suit a head `head_mm` wide, smallest first; empty where none does."""
        ratio = self.head_widths_an_eye
        return tuple(size for size in self.sizes_mm if head_mm / ratio.small <= size <= head_mm / ratio.large)


class Height(_Strict):
    """A plain stitch as tall as `chains` chains: its height against a single crochet, and the loops it draws."""

    chains: int = Field(ge=0)
    height: float = Field(gt=0)
    loops: int = Field(gt=0)
    height_source: str
    loops_source: str


class HeightTable(Sourced):
    """Plain stitches by height, lowest first."""

    heights: tuple[Height, ...]

    def named(self) -> Iterable[str]:
        """Every source key that a value names."""
        return [source for row in self.heights for source in (row.height_source, row.loops_source)]

    def at(self, chains: int) -> Height:
        """The row for that many chains; the tallest one for anything taller."""
        return next((row for row in self.heights if row.chains == chains), self.heights[-1])


class Figure(_Strict):
    """A figure that depends on a hand: a low end, a usual value, a high end."""

    low: float = Field(gt=0)
    usual: float = Field(gt=0)
    high: float = Field(gt=0)
    source: str

    @model_validator(mode="after")
    def _in_order(self) -> Figure:
        if not self.low <= self.usual <= self.high:
            raise ValueError("low, usual and high must come in that order")
        return self


class Practice(Sourced):
    """Figures of common practice, by name."""

    class Figures(_Strict):
        """What each one measures stands in `practice.yaml`."""

        yarn_in_stitch_widths: Figure
        yarn_against_swatch: Figure
        ends_metres: Figure
        long_tail_metres: Figure
        stitches_per_minute: Figure
        stuffing_grams_per_litre: Figure
        size_measured: Figure
        size_pattern: Figure
        size_hook: Figure
        size_yarn: Figure

    figures: Figures

    def named(self) -> Iterable[str]:
        """Every source key that a value names."""
        return [getattr(self.figures, name).source for name in type(self.figures).model_fields]


def _load(name: str, kind: type[_Table]) -> _Table:
    return kind.model_validate(yaml.safe_load((_HERE / name).read_text(encoding="utf-8")))


@cache
def hooks() -> HookTable:
    """Hook sizes: Craft Yarn Council for millimetres and US labels."""
    return _load("hooks.yaml", HookTable)


@cache
def yarns() -> YarnTable:
    """Yarn weights: Craft Yarn Council for gauge and hook."""
    return _load("yarns.yaml", YarnTable)


@cache
def eyes() -> EyeTable:
    """Safety eyes against head width: common practice."""
    return _load("eyes.yaml", EyeTable)


@cache
def heights() -> HeightTable:
    """Heights and loops of plain stitches against a single crochet."""
    return _load("heights.yaml", HeightTable)


@cache
def practice() -> Practice.Figures:
    """Figures of common practice, each with its range."""
    return _load("practice.yaml", Practice).figures
