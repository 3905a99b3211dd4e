"""Names of stitches in US and UK terms, and how-tos, against the published definitions.

Names: Craft Yarn Council, "Standards & Guidelines for Crochet and Knitting", list of term differences between the
U.S. and the U.K. (from memory; stored copies of retailers' charts agree). Loops on the hook: the definitions of the
basic stitches that follow from the names' common construction, common practice, no source.
"""

from __future__ import annotations

import re

import pytest

from companion.pattern.model import Pattern
from companion.pattern.stitches import table
from companion.place.answers import HowTo
from companion.wording import names
from companion.wording.numbers import cardinal, times
from companion.wording.speaker import Wording

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


# key, how often the yarn goes over before the hook goes in, loops on the hook after the loop is drawn through, how
# often it is drawn through two at the end
CONSTRUCTION = [
    ("sc", 0, 2, 1),
    ("hdc", 1, 3, 0),
    ("dc", 1, 3, 2),
    ("tr", 2, 4, 3),
    ("dtr", 3, 5, 4),
    ("trtr", 4, 6, 5),
]


@pytest.mark.parametrize(("key", "overs", "loops", "pulls"), CONSTRUCTION)
def test_how_tos_of_the_basic_stitches_leave_the_right_loops(key: str, overs: int, loops: int, pulls: int) -> None:
    """Each yarn over adds a loop; each pull through two takes one off; in the end one is left."""
    assert loops == overs + 2
    told = table()[key].instructions()
    assert f"{cardinal(loops)} loops on the hook" in told
    assert ("Yarn over first" in told) == (overs == 1)
    if overs > 1:
        assert f"Yarn over {times(overs)} first" in told
        assert f"draw through two, {times(pulls)} in all" in told
        assert loops - pulls == 1
    assert told.endswith("One loop is left.")


@pytest.mark.parametrize("key", list(table()))
def test_every_stitch_has_a_how_to_by_touch(key: str) -> None:
    """By touch and not by look; for either hand; names of other stitches in the maker's terms; no figures."""
    stitch = table()[key]
    right, left = stitch.instructions(), stitch.instructions(left_handed=True)
    assert 60 < len(right) < 520
    assert not re.search(r"[{}\d]|\b(see|look|watch|visible)\b", right)
    assert right.replace("right hand", "left hand").replace("left hand", "x") == left.replace(
        "right hand", "left hand"
    ).replace("left hand", "x")
    if "{hook_hand}" in stitch.how_to:
        assert "right hand" in right
        assert "left hand" in left


def test_a_how_to_is_told_in_the_makers_terms() -> None:
    pattern = Pattern("Test", "US", (), (), "")
    us, uk = Wording(pattern), Wording(pattern, terms="UK")
    assert "work a double crochet, then a chain" in us.say(HowTo("v-st"))
    assert "work a treble crochet, then a chain" in uk.say(HowTo("v-st"))
    assert "Yarn over hook first" in uk.say(HowTo("half treble crochet"))
    assert "Yarn over first" in us.say(HowTo("half double crochet"))
    assert us.say(HowTo("decrease", "left")).startswith("Slide the hook under both loops of the next stitch")
    assert us.say(HowTo("wobble")).startswith("I do not know a stitch called wobble.")
