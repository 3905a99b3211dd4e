"""Shapes by their size: what comes out is what was asked for, as near as whole stitches and rounds allow."""

import math
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from companion.cli import main
from companion.craft.choose import choose, without_pattern
from companion.craft.gauge import Gauge, from_figures, from_hook
from companion.craft.shape_of_size import Wanted, shape_of
from companion.craft.size import PieceSize, measure
from companion.errors import MakerError
from companion.pattern.reader import read

GAUGES = st.builds(from_figures, st.floats(14, 32), st.floats(15, 34))
WIDTHS = st.floats(30, 150)


def _made(wanted: Wanted, gauge: Gauge) -> PieceSize:
    """The size of a shape that the reader reads back without a problem."""
    pattern = read(shape_of(wanted, gauge).pattern)
    assert pattern.problems == ()
    [piece] = pattern.pieces
    size = measure(piece, gauge)
    assert size.widest is not None
    assert size.widest == pytest.approx(wanted.across_mm, abs=0.51 * gauge.stitch_mm / math.pi)
    return size


@settings(deadline=None, max_examples=40)
@given(WIDTHS, GAUGES)
@example(30.0, from_figures(27, 15))  # eight heights stop short of the middle, and two fewer came out 19 mm high
@example(40.5, from_figures(14.3, 15))  # as many rounds as half the circumference came out 29 mm high
def test_a_ball_is_as_high_as_it_is_wide(across: float, gauge: Gauge) -> None:
    """Plain geometry of the sphere, within a tenth and a round: small ones have flat ends."""
    size = _made(Wanted("ball", across_mm=across), gauge)
    assert size.height == pytest.approx(across, abs=0.1 * across + gauge.round_mm)


@settings(deadline=None, max_examples=40)
@given(WIDTHS, GAUGES)
def test_a_disc_lies_flat(across: float, gauge: Gauge) -> None:
    """Plain geometry: a flat round gains 2 pi h / w, and whole stitches are within half of one of that."""
    counts = shape_of(Wanted("disc", across_mm=across), gauge).counts
    _made(Wanted("disc", across_mm=across), gauge)
    assert counts[0] == pytest.approx(2 * math.pi * gauge.round_mm / gauge.stitch_mm, abs=0.5)


@settings(deadline=None, max_examples=40)
@given(WIDTHS, st.floats(20, 200), GAUGES, st.booleans())
def test_a_tube_is_as_high_as_asked(across: float, high: float, gauge: Gauge, bottom: bool) -> None:
    size = _made(Wanted("tube", across_mm=across, high_mm=high, bottom=bottom), gauge)
    assert size.height is not None
    # A bottom that the gauge makes cup may be higher by itself than a low tube should be.
    assert size.height == pytest.approx(high, abs=0.51 * gauge.round_mm) or (bottom and size.height > high)


@settings(deadline=None, max_examples=60)
@given(WIDTHS, st.floats(1, 4), GAUGES)
def test_a_cone_is_as_high_as_asked(across: float, times: float, gauge: Gauge) -> None:
    """Pythagoras: within a round. A low one may be farther off, as a stitch more in a round makes it flat."""
    size = _made(Wanted("cone", across_mm=across, high_mm=across * times), gauge)
    assert size.height == pytest.approx(across * times, abs=gauge.round_mm)


def test_a_cone_too_low_for_whole_stitches_says_how_high_it_comes_out() -> None:
    low = shape_of(Wanted("cone", across_mm=60, high_mm=10), from_hook(3)).pattern
    assert "across, 3 to 5 mm high" in low


def test_the_pattern_tells_gauge_and_size_and_is_read_back_with_them() -> None:
    gauge = from_figures(20, 22)
    text = shape_of(Wanted("ball", across_mm=60), gauge).pattern
    assert "It comes out 5.5 to 6.5 cm across, 6 to 6.5 cm high, by your own gauge." in text
    again = choose(read(text))
    assert again is not None
    assert (again.stitches_per_10cm, again.rounds_per_10cm) == (20, 22)


def test_a_guess_says_so_and_what_would_tell_better() -> None:
    text = shape_of(Wanted("disc", across_mm=60), from_hook(4), hook=4).pattern
    assert "a guess from a 4 mm hook. A swatch of your own tells better." in text
    assert "Hook: 4 mm" in text
    assert "Gauge" not in text


@pytest.mark.parametrize(
    ("wanted", "says"),
    [
        (Wanted("ball"), "--stitches N or --across"),
        (Wanted("ball", stitches=30, across_mm=50), "--stitches N or --across"),
        (Wanted("ball", stitches=30, rounds=5), "Leave out --rounds"),
        (Wanted("disc", stitches=30, high_mm=5), "Leave out --rounds"),
        (Wanted("disc", stitches=30, bottom=False), "Leave out --open"),
        (Wanted("tube", stitches=30), "--rounds N or --high"),
        (Wanted("cone", stitches=30, rounds=9, high_mm=5), "--rounds N or --high"),
        (Wanted("ball", across_mm=50), "needs a gauge"),
        (Wanted("tube", stitches=30, high_mm=50), "needs a gauge"),
    ],
)
def test_what_does_not_belong_together_is_refused(wanted: Wanted, says: str) -> None:
    with pytest.raises(MakerError, match=says):
        shape_of(wanted, None)


@pytest.mark.parametrize("across", [1.0, 90000.0])
def test_a_size_that_cannot_be_worked_is_refused(across: float) -> None:
    with pytest.raises(MakerError, match="between 3 and 1000"):
        shape_of(Wanted("ball", across_mm=across), from_hook(4))


@pytest.mark.parametrize("options", [{"hook": 0}, {"hook": math.inf}, {"yarn": "lace"}, {"yarn": "moonbeam"}])
def test_measures_that_tell_no_gauge_are_refused(options: dict[str, Any]) -> None:
    with pytest.raises(MakerError):
        without_pattern(**options)


def test_by_the_command(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["shape", "cone", "--across", "2in", "--high", "3 inches", "--hook", "4", "--units", "imperial"]) == 0
    assert "It comes out 1 1/2 to 2 1/2 in across, 2 1/4 to 3 3/4 in high" in capsys.readouterr().out
    assert main(["shape", "ball", "--across", "wide", "--hook", "4"]) == 2
    assert "Write it like 7.5 cm" in capsys.readouterr().err
