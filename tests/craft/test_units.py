"""Units against their exact definitions, and against pint asked apart."""

from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.craft import units
from companion.errors import MakerError


@pytest.mark.parametrize(
    ("mm", "metric", "imperial"),
    [
        (4, "four millimetres", "a quarter of an inch"),
        (10, "one centimetre", "half an inch"),
        (75, "seven and a half centimetres", "three inches"),
        (64, "six and a half centimetres", "two and a half inches"),
        (25.4, "two and a half centimetres", "one inch"),
        (143, "fourteen centimetres", "five and three quarters inches"),
        (14, "one and a half centimetres", "half an inch"),
        (912, "ninety centimetres", "thirty six inches"),
    ],
)
def test_lengths_are_spoken_as_a_person_would(mm: float, metric: str, imperial: str) -> None:
    assert units.length(mm).spoken == metric
    assert units.length(mm, "imperial").spoken == imperial


@given(st.floats(1, 250))
def test_rounding_to_quarter_inches_is_never_off_by_more_than_an_eighth(mm: float) -> None:
    assert abs(float(units.length(mm, "imperial").value) - mm / 25.4) <= 0.125 + 1e-9


def test_conversions_are_the_exact_definitions() -> None:
    """International yard and pound agreement, 1959: inch 25.4 mm, yard 0.9144 m, ounce 28.349523125 g."""
    assert units.length(25.4 * 3, "imperial").value == 3
    assert units.yarn(0.9144 * 40, "imperial").value == 40
    assert units.weight(28.349523125 * 2.25, "imperial").value == Fraction(9, 4)
    assert units.volume(16.387064 * 20, "imperial").value == 20
    registry: pint.UnitRegistry[float] = pint.UnitRegistry()
    assert registry.Quantity(1, "inch").to("mm").magnitude == pytest.approx(25.4)
    assert registry.Quantity(1, "ounce").to("g").magnitude == pytest.approx(28.349523125)


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


def test_ranges_name_the_unit_once() -> None:
    assert units.span(units.length(70), units.length(80)) == ("7 to 8 cm", "between seven and eight centimetres")
    assert units.span(units.length(70), units.length(71)) == ("about 7 cm", "about seven centimetres")
    assert units.span(units.length(8), units.length(12))[0] == "8 mm to 1.25 cm"


def test_less_than_the_smallest_step_is_up_to_it() -> None:
    nothing, quarter = units.weight(2, "imperial"), units.weight(8, "imperial")
    assert units.span(nothing, quarter) == ("up to 0.25 oz", "up to a quarter of an ounce")


def test_halves_are_spoken_from_and_to() -> None:
    assert units.span(units.length(25), units.length(30))[1] == "from two and a half to three centimetres"
