"""Numbers as they are spoken and written, 1 to 200: "twelve", "a hundred and five", "twenty-three", "105", "23rd".

Numbers beyond (none, 201 to 999, a thousand) are in the grammar too, as decoys: a recogniser that cannot hear "three
hundred" hears "three", and a maker who types it must not be understood as saying three. They lie outside `RANGE` and so
mean nothing.
"""

from __future__ import annotations

import re
from functools import cache

from .net import Net

RANGE = range(1, 201)

_UNITS = ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
_TEENS = ["ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"]
_TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_UNITS_NTH = ["first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth"]
_TEENS_NTH = [
    "tenth",
    "eleventh",
    "twelfth",
    "thirteenth",
    "fourteenth",
    "fifteenth",
    "sixteenth",
    "seventeenth",
    "eighteenth",
    "nineteenth",
]

UNITS = {word: value for value, word in enumerate(_UNITS, 1)}
TEENS = {word: value for value, word in enumerate(_TEENS, 10)}
TENS = {word: value for value, word in zip(range(20, 100, 10), _TENS, strict=True)}
UNITS_NTH = {word: value for value, word in enumerate(_UNITS_NTH, 1)}
TEENS_NTH = {word: value for value, word in enumerate(_TEENS_NTH, 10)}
TENS_NTH = {word[:-1] + "ieth": value for word, value in TENS.items()}

_NTH = dict(zip([*UNITS, *TEENS, *TENS], [*UNITS_NTH, *TEENS_NTH, *TENS_NTH], strict=True)) | {"hundred": "hundredth"}

_TENS_AND_ONES = re.compile(rf"\b({'|'.join(_TENS)}) ({'|'.join([*_UNITS, *_UNITS_NTH])})\b")


# --- words ---------------------------------------------------------------------------------------------------------


@cache
def ways(number: int) -> tuple[str, ...]:
    """Every way of saying a number from 1 to 200 in words, the usual British one first, without hyphens."""
    if number not in RANGE:
        raise ValueError(f"{number} is not a number from 1 to 200")
    hundreds, rest = divmod(number, 100)
    if not hundreds:
        return (_below_hundred(number),)
    if hundreds == 2:
        return ("two hundred",)
    heads = ("one hundred", "a hundred", "hundred")
    if not rest:
        return heads
    return tuple(f"{head}{joint}{_below_hundred(rest)}" for head in heads for joint in (" and ", " "))


@cache
def ordinal_ways(number: int) -> tuple[str, ...]:
    """The same as an ordinal: "twenty third", "one hundred and fifth"."""
    found = []
    for way in ways(number):
        *head, last = way.split()
        found.append(" ".join([*head, _NTH[last]]))
    return tuple(found)


