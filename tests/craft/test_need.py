"""Yarn, time, stuffing, and what is left of them."""

import math
from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.craft import clock, pace, stitches, yarn
from companion.craft.estimate import estimate
from companion.craft.gauge import from_figures
from companion.craft.left import Made, left
from companion.craft.report import as_lines
from companion.craft.tables import yarns
from companion.craft.yarn import Ball, Between, Swatch
from companion.errors import MakerError
from companion.pattern.model import Act, Chain, InOne, Note, Pattern, Piece, Work

MakePiece = Callable[..., Piece]
MakePattern = Callable[..., Pattern]


def test_a_swatch_is_taken_at_its_word(make_piece: MakePiece) -> None:
    """6 metres for 100 stitches, a tube of 200: 12 metres and the ends."""
    piece = make_piece([20] * 10, starts_in=20)
    need = yarn.need([(piece, 1)], None, Swatch(6, 100))
    assert need is not None
    assert need.metres.usual == pytest.approx(12 + yarn.ends(piece).usual)
    assert need.from_swatch
    twice = yarn.need([(piece, 2)], None, Swatch(6, 100))
    assert twice is not None
    assert twice.metres.usual == pytest.approx(2 * need.metres.usual)


@pytest.mark.parametrize(
    ("hook_mm", "inches_a_stitch"),
    [(6.5, 2.75)],
)
def test_without_a_swatch_it_agrees_with_a_published_chart(hook_mm: float, inches_a_stitch: float) -> None:
    """A yarn shop's chart (darngoodyarn.com): 2.75 inches of yarn a single crochet with a 6.5 mm hook, bulky yarn."""
    from companion.craft.gauge import from_hook

    loop = yarn.metres_a_loop(from_hook(hook_mm), None)
    assert loop is not None
    stitch = loop.times(stitches.LOOPS_OF_SC * 1000)
    assert stitch.low < inches_a_stitch * 25.4 < stitch.high
    assert stitch.usual == pytest.approx(inches_a_stitch * 25.4, rel=0.1)


def test_without_a_swatch_it_agrees_with_a_measured_square() -> None:
    """Published swatches (windchilde.com): a 5 inch square of single crochet took 785.5 inches of yarn, chain included.

    Taken at the middle of the Craft Yarn Council's gauge for that worsted yarn, 12.5 stitches to 4 inches, and as many
    rounds as a flat round of six makes them.
    """
    gauge = from_figures(12.5 / 1.016, None)
    loop = yarn.metres_a_loop(gauge, None)
    assert loop is not None
    in_square = (127 / gauge.stitch_mm) * (127 / gauge.round_mm)
    square = loop.times(in_square * stitches.LOOPS_OF_SC)
    assert square.low < 785.5 * 0.0254 < square.high


@pytest.mark.parametrize(
    ("motion", "loops"),
    [
        (Work("sc", 1), 2),
        (Work("hdc", 1), 3),
        (Work("dc", 1), 4),
        (Work("tr", 1), 6),
        (Work("sl st", 1), 1),
        (Work("sc", 1, in_one=2), 4),
        (Work("sc", 1, together=2), 3),
        (Work("sc", 1, together=2, invisible=True), 2),
        (Work("dc", 1, together=2), 7),
        (Work("fsc", 1), 3),
        (Work("bobble", 1), 16),
        (InOne((Work("sc", 1), Work("hdc", 1), Work("dc", 1))), 9),
        (Chain(3), 3),
        (Act("join"), 1),
        (Act("turn"), 0),
    ],
)
def test_loops_are_those_of_the_stitches_definition(motion: Work | InOne | Chain | Act, loops: int) -> None:
    """Counted by hand in the Craft Yarn Council's definitions: every yarn over drawn is one loop."""
    assert stitches.loops(motion) == loops


def test_measured_rows_agree_with_the_count_of_loops() -> None:
    """Published swatches (windchilde.com), inches of yarn a row: sc 53, hdc 78.5, dc 102; its chain 25.5."""
    for motion, inches in ((Work("hdc", 1), 78.5), (Work("dc", 1), 102), (Chain(1), 25.5)):
        assert stitches.loops(motion) / stitches.LOOPS_OF_SC == pytest.approx(inches / 53, rel=0.05)


