"""Units against their exact definitions, and against pint asked apart."""

from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.craft import units
from companion.craft.units import Kind, System
from companion.errors import MakerError


@pytest.mark.parametrize(
    ("mm", "metric", "imperial"),
    [
        (1.3, "one millimetre", "zero inches"),
        (4, "four millimetres", "an eighth of an inch"),
        (10, "ten millimetres", "three eighths of an inch"),
        (14, "fourteen millimetres", "half an inch"),
        (25.4, "two and a half centimetres", "one inch"),
        (64, "six and a half centimetres", "two and a half inches"),
        (75, "seven and a half centimetres", "three inches"),
        (143, "fourteen centimetres", "five and three quarters inches"),
        (912, "ninety centimetres", "thirty six inches"),
        (68800, "seventy metres", "two hundred and thirty feet"),
    ],
)
def test_lengths_are_spoken_as_a_person_would(mm: float, metric: str, imperial: str) -> None:
    assert units.amount("length", mm).spoken == metric
    assert units.amount("length", mm, "imperial").spoken == imperial


@given(st.floats(1, 250))
def test_rounding_to_quarter_inches_is_never_off_by_more_than_an_eighth(mm: float) -> None:
    assert abs(float(units.amount("length", mm, "imperial").value) - mm / 25.4) <= 0.125 + 1e-9


def test_conversions_are_the_exact_definitions() -> None:
    """International yard and pound agreement, 1959: inch 25.4 mm, yard 0.9144 m, ounce 28.349523125 g."""
    assert units.amount("length", 25.4 * 3, "imperial").value == 3
    assert units.amount("yarn", 0.9144 * 40, "imperial").value == 40
    assert units.amount("weight", 28.349523125 * 2.25, "imperial").value == Fraction(9, 4)
    assert units.amount("volume", 16.387064 * 20, "imperial").value == 20
    registry: pint.UnitRegistry[float] = pint.UnitRegistry()
    assert registry.Quantity(1, "inch").to("mm").magnitude == pytest.approx(25.4)
    assert registry.Quantity(1, "ounce").to("g").magnitude == pytest.approx(28.349523125)


GIVEN = {"length": "mm", "yarn": "m", "weight": "g", "volume": "cm^3"}


@given(
    st.sampled_from(["length", "yarn", "weight", "volume"]), st.floats(4, 1e6), st.sampled_from(["metric", "imperial"])
)
def test_what_is_printed_is_the_value_by_pint(kind: Kind, value: float, system: System) -> None:
    """pint reads what is printed, whatever unit was chosen, and finds the value again but for the rounding."""
    registry: pint.UnitRegistry[float] = pint.UnitRegistry(cache_folder=None)
    said = units.amount(kind, value, system)
    if not said.value:
        # Less than half of the smallest step: half a gram in ounces.
        return
    unit = said.unit.short.replace("³", "^3")
    again = registry.Quantity(float(said.value), unit).to(GIVEN[kind]).magnitude
    step = registry.Quantity(float(said.unit.step(float(said.value))), unit).to(GIVEN[kind]).magnitude
    assert again == pytest.approx(value, abs=step * 0.51)


@given(st.sampled_from(["length", "volume"]), st.floats(1, 1900), st.floats(1.01, 3))
def test_a_range_is_hardly_narrower_than_it_was_worked_out(kind: Kind, low: float, times: float) -> None:
    """By a quarter of a step at most, in the unit of both ends."""
    unit = units.amount(kind, low).unit
    given_in = 1 if unit.short in ("mm", "cm³") else 10
    printed, _ = units.between(kind, low, low * times)
    numbers = [float(word) for word in printed.split() if word[0].isdigit()]
    for number, end, sign in ((numbers[0], low, 1), (numbers[-1], low * times, -1)):
        if "up to" in printed and sign == 1:
            continue
        slack = 0.25 * float(unit.step(end / given_in)) * given_in
        assert sign * (number * given_in - end) <= slack + 1e-6


@given(st.floats(0.01, 1e5), st.floats(1, 3))
def test_of_yarn_there_is_always_enough(low: float, times: float) -> None:
    printed, _ = units.between("yarn", low, low * times)
    assert float(printed.split()[-2]) >= low * times * (1 - 1e-6)


@pytest.mark.parametrize(
    ("text", "mm"),
    [("7.5 cm", 75), ("7,5cm", 75), ("3 inches", 76.2), ('2"', 50.8), ("2 in.", 50.8), ("90", 90), ("1 foot", 304.8)],
)
def test_lengths_are_read(text: str, mm: float) -> None:
    assert units.millimetres(text) == pytest.approx(mm)


@pytest.mark.parametrize("text", ["", "big", "3 grams", "0 cm", "-4 cm", "3 ** 99 cm", "3 wibbles"])
def test_what_is_no_length_is_refused_with_what_to_do(text: str) -> None:
    with pytest.raises(MakerError, match="Write it like"):
        units.millimetres(text)


@pytest.mark.parametrize(
    ("kind", "low", "high", "system", "printed", "spoken"),
    [
        ("length", 70, 80, "metric", "7 to 8 cm", "between seven and eight centimetres"),
        ("length", 70, 71, "metric", "about 7 cm", "about seven centimetres"),
        ("length", 25, 30, "metric", "2.5 to 3 cm", "from two and a half to three centimetres"),
        # One unit for both ends, that of the lower.
        ("length", 15, 23, "metric", "15 to 23 mm", "between fifteen and twenty three millimetres"),
        ("length", 32, 42, "imperial", "1 1/4 to 1 3/4 in", "from one and a quarter to one and three quarters inches"),
        # Never "about nothing".
        ("length", 1.2, 1.4, "imperial", "up to 1/8 in", "up to an eighth of an inch"),
        ("weight", 0.1, 0.4, "metric", "up to 1 g", "up to one gram"),
        ("weight", 4, 8, "imperial", "1/8 to 3/8 oz", "between an eighth of an ounce and three eighths of an ounce"),
        ("volume", 900, 1500, "metric", "900 to 1500 cm³", None),
        ("volume", 4000, 6100, "metric", "4 to 6 l", "between four and six litres"),
        # Numbers without end are nobody's measure: two figures are enough.
        ("yarn", 715948, 1569578, "metric", "710000 to 1600000 m", None),
    ],
)
def test_ranges(kind: Kind, low: float, high: float, system: System, printed: str, spoken: str | None) -> None:
    found = units.between(kind, low, high, system)
    assert found[0] == printed
    assert spoken is None or found[1] == spoken
