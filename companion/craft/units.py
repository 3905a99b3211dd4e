"""Lengths, weights and volumes in the maker's units, rounded as a person would say them.

Conversions are those of `pint`, which takes the exact definitions (an inch is 25.4 mm, a yard 0.9144 m, an ounce
28.349523125 g: the international yard and pound agreement of 1959). It is loaded only when inches, yards or ounces are
asked for; between metric units it is a shift of the point.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, Literal

from num2words import num2words

from companion.errors import MakerError

if TYPE_CHECKING:
    from pint import UnitRegistry

System = Literal["metric", "imperial"]
Kind = Literal["length", "yarn", "weight", "volume"]
"""What is measured. It is given in millimetres, metres, grams and cubic centimetres."""

_LENGTH = re.compile(r"""(?P<number>\d+(?:\.\d+)?)\s*(?P<unit>[A-Za-z]+\.?|["″”])?""")
_FRACTIONS = {
    Fraction(1, 8): "an eighth",
    Fraction(1, 4): "a quarter",
    Fraction(3, 8): "three eighths",
    Fraction(1, 2): "a half",
    Fraction(5, 8): "five eighths",
    Fraction(3, 4): "three quarters",
    Fraction(7, 8): "seven eighths",
}


@dataclass(frozen=True, slots=True)
class _Unit:
    """A unit: how it is printed, said of one and of many, and the name of what it measures in pint.

    `steps` are what it is rounded to, (below, step) each; above the last of them two figures of the number stand.
    """

    short: str
    one: str
    many: str
    pint: str
    steps: tuple[tuple[int, Fraction], ...]
    imperial: bool = False

    def step(self, value: float) -> Fraction:
        """What a value in this unit is rounded to."""
        found = next((step for below, step in self.steps if value < below), None)
        return found or Fraction(10 ** max(1, math.floor(math.log10(value)) - 1))


_HALVES = ((10, Fraction(1, 2)), (50, Fraction(1)), (200, Fraction(5)))
_QUARTERS = ((2, Fraction(1, 4)), *_HALVES)
_INCHES = ((1, Fraction(1, 8)), (10, Fraction(1, 4)), *_HALVES[1:])
_WHOLE = ((50, Fraction(1)), *_HALVES[2:])
_MM = _Unit("mm", "millimetre", "millimetres", "millimeter", _WHOLE)
_CM = _Unit("cm", "centimetre", "centimetres", "centimeter", _HALVES)
_M = _Unit("m", "metre", "metres", "meter", _QUARTERS)
_G = _Unit("g", "gram", "grams", "gram", _WHOLE)
_KG = _Unit("kg", "kilogram", "kilograms", "kilogram", _QUARTERS)
_CM3 = _Unit("cm³", "cubic centimetre", "cubic centimetres", "centimeter ** 3", _HALVES)
_LITRE = _Unit("l", "litre", "litres", "liter", _QUARTERS)
_IN = _Unit("in", "inch", "inches", "inch", _INCHES, imperial=True)
_FT = _Unit("ft", "foot", "feet", "foot", _HALVES, imperial=True)
_YD = _Unit("yd", "yard", "yards", "yard", _QUARTERS, imperial=True)
_OZ = _Unit("oz", "ounce", "ounces", "ounce", _INCHES, imperial=True)
_LB = _Unit("lb", "pound", "pounds", "pound", _QUARTERS, imperial=True)
_IN3 = _Unit("in³", "cubic inch", "cubic inches", "inch ** 3", _QUARTERS, imperial=True)

_SLACK = 0.25
"""By how much of a step a range may be narrower than it was worked out."""
_GIVEN = {"length": _MM, "yarn": _M, "weight": _G, "volume": _CM3}
_SAID: dict[tuple[Kind, System], tuple[tuple[float, _Unit], ...]] = {
    ("length", "metric"): ((20, _MM), (3000, _CM), (math.inf, _M)),
    ("length", "imperial"): ((3000, _IN), (math.inf, _FT)),
    ("yarn", "metric"): ((math.inf, _M),),
    ("yarn", "imperial"): ((math.inf, _YD),),
    ("weight", "metric"): ((2000, _G), (math.inf, _KG)),
    ("weight", "imperial"): ((1000, _OZ), (math.inf, _LB)),
    ("volume", "metric"): ((2000, _CM3), (math.inf, _LITRE)),
    ("volume", "imperial"): ((math.inf, _IN3),),
}
"""The unit that a measure is said in, (below, unit) each, the limits in the unit it is given in."""


@dataclass(frozen=True, slots=True)
class Amount:
    """A measured value rounded for speech: `value` of `unit`."""

    value: Fraction
    unit: _Unit

    @property
    def number(self) -> str:
        """The number as it is printed: "7.5", and "1 1/4" of what is not metric."""
        whole, part = divmod(self.value, 1)
        if not part:
            return str(whole)
        if self.unit.imperial:
            return f"{whole} {part}" if whole else str(part)
        return f"{float(self.value):g}"

    @property
    def text(self) -> str:
        """As it is printed: "7.5 cm"."""
        return f"{self.number} {self.unit.short}"

    @property
    def spoken(self) -> str:
        """As it is said: "seven and a half centimetres"."""
        whole, part = divmod(self.value, 1)
        one, many = self.unit.one, self.unit.many
        if not part:
            return f"{_words(int(whole))} {one if whole == 1 else many}"
        if not whole:
            # "half an inch", "a quarter of a centimetre"
            article = "an" if one[0] in "aeiou" else "a"
            return f"half {article} {one}" if part == Fraction(1, 2) else f"{_FRACTIONS[part]} of {article} {one}"
        return f"{_words(int(whole))} and {_FRACTIONS[part]} {many}"


def amount(kind: Kind, value: float, system: System = "metric") -> Amount:
    """A measure as a person would say it; what is small in millimetres, what is large in metres or feet."""
    return _rounded(value, _unit(kind, value, system), kind)


def between(kind: Kind, low: float, high: float, system: System = "metric") -> tuple[str, str]:
    """A range, (printed, spoken): ("7 to 8 cm", "between seven and eight centimetres"). One unit for both ends.

    It is rounded outwards, but for what is within a quarter of a step, so that it is hardly narrower than it was worked
    out. Of yarn and of weight there must be enough, so their high end is never rounded down.
    """
    unit = _unit(kind, low, system)
    first = _rounded(low, unit, kind, lambda steps: math.floor(steps + _SLACK))
    slack = 1e-6 if kind in ("yarn", "weight") else _SLACK
    last = _rounded(high, unit, kind, lambda steps: math.ceil(steps - slack))
    if not last.value and high > 0:
        last = Amount(unit.step(0), unit)
    if not first.value and last.value:
        return f"up to {last.text}", f"up to {last.spoken}"
    if first == last:
        return f"about {last.text}", f"about {last.spoken}"
    said = first.spoken.rsplit(" ", 1)[0] if first.value >= 1 and " " not in unit.many else first.spoken
    return f"{first.number} to {last.text}", _from_to(said, last.spoken)


def _from_to(low: str, high: str) -> str:
    """ "between two and a half and three" is hard to hear: there "from … to" keeps the two apart."""
    return f"from {low} to {high}" if " and " in low or " and " in high else f"between {low} and {high}"


def millimetres(text: str) -> float:
    """A length as a maker writes it ("7.5 cm", "3 inches", '2 in', "90"; bare numbers are millimetres), in mm.

    Raises MakerError for anything that is not a length above nothing.
    """
    written = _LENGTH.fullmatch(text.strip().replace(",", "."))
    mm = 0.0
    if written:
        number, unit = float(written["number"]), written["unit"] or "mm"
        unit = "inch" if unit in ('"', "″", "”", "in.") else unit
        import pint

        try:
            mm = _convert(number, unit, "millimeter")
        except (pint.UndefinedUnitError, pint.DimensionalityError):
            mm = 0.0
    if not (math.isfinite(mm) and mm > 0):
        raise MakerError(f"“{text}” is not a length I can read. Write it like 7.5 cm or 3 inches.")
    return mm


def _unit(kind: Kind, value: float, system: System) -> _Unit:
    return next(unit for below, unit in _SAID[kind, system] if value < below)


def _rounded(value: float, unit: _Unit, kind: Kind, whole: Callable[[float], int] = round) -> Amount:
    given = _GIVEN[kind]
    converted = value if unit is given else _convert(value, given.pint, unit.pint)
    step = unit.step(converted)
    return Amount(whole(float(converted / step)) * step, unit)


@cache
def _registry() -> UnitRegistry[float]:
    import pint

    return pint.UnitRegistry()


_SHIFTS = {
    ("millimeter", "centimeter"): 10,
    ("millimeter", "meter"): 1000,
    ("centimeter ** 3", "liter"): 1000,
    ("gram", "kilogram"): 1000,
}
"""What metric units are divided by; everything else is asked of pint."""


def _convert(value: float, unit: str, to: str) -> float:
    if shift := _SHIFTS.get((unit, to)):
        return value / shift
    return float(_registry().Quantity(value, unit).to(to).magnitude)


def _words(number: int) -> str:
    return str(num2words(number)).replace("-", " ").replace(",", "")
