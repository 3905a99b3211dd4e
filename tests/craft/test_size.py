"""Size against plain geometry, worked out apart, and against trimesh."""

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from companion.craft import shaping
from companion.craft.gauge import from_figures
from companion.craft.size import measure, radius, rise, ruffle_notes, solid_of_revolution
from companion.pattern.model import Note, Piece
from companion.pattern.reader import read

MakePiece = Callable[..., Piece]
SQUARE = from_figures(20, 20)  # a stitch 5 mm wide, a round 5 mm tall


def test_a_tube_is_as_wide_as_its_stitches_and_as_high_as_its_rounds(make_piece: MakePiece) -> None:
    size = measure(make_piece([24] * 10, starts_in=24), SQUARE)
    assert size.widest == pytest.approx(24 * 5 / math.pi)
    assert size.height == pytest.approx(50)
    # A cylinder: pi r^2 h.
    assert size.volume == pytest.approx(math.pi * (60 / math.pi) ** 2 * 50 / 1000)


def test_the_rule_worked_by_hand(make_piece: MakePiece) -> None:
    # 28 stitches and 30 rounds to 10 cm: w = 100/28, h = 100/30. Rounds of 6, 12 grow by 6 w / 2 pi = 3.410 mm, more
    # than the 3.333 mm of a round, and rise by nothing; 18 to 20 grows by 1.137 and rises by 3.133, the root of
    # 3.333^2 - 1.137^2.
    gauge = from_figures(28, 30)
    size = measure(make_piece([6, 12, 18, 20]), gauge)
    assert [round(one.radius, 3) for one in size.rounds] == [3.410, 6.821, 10.231, 11.368]
    assert [round(one.rise, 3) for one in size.rounds] == [0, 0, 0, 3.133]
    assert size.height == pytest.approx(3.133, abs=5e-4)
    assert size.widest == pytest.approx(22.736, abs=5e-4)


def test_a_cone_of_known_slant() -> None:
    # A 3-4-5 triangle: 5 mm of fabric that goes 3 mm outwards rises 4 mm.
    assert rise(5, 3, 0) == pytest.approx(4)
    assert rise(5, 0, 3) == pytest.approx(4)
    assert rise(5, 9, 0) == 0


@given(
    st.lists(st.tuples(st.floats(0.5, 80), st.floats(0.05, 8)), min_size=1, max_size=12),
)
def test_volume_agrees_with_trimesh(steps: list[tuple[float, float]]) -> None:
    """trimesh (MIT) turns the outline into a mesh of 64 sides and measures that: an independent sum of tetrahedra."""
    heights = np.cumsum([up for _, up in steps])
    profile = [
        (0.0, 0.0),
        *((r, float(z)) for (r, _), z in zip(steps, heights, strict=True)),
        (0.0, float(heights[-1])),
    ]
    sides = 64
    mesh = trimesh.creation.revolve(np.array(profile), sections=sides)
    # A circle holds so much more than the polygon of 64 sides that stands for it.
    round_again = (2 * math.pi / sides) / math.sin(2 * math.pi / sides)
    assert solid_of_revolution(profile) == pytest.approx(mesh.volume * round_again, rel=1e-6)


@pytest.mark.parametrize("figures", [(28, 30), (24, 26), (20, 20), (18, 20)])
@pytest.mark.parametrize("stitches", [24, 30, 36, 48, 60, 90, 120])
def test_a_ball_is_a_sphere(make_piece: MakePiece, figures: tuple[float, float], stitches: int) -> None:
    """Against the sphere of the same girth: every edge, and the height, within a tenth of the radius.

    The volume is within six per cent: the smallest has twelve rounds, half a round of which is four per cent, and
    twelve rounds with straight sides inside a sphere lack two per cent of it.
    """
    gauge = from_figures(*figures)
    size = measure(make_piece(shaping.ball(stitches, gauge).counts), gauge)
    ideal = radius(stitches, gauge.stitch_mm)
    assert size.widest == pytest.approx(2 * ideal)
    assert size.height == pytest.approx(2 * ideal, rel=0.1)
    assert size.volume == pytest.approx(4 / 3 * math.pi * ideal**3 / 1000, rel=0.06)
    assert size.height is not None
    for one in size.rounds:
        assert math.hypot(one.radius, one.z - size.height / 2) == pytest.approx(ideal, rel=0.1)


def test_a_round_that_grows_by_more_than_its_height_lies_flat_and_is_said_to_ruffle(make_piece: MakePiece) -> None:
    size = measure(make_piece([6, 24, 24]), SQUARE)
    assert size.rounds[1].rise == 0
    assert any(note.startswith("Rnd 2 lies flat and will ruffle") for note in size.notes)
    assert not measure(make_piece([6, 12, 12]), SQUARE).notes


