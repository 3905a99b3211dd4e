"""The stitch table, against what is published.

Source: Craft Yarn Council, Standards and Guidelines for Crochet and Knitting, "Crochet Abbreviations Master List" and
the table of U.S. and U.K. terms beside it (values written here from memory).
"""

from itertools import pairwise

import pytest

from companion.pattern.reader import read
from companion.pattern.stitches import by_spelling, table, telling

US_TO_UK = {  # the pairs of the Craft Yarn Council's table
    "slip stitch": "slip stitch",
    "single crochet": "double crochet",
    "half double crochet": "half treble crochet",
    "double crochet": "treble crochet",
    "treble crochet": "double treble crochet",
    "double treble crochet": "triple treble crochet",
}
ABBREVIATIONS = {  # of the Craft Yarn Council's master list, those that name a stitch
    "bo": "bobble",
    "bpdc": "back post double crochet",
    "bphdc": "back post half double crochet",
    "bpsc": "back post single crochet",
    "bptr": "back post treble crochet",
    "ch": "chain",
    "cl": "cluster",
    "dc": "double crochet",
    "dec": "decrease",
    "dtr": "double treble crochet",
    "edc": "extended double crochet",
    "ehdc": "extended half double crochet",
    "esc": "extended single crochet",
    "fpdc": "front post double crochet",
    "fphdc": "front post half double crochet",
    "fpsc": "front post single crochet",
    "fptr": "front post treble crochet",
    "hdc": "half double crochet",
    "inc": "increase",
    "pc": "popcorn",
    "puff": "puff stitch",
    "ps": "puff stitch",
    "sc": "single crochet",
    "sh": "shell",
    "sk": "skip",
    "sl st": "slip stitch",
    "tr": "treble crochet",
    "trtr": "triple treble crochet",
}


@pytest.mark.parametrize(("us", "uk"), US_TO_UK.items())
def test_us_and_uk_names_are_the_published_pairs(us: str, uk: str) -> None:
    entry = by_spelling("US")[us]
    assert entry.uk.name == uk
    assert by_spelling("UK")[uk] is entry


@pytest.mark.parametrize(("short", "name"), ABBREVIATIONS.items())
def test_published_abbreviations_mean_what_the_list_says(short: str, name: str) -> None:
    assert by_spelling("US")[short].us.name == name


def test_the_words_that_show_the_terms() -> None:
    assert {"sc", "hdc", "single crochet"} <= telling("US")
    assert {"htr", "half treble"} <= telling("UK")
    assert not {"dc", "tr", "dtr", "sl st", "ch"} & (telling("US") | telling("UK"))


@pytest.mark.parametrize(
    ("key", "takes", "gives"),  # common practice, no source but the trade itself
    [
        ("sc", 1, 1),
        ("dc", 1, 1),
        ("inc", 1, 2),
        ("dec", 2, 1),
        ("v-st", 1, 2),
        ("picot", 0, 0),
        ("fsc", 0, 1),
        ("sk", 1, 0),
    ],
)
def test_what_a_stitch_takes_and_gives(key: str, takes: int, gives: int) -> None:
    assert (table()[key].takes, table()[key].gives) == (takes, gives)


def test_every_stitch_has_a_how_to_for_either_hand() -> None:
    for entry in table().values():
        right, left = entry.instructions(), entry.instructions(left_handed=True)
        assert right.endswith("."), entry.key
        assert "{" not in right + left, entry.key
        assert len(right.split()) == len(left.split())


@pytest.mark.parametrize(("hdc", "dc", "tr"), [("hdc", "dc", "tr")])
def test_the_same_word_is_another_stitch_in_other_terms(hdc: str, dc: str, tr: str) -> None:
    text = "Thing\nTerms: {}\nRnd 1: 6 {} in magic ring [6]\nRnd 2: dc in each st around [6]\n"
    us, uk = read(text.format("US", "sc")), read(text.format("UK", "dc"))
    assert us.pieces[0].rounds[1].steps[0].instruction.stitch == "dc"  # type: ignore[union-attr]
    assert uk.pieces[0].rounds[1].steps[0].instruction.stitch == "sc"  # type: ignore[union-attr]


def test_a_flat_round_of_single_crochet_grows_by_about_two_pi() -> None:
    """Plain geometry: a stitch about as high as wide, rounds one stitch height apart, so 2 pi more stitches a round."""
    import math

    text = "Disc\nTerms: US\nRnd 1: 6 sc in magic ring\nRnd 2: inc around\n" + "\n".join(
        f"Rnd {n}: ({n - 2} sc, inc) x 6" for n in range(3, 13)
    )
    totals = [entry.stitches or 0 for entry in read(text).pieces[0].rounds]
    growth = [b - a for a, b in pairwise(totals)]
    assert set(growth) == {6}
    assert abs(growth[0] - 2 * math.pi) < 0.5
