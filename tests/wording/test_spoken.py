"""Written bits of patterns made speakable."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.wording.spoken import Speakable, sentence, spell

speak = Speakable()


@pytest.mark.parametrize(
    ("written", "said"),
    [
        (
            "Rnd 5: (3 sc, inc) x 6 [30]",
            "three single crochet, increase, close bracket, six times, total thirty",
        ),
        ("Hook: 2.5 mm", "Hook: two point five millimetres"),
        ("a 4 mm hook", "a four millimetre hook"),
        ("3-4 mm", "three to four millimetres"),
        ("Sew the arms between rounds 12-15.", "between rounds twelve to fifteen."),
        ("Sew the arms between rounds 12 - 15.", "between rounds twelve to fifteen."),
        ("Sew it to R7, from R12-R15.", "Sew it to round seven, from rounds twelve to fifteen."),
        ("rounds R5-8", "rounds five to eight"),
        ("repeat x 6.", "repeat six times."),
        ("about 1,200 m", "about one thousand two hundred metres"),
        ("a 3,5 mm hook", "a three point five millimetre hook"),
        ("ch 90,100 sts", "ninety, one hundred stitches"),
        ("- 25 g of grey cotton yarn", "twenty five grams of grey cotton yarn"),
        ("two 6 mm safety eyes", "two six millimetre safety eyes"),
        ("about 14 cm tall", "about fourteen centimetres tall"),
        ("2 1/2 oz, ½ inch, ⅔ full", "two and a half ounces, a half inch, two thirds full"),
        ("Rnds 9–11 [30]", "rounds nine to eleven, total thirty"),
        ("30 sts (30 sts)", "thirty stitches, total thirty stitches"),
        ("in 2nd ch from hook & in each ch", "in second chain from hook and in each chain"),
        ("sc2tog, dc3tog", "single crochet two together, double crochet three together"),
        ("2 dc in next ch-2 sp", "two double crochet in next chain two space"),
        ("*sc, sk 2; rep from * around", "star single crochet, skip two; repeat from star around"),
        ("6x", "six times"),
        ("3sc, 2 sl st", "three single crochet, two slip stitches"),
        ("LEG (make 2)", "leg, make two"),
        ("BLO, DK wool", "back loop only, double knitting wool"),
        ("pop the eyes in, a single fan", "pop the eyes in, a single fan"),
        ("Join with sl st. Turn.", "Join with slip stitch. Turn"),
        ("18 sts and 20 rounds = 10 cm", "eighteen stitches and twenty rounds equals ten centimetres"),
    ],
)
def test_what_is_heard(written: str, said: str) -> None:
    assert said in speak(written)


def test_names_are_told_in_the_makers_terms() -> None:
    """The same letters mean another stitch in the other set of terms."""
    uk_hears_us = Speakable("UK", written="US")
    assert uk_hears_us("work the last dc loosely") == "work the last treble crochet loosely"
    assert uk_hears_us("a row of single crochet, sk 2") == "a row of double crochet, miss two"
    us_hears_uk = Speakable("US", written="UK")
    assert us_hears_uk("3 dc, 2 htr, 1 tr, yoh") == (
        "three single crochet, two half double crochet, one double crochet, yarn over"
    )


def test_a_patterns_own_abbreviations_are_used_where_the_tables_know_nothing() -> None:
    own = Speakable(own={"tw": "twist: turn the chain once", "sc": "something clever"})
    assert own("tw 2, sc 3") == "twist two, single crochet three"


@given(st.text(alphabet=st.characters(codec="utf-8"), max_size=80))
def test_any_text_comes_out_without_figures_and_signs(text: str) -> None:
    said = speak(text)
    assert not re.search(r"[0-9\[\](){}*&#<>_/\\|~^=+]", said)
    assert "  " not in said


@given(st.lists(st.integers(0, 999), min_size=1, max_size=5))
def test_no_number_is_dropped_or_added(counts: list[int]) -> None:
    written = " and ".join(f"{count} sts" for count in counts)
    expected = [sentence(speak(f"{count} sts")) for count in counts]
    assert [sentence(part) for part in re.split(r"(?<=stitches) and |(?<=stitch) and ", speak(written))] == expected


def test_spelling() -> None:
    assert spell("skep") == "S, K, E, P"
    assert spell("o'er-7") == "O, apostrophe, E, R, hyphen, seven"


@pytest.mark.parametrize("written", ["4 MM hook", "3 YDſ", "2 İN.", "10 CM"])
def test_units_in_any_letters(written: str) -> None:
    said = speak(written)
    assert not re.search(r"[0-9]", said)
    assert written.split()[0] not in said