def test_yarn_is_split_by_colour(make_piece: MakePiece, make_pattern: MakePattern) -> None:
    piece = make_piece([12, 12, 12], starts_in=12)
    striped = replace(piece, rounds=tuple(replace(one, colour=c) for one, c in zip(piece.rounds, "aab", strict=True)))
    need = yarn.need([(striped, 1)], None, Swatch(6, 100))
    assert need is not None
    colours = dict(need.colours)
    assert colours["a"].usual == pytest.approx(24 * 0.06)
    assert need.metres.usual == pytest.approx(sum(metres.usual for metres in colours.values()))


def test_grams_and_balls(make_piece: MakePiece) -> None:
    dk = yarns().find("dk")
    piece = make_piece([20] * 100, starts_in=20)
    need = yarn.need([(piece, 1)], None, Swatch(6, 100), dk)
    assert need is not None
    assert need.grams is not None
    # 120 metres and the ends, at 200 to 250 metres in 100 g.
    assert need.grams.low < 120 / 2.5 < need.grams.usual < 120 / 2 < need.grams.high
    labelled = yarn.need([(piece, 1)], None, Swatch(6, 100), dk, Ball(metres=60, grams=25))
    assert labelled is not None
    assert labelled.balls == ((None, math.ceil(labelled.metres.high / 60)),)
    assert labelled.grams is not None
    assert labelled.grams.usual == pytest.approx(labelled.metres.usual * 25 / 60)


def test_time_at_ones_own_pace(make_piece: MakePiece) -> None:
    piece = make_piece([20] * 10, starts_in=20)
    own = pace.minutes([(piece, 1)], pace.measured(200, 10))
    assert own.usual == pytest.approx(10)
    guess = pace.minutes([(piece, 1)])
    assert guess.high / guess.low > own.high / own.low


@pytest.mark.parametrize("figures", [(0, 1), (1, 0), (-1, 5), (math.nan, 1), (1, math.inf)])
def test_figures_that_cannot_be_are_refused(figures: tuple[float, float]) -> None:
    for make in (Swatch, Ball, pace.measured):
        with pytest.raises(MakerError, match="above nothing"):
            make(*figures)


def test_what_is_left_is_all_at_the_start_and_nothing_at_the_end(
    make_piece: MakePiece, make_pattern: MakePattern
) -> None:
    body, ear = make_piece([6, 12, 18]), make_piece([6, 12], name="EAR", copies=2)
    pattern = make_pattern(body, ear)
    whole = estimate(pattern, swatch=Swatch(6, 100))
    start = left(pattern, {}, swatch=Swatch(6, 100))
    assert start.stitches == whole.stitches == 36 + 2 * 18
    assert whole.yarn is not None
    assert start.metres is not None
    assert start.metres.usual == pytest.approx(whole.yarn.metres.usual)
    end = left(pattern, {0: [Made(3)], 1: [Made(2), Made(2)]}, swatch=Swatch(6, 100))
    assert end.stitches == 0
    assert end.metres is not None
    assert end.metres.usual == 0
    assert end.minutes.high == 0


def test_what_is_left_in_the_middle(make_piece: MakePiece, make_pattern: MakePattern) -> None:
    pattern = make_pattern(make_piece([6, 12, 18]), make_piece([6, 12], name="EAR", copies=2))
    # The body is done to stitch 5 of round 3, of 18: 13 left there and two ears of 18 to come.
    rest = left(pattern, {0: [Made(2, 5)]}, swatch=Swatch(6, 100))
    assert rest.stitches == 13 + 36
    assert rest.metres is not None
    assert rest.metres.low < rest.metres.usual < rest.metres.high


@given(st.integers(0, 2), st.integers(0, 17))
def test_every_stitch_made_leaves_less(rounds: int, made: int) -> None:
    from companion.craft.rounds import rounds_of
    from companion.pattern.model import Round, Span, Step

    nowhere = Span(1, 1, 1, 1)
    step = Step(Work("sc", 1), takes=1, gives=1, run=0)
    entry = Round("Rnds 1-3", "round", 1, 3, (), (step,) * 18, 18, 18, None, "worked_out", "", nowhere)
    piece = Piece("TUBE", 1, (entry,), nowhere)
    pattern = Pattern("Test", "US", (piece,), (), "")
    assert len(rounds_of(piece)) == 3
    here, further = (left(pattern, {0: [Made(rounds, count)]}, swatch=Swatch(6, 100)) for count in (made, made + 1))
    assert here.stitches == 54 - 18 * rounds - made
    assert here.metres is not None
    assert further.metres is not None
    assert here.metres.usual - further.metres.usual == pytest.approx(0.06)


