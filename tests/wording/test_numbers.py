"""Numbers in words, against num2words itself and what a person would say."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words

from companion.wording import numbers


@given(st.integers(0, 100_000))
def test_counts_agree_with_num2words(number: int) -> None:
    """num2words is the reference; only hyphens and commas are left out."""
    assert numbers.cardinal(number) == num2words(number).replace("-", " ").replace(",", "")
    assert numbers.ordinal(number) == num2words(number, to="ordinal").replace("-", " ").replace(",", "")


@given(st.integers(0, 9999), st.integers(0, 9999))
def test_no_two_numbers_sound_alike(first: int, second: int) -> None:
    assert (numbers.cardinal(first) == numbers.cardinal(second)) == (first == second)


def test_counted_things() -> None:
    assert numbers.stitches(1) == "one stitch"
    assert numbers.stitches(0) == "no stitches"
    assert numbers.counted(21, "round") == "twenty one rounds"
    assert [numbers.times(n) for n in (1, 2, 3)] == ["once", "twice", "three times"]
    assert numbers.span(9, 11) == "nine to eleven"
    assert numbers.listed(["a", "b", "c"]) == "a, b and c"


def test_measured_values() -> None:
    assert numbers.millimetres("3.5") == "three point five millimetre"
    assert numbers.millimetres(4.0) == "four millimetre"
    assert numbers.decimal("2.25") == "two point two five"
    assert numbers.quantity("2.5") == "two and a half"
    assert numbers.quantity(0.75) == "three quarters"
    assert numbers.fraction(Fraction(2, 3)) == "two thirds"
    assert numbers.fraction(Fraction(3, 4)) == "three quarters"


def test_a_share_is_never_all_before_the_end_nor_nothing_once_begun() -> None:
    assert numbers.per_cent(0.9999) == "ninety nine per cent"
    assert numbers.per_cent(0.001) == "one per cent"
    assert numbers.per_cent(1.0) == "one hundred per cent"
    assert numbers.per_cent(0.0) == "zero per cent"


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (30, "less than a minute"),
        (60, "one minute"),
        (9 * 60, "nine minutes"),
        (23 * 60, "twenty five minutes"),
        (57 * 60, "fifty five minutes"),
        (58 * 60, "an hour"),
        (90 * 60, "an hour and a half"),
        (150 * 60, "two and a half hours"),
        (11.2 * 3600, "eleven hours"),
    ],
)
def test_lengths_of_time(seconds: float, said: str) -> None:
    assert numbers.duration(seconds) == said


def test_times_come_with_their_uncertainty() -> None:
    assert numbers.about(20 * 60, 31 * 60) == "between twenty and thirty minutes"
    assert numbers.about(40 * 60, 100 * 60) == "between forty minutes and an hour and a half"
    assert numbers.about(30, 120) == "up to two minutes"
    assert numbers.about(3500, 3700) == "about an hour"


@given(st.floats(0, 400_000), st.floats(0, 400_000))
def test_a_longer_time_is_never_said_as_a_shorter_one(first: float, second: float) -> None:
    order = [numbers.duration(seconds) for seconds in sorted((first, second))]
    assert _seconds(order[0]) <= _seconds(order[1])


VALUES = {numbers.cardinal(number): number for number in range(200)}


def _seconds(said: str) -> float:
    """Reads a length of time back out of its words."""
    if said == "less than a minute":
        return 0
    unit = 3600 if "hour" in said else 60
    half = 0.5 if "half" in said else 0
    words = said.split(" and a half")[0].removesuffix("s").removesuffix(" hour").removesuffix(" minute")
    whole = 1 if words == "an" else VALUES[words]
    return (whole + half) * unit
