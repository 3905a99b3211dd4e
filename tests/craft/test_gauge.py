"""Gauge: read from words, guessed from hook and yarn, and honest about which."""

import math
from collections.abc import Callable

import pytest

from companion.craft import gauge_text
from companion.craft.choose import choose, main_stitch
from companion.craft.gauge import OddGaugeError, from_figures, from_hook, from_yarn, width_per_hook
from companion.craft.tables import yarns
from companion.errors import MakerError
from companion.pattern.model import Pattern, Piece, Terms

MakePiece = Callable[..., Piece]
MakePattern = Callable[..., Pattern]


@pytest.mark.parametrize(
    ("words", "terms", "expected"),
    [
        ("28 stitches and 30 rounds to 10 cm", "US", (28, 30, "sc")),
        ("18 stitches and 20 rounds to 10 cm", "UK", (18, 20, "sc")),
        ("16 stitches and 18 rows to 10 cm", "US", (16, 18, "sc")),
        ("14 sc and 16 rows = 4 inches", "US", (14 / 1.016, 16 / 1.016, "sc")),
        ("14 sts x 16 rows = 4 in (10 cm)", "US", (14 / 1.016, 16 / 1.016, "sc")),
        ("18 dc and 20 rows to 10 cm", "UK", (18, 20, "sc")),
        ("12 dc and 7 rows over 10 cm", "US", (12, 7, "dc")),
        ("20 sts and 24 rows to 10 x 10 cm in half double crochet", "US", (20, 24, "hdc")),
        ("5.5 sts and 6 rounds to 1 inch", "US", (5.5 / 0.254, 6 / 0.254, "sc")),
        ('5 sc to 1"', "US", (5 / 0.254, 5 / 0.254 * 2 * math.pi / 6, "sc")),
    ],
)
def test_words_are_read(words: str, terms: Terms, expected: tuple[float, float, str]) -> None:
    gauge = gauge_text.read(words, terms)
    assert gauge is not None
    assert gauge.stitches_per_10cm == pytest.approx(expected[0])
    assert gauge.rounds_per_10cm == pytest.approx(expected[1])
    assert gauge.stitch == expected[2]
    assert gauge.basis == "pattern"


@pytest.mark.parametrize(
    "words",
    [
        "",
        "not critical",
        "28-30 stitches to 10 cm",
        "5 rounds = 5 cm across",
        "28 stitches",
        "24 sts and 22 sts to 10 cm",
    ],
)
def test_what_is_not_plain_is_not_read(words: str) -> None:
    assert gauge_text.read(words) is None


@pytest.mark.parametrize("figure", [0, -3, math.nan, math.inf, 500])
def test_a_gauge_that_cannot_be_is_refused(figure: float) -> None:
    with pytest.raises(MakerError, match="cannot be a gauge"):
        from_figures(figure, 20)


@pytest.mark.parametrize(
    ("stitches", "rounds", "stitch"), [(2, 40, "sc"), (40, 2, "sc"), (20, 4, "sc"), (10, 60, "dc")]
)
def test_figures_that_do_not_go_together_are_refused(stitches: float, rounds: float, stitch: str) -> None:
    with pytest.raises(OddGaugeError, match="cannot be one gauge"):
        from_figures(stitches, rounds, stitch)


@pytest.mark.parametrize(
    ("stitches", "rounds", "stitch"), [(16, 8, "dc"), (16, 18, "dc"), (28, 30, "sc"), (12, 4, "tr")]
)
def test_figures_of_any_fabric_are_taken(stitches: float, rounds: float, stitch: str) -> None:
    assert from_figures(stitches, rounds, stitch).rounds_per_10cm == rounds


def test_one_figure_gives_the_other_by_the_flat_round_of_six() -> None:
    gauge = from_figures(24, None)
    assert 2 * math.pi * gauge.round_mm / gauge.stitch_mm == pytest.approx(6)
    assert gauge.spread > from_figures(24, 25).spread


