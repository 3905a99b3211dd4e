"""Shapes: read back without a problem, as large as asked, flat where they should be flat."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.craft import ruffle, shaping
from companion.craft.gauge import SIX_A_ROUND, Gauge, from_figures
from companion.craft.size import height_of
from companion.errors import MakerError
from companion.pattern.reader import read

SIZES = st.integers(6, 120)
GAUGES = st.builds(from_figures, st.floats(12, 40), st.floats(14, 44))


def _reads_back(shape: shaping.Shape) -> None:
    """The reader works out every round of the shape as it was meant, and finds nothing to say."""
    pattern = read(shape.pattern)
    assert pattern.problems == ()
    [piece] = pattern.pieces
    assert tuple(entry.stitches for entry in piece.rounds for _ in range(entry.times)) == shape.counts


@settings(deadline=None, max_examples=60)
@given(SIZES)
def test_any_disc_reads_back(stitches: int) -> None:
    shape = shaping.disc(stitches)
    _reads_back(shape)
    assert shape.counts[-1] == stitches


@settings(deadline=None, max_examples=60)
@given(SIZES, st.none() | GAUGES)
def test_any_ball_reads_back(stitches: int, gauge: Gauge | None) -> None:
    shape = shaping.ball(stitches, gauge)
    _reads_back(shape)
    assert max(shape.counts) == stitches
    assert shape.counts == shape.counts[::-1]


@settings(deadline=None, max_examples=60)
@given(st.integers(10, 120))
def test_a_ball_without_a_gauge_is_as_high_as_it_is_wide(stitches: int) -> None:
    """Plain geometry of the sphere, by the flat round of common practice that gains six: a round off, hardly more."""
    across = stitches / math.pi
    assert height_of(shaping.ball(stitches).counts, 1, SIX_A_ROUND) == pytest.approx(across, abs=1.1 * SIX_A_ROUND)


@settings(deadline=None, max_examples=40)
@given(SIZES, st.integers(1, 40), st.booleans())
def test_any_tube_reads_back(stitches: int, rounds: int, closed: bool) -> None:
    shape = shaping.tube(stitches, rounds, closed=closed)
    _reads_back(shape)
    assert shape.counts[-rounds:] == (stitches,) * rounds


@settings(deadline=None, max_examples=40)
@given(SIZES, st.integers(0, 40))
def test_any_cone_reads_back(stitches: int, more: int) -> None:
    shape = shaping.cone(stitches, math.ceil(stitches / 6) + 1 + more)
    _reads_back(shape)
    assert (shape.counts[0], shape.counts[-1]) == (6, stitches)
    growth = [after - before for before, after in zip(shape.counts, shape.counts[1:], strict=False)]
    assert max(growth) - min(growth) <= 1


def test_a_disc_is_the_flat_round_of_common_practice() -> None:
    """6, 12, 18, 24, 30, 36: common practice, no source."""
    assert shaping.disc(36).counts == (6, 12, 18, 24, 30, 36)


def test_the_flat_figure_is_two_pi_h_over_w() -> None:
    gauge = from_figures(24, 26)
    assert ruffle.flat_growth(gauge) == pytest.approx(2 * math.pi * (100 / 26) / (100 / 24))
    assert ruffle.flat_growth() == pytest.approx(6)
    # Common practice, no source: about 8 for half double and 12 for double crochet.
    assert ruffle.flat_growth(stitch="hdc") == pytest.approx(8, rel=0.1)
    assert ruffle.flat_growth(stitch="dc") == pytest.approx(12, rel=0.1)


@pytest.mark.parametrize(
    ("before", "after", "lies"),
    [(12, 18, "flat"), (12, 24, "ruffles"), (12, 15, "cups"), (18, 18, "cups"), (0, 6, "flat")],
)
def test_ruffle_or_cup(before: int, after: int, lies: str) -> None:
    assert ruffle.lie(before, after).lies == lies


def test_sizes_in_millimetres_become_stitches_and_rounds() -> None:
    gauge = from_figures(20, 20)
    # pi x 60 mm at 5 mm a stitch.
    assert shaping.stitches_for(60, gauge) == 38
    assert shaping.rounds_for(51, gauge) == 10
    with pytest.raises(MakerError):
        shaping.stitches_for(1, gauge)


@pytest.mark.parametrize("stitches", [0, 2, 5000])
def test_sizes_that_cannot_be_worked_are_refused(stitches: int) -> None:
    for shape in (shaping.disc, shaping.ball):
        with pytest.raises(MakerError, match="between 3 and"):
            shape(stitches)


def test_a_cone_too_steep_is_refused() -> None:
    with pytest.raises(MakerError, match="more rounds"):
        shaping.cone(60, 3)