def test_a_place_that_is_not_there_is_refused(make_piece: MakePiece, make_pattern: MakePattern) -> None:
    pattern = make_pattern(make_piece([6, 12]))
    for made in ({0: [Made(3)]}, {0: [Made(), Made()]}, {4: [Made()]}):
        with pytest.raises(MakerError):
            left(pattern, made)


def test_stuffing_is_for_what_the_pattern_stuffs(make_piece: MakePiece, make_pattern: MakePattern) -> None:
    counts = [6, 12, 18, 18, 18, 12, 6]
    stuffed = make_piece(counts, notes=(Note("stuffing", "Stuff firmly."),))
    empty = make_piece(counts, name="ARM", notes=(Note("stuffing", "Do not stuff."),))
    both = estimate(make_pattern(stuffed, empty), stitches_per_10cm=20, rounds_per_10cm=20)
    assert [piece.stuffed for piece in both.pieces] == [True, False]
    alone = estimate(make_pattern(stuffed), stitches_per_10cm=20, rounds_per_10cm=20)
    assert both.stuffing_grams == alone.stuffing_grams
    assert estimate(make_pattern(empty), stitches_per_10cm=20).stuffing_grams is None


def test_stuffing_is_as_uncertain_as_its_volume_and_its_weight_together(
    make_piece: MakePiece, make_pattern: MakePattern
) -> None:
    """A length 5 per cent off is a volume 1.05 cubed, 15.8 per cent, off; and a litre weighs 30 to 60 grams."""
    piece = make_piece([6, 12, 18, 18, 18, 12, 6], notes=(Note("stuffing", "Stuff firmly."),))
    found = estimate(make_pattern(piece), stitches_per_10cm=20, rounds_per_10cm=20)
    size = found.pieces[0].size
    assert size is not None
    assert size.volume is not None
    assert found.stuffing_grams is not None
    assert found.stuffing_grams.high == pytest.approx(60 * size.volume / 1000 * 1.157625)
    assert found.stuffing_grams.low == pytest.approx(30 * size.volume / 1000 * 0.857375)
    assert any(line.startswith("Stuffing: up to ") for line in as_lines(found))


def test_stuffing_named_in_the_materials_alone_is_for_what_closes(
    make_piece: MakePiece, make_pattern: MakePattern
) -> None:
    counts = [6, 12, 18, 18, 18, 12, 6]
    ball = make_piece(counts, notes=(Note("close", "Gather the last round to close."),))
    pattern = make_pattern(ball, make_piece([6, 12, 12], name="CUP"), materials=("toy stuffing",))
    both = estimate(pattern, stitches_per_10cm=20, rounds_per_10cm=20)
    alone = estimate(make_pattern(ball, materials=("toy stuffing",)), stitches_per_10cm=20, rounds_per_10cm=20)
    assert alone.stuffing_grams is not None
    assert both.stuffing_grams == alone.stuffing_grams
    assert any("not where it goes" in line for line in as_lines(both))
    assert estimate(make_pattern(ball), stitches_per_10cm=20).stuffing_grams is None


@pytest.mark.parametrize(
    ("usual", "low", "high", "said"),
    [
        (10, 8.2, 11.1, "8 to 12 minutes"),
        (0.2, 0.1, 0.3, "about 1 minute"),
        (70, 41, 98, "40 minutes to 1 hour 45 minutes"),
        (60, 57, 61, "55 minutes to 1 hour 5 minutes"),
        (900, 700, 1300, "11 hours to 22 hours"),
    ],
)
def test_a_time_is_no_narrower_than_it_was_worked_out(usual: float, low: float, high: float, said: str) -> None:
    assert clock.span(Between(usual, low, high)) == said
