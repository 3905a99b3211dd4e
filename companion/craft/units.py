"""Lengths and weights in the maker's units, rounded as a person would say them.

Conversions are those of `pint`, which takes the exact definitions (an inch is 25.4 mm, a yard 0.9144 m, an ounce
28.349523125 g: the international yard and pound agreement of 1959). It is loaded only when inches, yards or ounces are
asked for; millimetres to centimetres is a shift of the point.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, Literal

from num2words import num2words

from companion.errors import MakerError

if TYPE_CHECKING:
    from pint import UnitRegistry

System = Literal["metric", "imperial"]

_LENGTH = re.compile(r"""(?P<number>\d+(?:\.\d+)?)\s*(?P<unit>[A-Za-z]+\.?|["″”])?""")
_FRACTIONS = {Fraction(1, 4): "a quarter", Fraction(1, 2): "a half", Fraction(3, 4): "three quarters"}
_NAMES = {
    "mm": ("millimetre", "millimetres"),
    "cm": ("centimetre", "centimetres"),
    "m": ("metre", "metres"),
    "g": ("gram", "grams"),
    "cm3": ("cubic centimetre", "cubic centimetres"),
    "l": ("litre", "litres"),
    "in": ("inch", "inches"),
    "yd": ("yard", "yards"),
    "oz": ("ounce", "ounces"),
    "in3": ("cubic inch", "cubic inches"),
}


@dataclass(frozen=True, slots=True)
class Amount:
    """A measured value rounded for speech: `value` of `unit`, a key such as "cm" or "in"."""

    value: Fraction
    unit: str

    @property
    def text(self) -> str:
        """As it is printed: "7.5 cm"."""
        return f"{float(self.value):g} {self.unit.replace('3', '³')}"

    @property
    def spoken(self) -> str:
        """As it is said: "seven and a half centimetres"."""
        whole, part = divmod(self.value, 1)
        one, many = _NAMES[self.unit]
        if not part:
            return f"{_words(int(whole))} {one if whole == 1 else many}"
        if part not in _FRACTIONS:
            return f"{num2words(float(self.value)).replace('-', ' ').replace(',', '')} {many}"
        if not whole:
            # "half an inch", "a quarter of a centimetre"
            article = "an" if one[0] in "aeiou" else "a"
            return f"half {article} {one}" if part == Fraction(1, 2) else f"{_FRACTIONS[part]} of {article} {one}"
        return f"{_words(int(whole))} and {_FRACTIONS[part]} {many}"


def length(mm: float, system: System = "metric") -> Amount:
    """A length given in millimetres: under 1 cm in millimetres, else centimetres or inches, in halves and quarters."""
    if system == "imperial":
        return Amount(_near(_convert(mm, "millimeter", "inch"), imperial=True), "in")
    if mm < 10:
        return Amount(Fraction(round(mm)), "mm")
    return Amount(_near(mm / 10), "cm")


def yarn(metres: float, system: System = "metric") -> Amount:
    """A length of yarn given in metres, in metres or yards."""
    if system == "imperial":
        return Amount(_near(_convert(metres, "meter", "yard")), "yd")
    return Amount(_near(metres), "m")


def weight(grams: float, system: System = "metric") -> Amount:
    """A weight given in grams, in grams or ounces."""
    if system == "imperial":
        return Amount(_near(_convert(grams, "gram", "ounce"), imperial=True), "oz")
    return Amount(Fraction(max(1, round(grams)) if grams > 0 else 0), "g")


def volume(cm3: float, system: System = "metric") -> Amount:
    """A volume given in cubic centimetres, in cubic centimetres or cubic inches."""
    if system == "imperial":
        return Amount(_near(_convert(cm3, "centimeter ** 3", "inch ** 3")), "in3")
    return Amount(_near(cm3), "cm3")


def span(low: Amount, high: Amount) -> tuple[str, str]:
    """A range of one kind of measure, (printed, spoken): ("7 to 8 cm", "between seven and eight centimetres")."""
    if not low.value and high.value:
        return f"up to {high.text}", f"up to {high.spoken}"
    if low == high:
        return f"about {low.text}", f"about {low.spoken}"
    if low.unit != high.unit:
        return f"{low.text} to {high.text}", _from_to(low.spoken, high.spoken)
    first = low.spoken.rsplit(" ", 1)[0] if low.value >= 1 and low.unit[-1] != "3" else low.spoken
    return f"{float(low.value):g} to {high.text}", _from_to(first, high.spoken)


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


@cache
def _registry() -> UnitRegistry[float]:
    import pint

    return pint.UnitRegistry()


def _convert(value: float, unit: str, to: str) -> float:
    return float(_registry().Quantity(value, unit).to(to).magnitude)


def _near(value: float, *, imperial: bool = False) -> Fraction:
    """Rounded as coarsely as a person says it: quarters (inches) or halves below ten, then ones, fives, tens."""
    for limit, step in ((2, Fraction(1, 4)), (10, Fraction(1, 4) if imperial else Fraction(1, 2)), (50, Fraction(1))):
        if value < limit:
            return round(value / step) * step
    return Fraction(round(value / 5) * 5 if value < 200 else round(value / 10) * 10)


def _words(number: int) -> str:
    return str(num2words(number)).replace("-", " ").replace(",", "")