def test_a_little_and_much_are_told_apart(make_piece: MakePiece) -> None:
    # 6 a round at 28 by 30 is two per cent more than flat, 12 a round is twice as much, 8 a round is 36 per cent more.
    gauge = from_figures(28, 30)
    little, much, more = (
        ruffle_notes(measure(make_piece(counts), gauge).rounds)
        for counts in ([6, 12, 18, 18, 24], [12, 24, 36, 36], [6, 6, 14, 14])
    )
    assert little == [
        "Rnd 1 to Rnd 3 and Rnd 5 lie flat and by this gauge will ruffle a little (2% more than flat); handling may "
        "smooth it."
    ]
    assert much == [
        "Rnd 1 to Rnd 3 lie flat and will ruffle: by this gauge they grow about twice as much as a flat round does."
    ]
    assert more[0] == ("Rnd 3 lies flat and will ruffle: by this gauge it grows 36% more than a flat round does.")
    assert more[1].startswith("Rnd 1 lies flat")


def test_an_edge_that_ruffles_is_said_to_be_narrower_than_its_width(make_piece: MakePiece) -> None:
    """Plain geometry: three rounds of 5 mm reach 15 mm from the middle, and an edge of 72 stitches asks for 57."""
    says = "Ruffled, it comes out narrower than the width given here."
    assert says in measure(make_piece([8, 24, 72]), SQUARE).notes
    # Rounds straight up give the fabric room to spread out again; a chain worked along both sides is wide by itself.
    assert says not in measure(make_piece([6, 24, *[24] * 8]), SQUARE).notes
    assert says not in measure(make_piece([24] * 3, starts_in=24), SQUARE).notes


def test_a_closed_end_is_flat_and_told(make_piece: MakePiece) -> None:
    size = measure(make_piece([6, 12, 12, 6], notes=(Note("close", "Gather the last round."),)), SQUARE)
    assert size.closed
    assert size.profile[0] == (0, 0)
    assert size.profile[-1] == (0, size.height)


def test_rows_are_flat(make_piece: MakePiece) -> None:
    size = measure(make_piece([20] * 8 + [22, 20], kind="row"), from_figures(16, 18))
    assert size.flat
    assert size.widest == pytest.approx(22 * 100 / 16)
    assert size.height == pytest.approx(10 * 100 / 18)
    assert size.volume == 0


def test_taller_stitches_make_taller_rows(make_piece: MakePiece) -> None:
    size = measure(make_piece([20, 20], kind="row", stitches=["sc", "dc"]), from_figures(16, 20))
    assert size.height == pytest.approx(5 + 5 * 1.9)


def test_gauge_counted_in_double_crochet_is_not_made_taller_again(make_piece: MakePiece) -> None:
    size = measure(make_piece([20, 20], kind="row", stitches=["dc", "dc"]), from_figures(16, 10, "dc"))
    assert size.height == pytest.approx(20)


def test_a_range_counts_as_often_as_it_says(make_piece: MakePiece) -> None:
    piece = make_piece([12, 12], starts_in=12)
    last = replace(piece.rounds[-1], label="Rnds 2-6", last=6)
    size = measure(replace(piece, rounds=(piece.rounds[0], last)), SQUARE)
    assert size.height == pytest.approx(6 * 5)
    assert [one.label for one in size.rounds][1:3] == ["Rnd 2", "Rnd 3"]


def test_an_unknown_round_leaves_the_size_unknown_and_says_which(make_piece: MakePiece) -> None:
    size = measure(make_piece([6, None, 12]), SQUARE)
    assert (size.widest, size.height, size.volume) == (None, None, None)
    assert any("Rnd 2 could not be worked out" in note for note in size.notes)


@given(st.lists(st.integers(3, 120), min_size=1, max_size=30), st.floats(11, 40), st.floats(11, 40))
def test_any_counts_give_a_height_between_nothing_and_the_fabric(counts: list[int], wide: float, tall: float) -> None:
    gauge = from_figures(wide, tall)
    rounds = [radius(count, gauge.stitch_mm) for count in counts]
    rises = [rise(gauge.round_mm, now, before) for before, now in zip([0.0, *rounds], rounds, strict=False)]
    assert all(0 <= up <= gauge.round_mm for up in rises)


def test_an_oval_neither_ruffles_nor_is_called_round() -> None:
    """A round along both sides of a chain closes round a line: its growth from nothing says nothing of ruffling."""
    text = (
        "X\nTerms: US\n\nX\nRnd 1: ch 6, sc in 2nd ch from hook, 3 sc, 3 sc in last ch, "
        "3 sc along the other side of the chain, 2 sc in last ch [12]\nRnd 2: inc, 3 sc, inc x 3, 3 sc, inc x 2 [18]\n"
    )
    piece = read(text).pieces[0]
    notes = measure(piece, from_figures(20, 20)).notes
    assert any(note.startswith("Rnd 1 goes along both sides of a chain, so the piece is oval") for note in notes)
    assert not any("ruffle" in note for note in notes)


def test_rounds_that_could_not_be_worked_out_are_named_once(make_piece: MakePiece) -> None:
    notes = measure(make_piece([6, None, None, 12]), from_figures(20, 20)).notes
    assert notes[0] == "Rnd 2 and Rnd 3 could not be worked out, so the size of this piece is not known."
    assert len([note for note in notes if "worked out" in note]) == 1
