"""Numbers as a person says them: counts, places in a line, sizes, shares, times.

Everything here returns words without digits, hyphens or commas inside a number, so that a sentence reads the same in
print, in braille and through any synthetic voice: "one hundred and five", "twenty fourth".
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from num2words import num2words

_QUARTERS = {Decimal("0.25"): "a quarter", Decimal("0.5"): "a half", Decimal("0.75"): "three quarters"}
_TIMES = {1: "once", 2: "twice"}


def _plain(words: str) -> str:
    return words.replace("-", " ").replace(",", "")


def cardinal(number: int) -> str:
    """A count in words: 24 -> "twenty four"."""
    return _plain(num2words(number))


def ordinal(number: int) -> str:
    """A place in a line, in words: 21 -> "twenty first"."""
    return _plain(num2words(number, to="ordinal"))


def decimal(number: float | Decimal | str) -> str:
    """A measured value in words, as written: 3.5 -> "three point five", "4.0" -> "four"."""
    value = Decimal(str(number))
    if value == value.to_integral_value():
        return cardinal(int(value))
    return _plain(num2words(value.normalize()))


def quantity(number: float | Decimal | str) -> str:
    """An amount in everyday words, quarters as quarters: 2.5 -> "two and a half", 0.75 -> "three quarters"."""
    value = Decimal(str(number))
    whole, part = int(value), value - int(value)
    if value < 0 or part not in _QUARTERS:
        return decimal(value)
    return f"{cardinal(whole)} and {_QUARTERS[part]}" if whole else _QUARTERS[part]


def fraction(number: Fraction) -> str:
    """A fraction in words: 2/3 -> "two thirds", 5 -> "five"."""
    top, bottom = number.numerator, number.denominator
    if bottom == 1:
        return cardinal(top)
    if bottom in (2, 4):
        return quantity(Decimal(top) / bottom)
    return f"{cardinal(top)} {ordinal(bottom)}{'' if top == 1 else 's'}"


def counted(number: int, one: str, many: str | None = None) -> str:
    """A count with its noun: (1, "stitch", "stitches") -> "one stitch". Without `many`, an s is added."""
    return f"{'no' if number == 0 else cardinal(number)} {one if number == 1 else many or one + 's'}"


def stitches(number: int) -> str:
    """A count of stitches: 30 -> "thirty stitches", 0 -> "no stitches"."""
    return counted(number, "stitch", "stitches")


def metres(number: float) -> str:
    """A length of yarn: 6.5 -> "six and a half metres"."""
    return f"{quantity(number)} metre{'' if number == 1 else 's'}"


def times(number: int) -> str:
    """How often: 1 -> "once", 2 -> "twice", 6 -> "six times"."""
    return _TIMES.get(number) or f"{cardinal(number)} times"


def span(first: int, last: int) -> str:
    """A range: (9, 11) -> "nine to eleven", (9, 9) -> "nine"."""
    return cardinal(first) if first == last else f"{cardinal(first)} to {cardinal(last)}"


def listed(items: Sequence[str], last: str = "and") -> str:
    """A list as it is said: "a", "a and b", "a, b and c"."""
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} {last} {items[-1]}"


def per_cent(share: float) -> str:
    """A share between 0 and 1 in whole hundredths; never "a hundred" before all is done, nor nothing once begun."""
    whole = round(share * 100)
    if share < 1:
        whole = min(whole, 99)
    if share > 0:
        whole = max(whole, 1)
    return f"{cardinal(whole)} per cent"


def millimetres(size: float | Decimal | str) -> str:
    """A hook size: 3.5 -> "three point five millimetre"."""
    return f"{decimal(size)} millimetre"


def duration(seconds: float) -> str:
    """A length of time, as coarse as a person would say it: 100 -> "two minutes", 5400 -> "an hour and a half".

    Under an hour it counts minutes (above ten in fives), under ten hours half hours, beyond that hours.
    """
    minutes = seconds / 60
    if minutes < 1:
        return "less than a minute"
    if minutes <= 10:
        return counted(round(minutes), "minute")
    if round(minutes / 5) * 5 < 60:
        return counted(round(minutes / 5) * 5, "minute")
    halves = round(minutes / 30)
    if halves >= 20:
        return counted(round(minutes / 60), "hour")
    hours, half = divmod(halves, 2)
    if not half:
        return "an hour" if hours == 1 else counted(hours, "hour")
    return "an hour and a half" if hours == 1 else f"{cardinal(hours)} and a half hours"


def about(low: float, high: float) -> str:
    """A time with its uncertainty, both ends in seconds: "between twenty and thirty minutes", "about an hour"."""
    from_words, to_words = duration(low), duration(high)
    if low < 60:
        return f"up to {to_words}" if high >= 60 else to_words
    if from_words == to_words:
        return f"about {to_words}"
    unit = to_words.rpartition(" ")[2]
    if from_words.endswith(unit) and unit in ("minutes", "hours"):
        from_words = from_words.removesuffix(f" {unit}")
    return f"between {from_words} and {to_words}"