def ordinal_digits(number: int) -> str:
    """The ordinal in digits: "1st", "22nd", "113th"."""
    ending = {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{'th' if number % 100 in (11, 12, 13) else ending}"


def in_words(number: int) -> str:
    """The usual way of saying a number from 1 to 200: 105 is "one hundred and five"."""
    return ways(number)[0]


@cache
def _values() -> dict[str, int]:
    return {way: number for number in RANGE for way in (*ways(number), str(number))}


def value(text: str) -> int | None:
    """The number that a text says, digits or words, hyphens or none; None if it says no number from 1 to 200."""
    return _values().get(" ".join(text.lower().replace("-", " ").split()))


@cache
def _written() -> tuple[re.Pattern[str], dict[str, str]]:
    """A pattern of every number in words, the longest first, and what each is in digits."""
    digits = {way: str(number) for number in RANGE for way in ways(number)}
    digits |= {way: ordinal_digits(number) for number in RANGE for way in ordinal_ways(number)}
    return re.compile(r"\b(?:" + "|".join(sorted(digits, key=len, reverse=True)) + r")\b"), digits


def ways_of_writing(text: str) -> tuple[str, ...]:
    """A text whose numbers are in words, as it is and as it may be written otherwise: with hyphens, with digits."""
    pattern, digits = _written()
    with_hyphens = _TENS_AND_ONES.sub(r"\1-\2", text)
    with_digits = pattern.sub(lambda found: digits[found[0]], text)
    return tuple(dict.fromkeys((text, with_hyphens, with_digits)))


def _below_hundred(number: int) -> str:
    if number < 10:
        return _UNITS[number - 1]
    if number < 20:
        return _TEENS[number - 10]
    tens, units = divmod(number, 10)
    return _TENS[tens - 2] + (f" {_UNITS[units - 1]}" if units else "")


# --- the same as a net of characters -------------------------------------------------------------------------------


@cache
def number_net() -> Net:
    """Every way of saying or writing a number, as a net to be called.

    Each word carries its share ("twenty" 20, "three" 3) and the parser adds the shares up, so that the net of all
    numbers is a few hundred states.
    """
    net = Net()
    start, end = net.state(), net.state()
    below = _below(net, UNITS, TEENS, TENS, end)
    net.skip(start, below)
    hundred = _hundred(net, start, below)
    net.skip(hundred, end)
    _word(net, start, "two hundred", 200, end)
    _add_digits(net, start, end)
    with net.decoys():
        _add_numbers_beyond(net, start, end)
    net.finish({end})
    return net


@cache
def ordinal_net() -> Net:
    """The same for "first", "twenty-third", "hundred and fifth", "23rd"."""
    net = Net()
    start, end = net.state(), net.state()
    below = _below(net, UNITS_NTH, TEENS_NTH, TENS_NTH, end)
    net.skip(start, below)
    _hundred(net, start, below)
    for head in ("a hundredth", "one hundredth", "hundredth"):
        _word(net, start, head, 100, end)
    _word(net, start, "two hundredth", 200, end)
    digits = net.state()
    _add_digits(net, start, digits)
    for ending in ("st", "nd", "rd", "th"):
        net.path(digits, ending, end)
    net.finish({end})
    return net


def _below(net: Net, units: dict[str, int], teens: dict[str, int], tens: dict[str, int], end: int) -> int:
    """The numbers 1 to 99 that lead to `end`; returns the state before them."""
    start, unit, after_tens = net.state(), net.state(), net.state()
    for word, amount in units.items():
        _word(net, unit, word, amount, end)
    net.skip(start, unit)
    for word, amount in (teens | tens).items():
        _word(net, start, word, amount, end)
    for word, amount in TENS.items():
        _word(net, start, word, amount, after_tens)
    for joint in " -":
        net.edge(after_tens, joint, unit)
    return start


def _hundred(net: Net, start: int, below: int) -> int:
    """The ways of saying a hundred, and on to the numbers below; returns the state after "hundred"."""
    hundred = net.state()
    for head in ("a hundred", "one hundred", "hundred"):
        _word(net, start, head, 100, hundred)
    _joints(net, hundred, below)
    return hundred


def _joints(net: Net, hundred: int, below: int) -> None:
    for joint in (" ", " and ", "-"):
        net.path(hundred, joint, below)


def _add_digits(net: Net, start: int, end: int) -> None:
    tens, units = net.state(), net.state()
    for digit in range(10):
        if digit:
            _word(net, start, str(digit), digit, end)
            _word(net, start, str(digit), 10 * digit, units)
        _word(net, tens, str(digit), 10 * digit, units)
        _word(net, units, str(digit), digit, end)
    _word(net, start, "1", 100, tens)
    _word(net, start, "200", 200, end)


def _add_numbers_beyond(net: Net, start: int, end: int) -> None:
    below = _below(net, UNITS, TEENS, TENS, end)
    for word, amount in UNITS.items():
        if amount > 1:
            hundred = net.state()
            _word(net, start, f"{word} hundred", 100 * amount, hundred)
            if amount > 2:
                net.skip(hundred, end)
            _joints(net, hundred, below)
    for word in ("a thousand", "one thousand"):
        _word(net, start, word, 1000, end)
    for word in ("zero", "none", "nothing", "0"):
        _word(net, start, word, 0, end)
    tens, units = net.state(), net.state()
    for digit in range(10):
        if digit > 1:
            _word(net, start, str(digit), 100 * digit, tens)
        _word(net, tens, str(digit), 10 * digit, units)
        _word(net, units, str(digit), digit, end)


def _word(net: Net, start: int, word: str, amount: int, end: int) -> None:
    spoken = net.state()
    net.path(start, word, spoken)
    net.skip(spoken, end, ("add", amount))