def test_a_guess_from_the_hook_falls_into_the_councils_range() -> None:
    """Craft Yarn Council: the middle hook of each weight gives a gauge within the range of that weight."""
    for weight in yarns().weights:
        (low, high), (thin, thick) = weight.gauge, weight.hook_mm
        if weight.gauge_stitch == "sc" and weight.number <= 5 and low and high and thin and thick:
            per_4_inches = from_hook((thin + thick) / 2).stitches_per_10cm * 1.016
            assert low <= per_4_inches <= high, weight.name
    assert 1.3 < width_per_hook() < 1.45


def test_a_guess_from_the_yarn_is_the_middle_of_the_councils_range() -> None:
    dk = yarns().find("DK")
    assert dk is not None
    guess = from_yarn(dk)
    assert guess is not None
    assert guess.stitches_per_10cm * 1.016 == pytest.approx(14.5)
    lace = yarns().find("lace")
    assert lace is not None
    assert from_yarn(lace) is None


def test_the_makers_own_figures_come_first_then_the_pattern_then_the_hook(
    make_piece: MakePiece, make_pattern: MakePattern
) -> None:
    piece = make_piece([6, 12])
    full = make_pattern(piece, gauge="28 stitches and 30 rounds to 10 cm", hook="2.5 mm", materials=("DK",))
    bases = [
        choose(full, stitches_per_10cm=20, rounds_per_10cm=22),
        choose(full),
        choose(make_pattern(piece, hook="2.5 mm", materials=("DK yarn",))),
        choose(make_pattern(piece, materials=("DK yarn",))),
        choose(make_pattern(piece)),
    ]
    assert [gauge and gauge.basis for gauge in bases] == ["measured", "pattern", "hook", "yarn", None]
    spreads = [gauge.spread for gauge in bases if gauge]
    assert spreads == sorted(spreads)


def test_another_hook_scales_the_patterns_gauge(make_piece: MakePiece, make_pattern: MakePattern) -> None:
    pattern = make_pattern(make_piece([6]), gauge="28 stitches and 30 rounds to 10 cm", hook="2.5 mm")
    gauge = choose(pattern, hook=5)
    assert gauge is not None
    assert (gauge.stitches_per_10cm, gauge.rounds_per_10cm) == (14, 15)
    assert "guess" in gauge.source
    same = choose(pattern, hook=2.5)
    assert same is not None
    assert same.basis == "pattern"


def test_another_yarn_scales_the_patterns_gauge(make_piece: MakePiece, make_pattern: MakePattern) -> None:
    pattern = make_pattern(make_piece([6]), gauge="24 stitches and 26 rounds to 10 cm", materials=("moss yarn, DK",))
    gauge = choose(pattern, yarn="aran")
    assert gauge is not None
    # The Council's middles: 14.5 stitches for light, 12.5 for medium.
    assert gauge.stitches_per_10cm == pytest.approx(24 * 12.5 / 14.5)
    # Where the pattern names no yarn, its gauge is still the one to aim at.
    silent = choose(make_pattern(make_piece([6]), gauge="24 stitches and 26 rounds to 10 cm"), yarn="aran")
    assert silent is not None
    assert silent.basis == "pattern"
    with pytest.raises(MakerError, match="no yarn weight called"):
        choose(pattern, yarn="spaghetti")


@pytest.mark.parametrize(
    ("words", "mm"),
    [
        ("2.5 mm", 2.5),
        ("4 mm (G-6)", 4),
        ("G-6", 4),
        ("size H", 5),
        ("US I-9", 5.5),
        ("3 mm and 4 mm", None),
        ("0 mm", None),
        ("", None),
    ],
)
def test_the_hook_is_read(words: str, mm: float | None) -> None:
    assert gauge_text.hook_mm(words) == mm


def test_the_gauge_is_in_the_stitch_most_worked(make_piece: MakePiece, make_pattern: MakePattern) -> None:
    pattern = make_pattern(make_piece([20, 20, 20], kind="row", stitches=["sc", "dc", "dc"]))
    assert main_stitch(pattern) == "dc"
