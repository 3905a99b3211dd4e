"""Names of stitches in US and UK terms, and how-tos, against the published definitions.

Names: Craft Yarn Council, "Standards & Guidelines for Crochet and Knitting", list of term differences between the
U.S. and the U.K. (from memory; stored copies of retailers' charts agree). Loops on the hook: the definitions of the
basic stitches that follow from the names' common construction, common practice, no source.
"""

from __future__ import annotations

import re

import pytest

from companion.pattern.stitches import table
from companion.wording import names

COUNCIL = [
    ("ch", "chain", "chain"),
    ("sl st", "slip stitch", "slip stitch"),
    ("sc", "single crochet", "double crochet"),
    ("hdc", "half double crochet", "half treble crochet"),
    ("dc", "double crochet", "treble crochet"),
    ("tr", "treble crochet", "double treble crochet"),
    ("dtr", "double treble crochet", "triple treble crochet"),
    ("sk", "skip", "miss"),
]


@pytest.mark.parametrize(("key", "us", "uk"), COUNCIL)
def test_names_are_the_councils(key: str, us: str, uk: str) -> None:
    assert names.spoken(key, "US")[0] == us
    assert names.spoken(key, "UK")[0] == uk


def test_names_are_spoken_without_signs() -> None:
    for key in table():
        for terms in ("US", "UK"):
            for name in names.spoken(key, terms):
                assert re.fullmatch(r"[A-Za-z ]+", name), (key, name)
