"""Charts: every stitch of the pattern is on them, where it belongs, and nothing else is."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Literal
from xml.etree.ElementTree import Element, fromstring

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.paper.chart import chart
from companion.paper.geometry import WIDTH, Layout, is_beside, singles
from companion.paper.laid_out import place
from companion.pattern.model import Chain, Piece
from companion.pattern.reader import read, read_file
from companion.resources import sample, shared_folder

SAMPLES = sorted(path.name for path in (shared_folder() / "patterns").glob("*.txt"))
SAMPLER = """Sampler
Terms: US
PIECE
Rnd 1: 6 sc in magic ring [6]
Rnd 2: inc x 6 [12]
Rnd 3: (sc, dec) x 4 [8]
Rnd 4: (sc, 3 dc in next st) x 4 [16]
Rnd 5: (dc2tog, 2 hdc) x 4 [12]
Rnd 6: (bobble, popcorn, puff) x 4 [12]
Rnd 7: (fpdc, bpdc) x 6 [12]
Rnd 8: (tr, ch 2, dtr) x 6 [12]
Rnd 9: (shell, sl st) x 6 [36]
Rnd 10: sc in BLO of each st around [36]
Rnd 11: hdc in FLO of each st around, join with sl st [36]
"""
SVG = "{http://www.w3.org/2000/svg}"


def pieces(name: str) -> tuple[Piece, ...]:
    return read_file(sample(name)).pieces


def drawn(svg: str) -> Element:
    return fromstring(svg)


def of_class(course: Element, name: str) -> list[Element]:
    return [element for element in course.iter() if name in element.get("class", "").split()]


def courses(svg: str) -> list[Element]:
    return [group for group in drawn(svg).findall(f"{SVG}g") if group.get("data-round")]


@pytest.mark.parametrize("name", SAMPLES)
def test_the_signs_of_a_round_are_its_worked_out_stitches(name: str) -> None:
    for piece in pieces(name):
        expected = [(str(n), entry.stitches) for n, entry in singles(piece) if n is not None and entry.steps]
        shown = [(c.get("data-round"), len(of_class(c, "stitch"))) for c in courses(chart(piece))]
        assert [pair for pair in shown if pair[1]] == expected


def test_every_kind_of_stitch_is_drawn_and_named_in_the_key() -> None:
    pattern = read(SAMPLER)
    assert not pattern.problems
    (piece,) = pattern.pieces
    svg = chart(piece)
    assert [len(of_class(c, "stitch")) for c in courses(svg)] == [6, 12, 8, 16, 12, 12, 12, 12, 36, 36, 36]
    assert len(of_class(courses(svg)[7], "chain")) == 12
    key = {text.text for text in of_class(drawn(svg), "key")[0].iter(f"{SVG}text")}
    assert key >= {"single crochet", "2 single crochet in one stitch", "2 double crochet together", "bobble", "popcorn"}
    assert key >= {"puff stitch", "front post double crochet", "single crochet, back loop only", "chain", "shell"}
    uk = {text.text for text in of_class(drawn(chart(piece, "UK")), "key")[0].iter(f"{SVG}text")}
    assert uk >= {"double crochet", "2 treble crochet together", "front post treble crochet"}


def tops(layout: Layout) -> list[list[tuple[float, float]]]:
    return [[(top.x, top.y) for motion in course.motions for top in motion.tops] for course in layout.courses]


@pytest.mark.parametrize("name", SAMPLES)
def test_the_left_handed_chart_is_the_mirror_image(name: str) -> None:
    for piece in pieces(name):
        right, left = tops(place(piece, "right")), tops(place(piece, "left"))
        for ours, theirs in zip(right, left, strict=True):
            for (x, y), (mirrored, level) in zip(ours, theirs, strict=True):
                assert mirrored == pytest.approx(-x, abs=1e-6)
                assert level == pytest.approx(y, abs=1e-6)


@pytest.mark.parametrize("name", SAMPLES)
def test_rounds_lie_outside_each_other_and_rows_above(name: str) -> None:
    for piece in pieces(name):
        layout = place(piece)
        levels = [
            {round(math.hypot(x, y) if layout.in_the_round else -y, 3) for x, y in course}
            for course in tops(layout)
            if course
        ]
        assert all(len(level) == 1 for level in levels)
        heights = [next(iter(level)) for level in levels]
        assert heights == sorted(heights)
        assert len(set(heights)) == len(heights)


def test_motions_stand_on_the_stitches_they_take() -> None:
    (piece,) = read("X\nTerms: US\nP\nRnd 1: 6 sc in magic ring [6]\nRnd 2: inc x 6 [12]\nRnd 3: dec x 6 [6]\n").pieces
    ring, grown, narrowed = place(piece).courses
    below = [top for motion in ring.motions for top in motion.tops]
    assert [motion.feet for motion in grown.motions] == [(foot,) for foot in below]
    below = [top for motion in grown.motions for top in motion.tops]
    assert [foot for motion in narrowed.motions for foot in motion.feet] == below


@given(st.lists(st.integers(0, 5), min_size=2, max_size=9))
@settings(max_examples=25, deadline=None)
def test_any_flat_circle_keeps_its_stitches_apart(plain: list[int]) -> None:
    """In a round of n stitches no two tops are nearer than most of a stitch's room."""
    text = "Circle\nTerms: US\nP\nRnd 1: 6 sc in magic ring [6]\n"
    stitches = 6
    for number, _ in enumerate(plain, start=2):
        grown = stitches + 6
        text += f"Rnd {number}: ({stitches // 6 - 1} sc, inc) x 6 [{grown}]\n".replace("(0 sc, inc)", "(inc)")
        stitches = grown
    (piece,) = read(text).pieces
    for course in tops(place(piece)):
        for (x, y), (next_x, next_y) in zip(course, [*course[1:], course[0]], strict=True):
            assert math.hypot(next_x - x, next_y - y) > 12


def test_the_text_alternative_tells_what_the_chart_shows() -> None:
    (piece,) = read("X\nTerms: US\nEGG\nRnd 1: 6 sc in magic ring [6]\nRnd 2: inc x 6 [12]\n").pieces
    svg = drawn(chart(piece))
    assert svg.get("role") == "img"
    labels = svg.get("aria-labelledby", "").split()
    told = [element.text for label in labels for element in svg.iter() if element.get("id") == label]
    assert told == [
        "Chart of Egg",
        "Rounds 1 to 2, read against the clock from the middle outwards. Stitches, round by round: 6, 12. The same "
        "stitches are written out in the pattern.",
    ]


def course_points(text: str, kind: str = "tops") -> list[list[tuple[float, float]]]:
    (piece,) = read(f"X\nTerms: US\nP\n{text}").pieces
    return [
        [(point.x, point.y) for motion in course.motions for point in getattr(motion, kind)]
        for course in place(piece).courses
    ]


SQUARE = """Rnd 1: ch 4, join to form a ring, ch 3 (counts as dc), 2 dc in ring, (ch 2, 3 dc in ring) x 3, ch 2, join
Rnd 2: sl st in next 2 sts, sl st in ch-2 sp, ch 3 (counts as dc), (2 dc, ch 2, 3 dc) in same sp, \
(ch 1, (3 dc, ch 2, 3 dc) in next ch-2 sp) x 3, ch 1, join with sl st
"""


def test_a_square_has_its_corners_at_the_corner_spaces() -> None:
    chains, tops_ = course_points(SQUARE, "chains"), course_points(SQUARE)
    far = max(math.hypot(x, y) for x, y in chains[1])
    corners = [(x, y) for x, y in chains[1] if math.hypot(x, y) > far - 4]
    assert len(corners) == 8, "two chains in each of four corners"
    middles = [((x + a) / 2, (y + b) / 2) for (x, y), (a, b) in zip(corners[::2], corners[1::2], strict=True)]
    assert all(abs(x) == pytest.approx(abs(y), abs=0.01) for x, y in middles)
    assert {(x > 0, y > 0) for x, y in middles} == {(True, True), (True, False), (False, True), (False, False)}
    sides = {round(max(abs(x), abs(y)), 3) for x, y in tops_[1]}
    assert len(sides) == 1, "the tops of a side stand in a line"


def test_stitches_of_a_square_start_in_the_spaces_they_are_worked_into() -> None:
    (piece,) = read(f"X\nTerms: US\nP\n{SQUARE}").pieces
    ring, grown = place(piece).courses
    spaces = [motion.chains for motion in ring.motions if len(motion.chains) == 2]
    feet = list(dict.fromkeys(foot for motion in grown.motions if motion.tops for foot in motion.feet))
    assert len(feet) == len(spaces) == 4
    for foot in feet:
        assert min(math.hypot(foot.x - (a.x + b.x) / 2, foot.y - (a.y + b.y) / 2) for a, b in spaces) < WIDTH / 2


MESH = """Row 1: ch 14, sc in 2nd ch from hook and in each ch across, turn [13]
Row 2: ch 4 (counts as dc and ch 1), sk 1, dc, (ch 1, sk 1, dc) x 5, turn
"""


def test_a_mesh_stands_upright_and_its_chains_hang_between_their_neighbours() -> None:
    (piece,) = read(f"X\nTerms: US\nP\n{MESH}").pieces
    row = place(piece).courses[1]
    for motion in row.motions:
        if motion.tops:
            assert motion.tops[0].x == pytest.approx(motion.feet[0].x)
    xs = [(m.tops or m.chains)[0].x for m in row.motions if m.tops or m.chains]
    assert xs == sorted(xs) or xs == sorted(xs, reverse=True)
    for before, chain, after in zip(xs[1::2], xs[2::2], xs[3::2], strict=False):
        assert chain == pytest.approx((before + after) / 2)


def test_stitches_of_a_row_keep_apart_where_it_narrows_and_widens() -> None:
    text = "Row 1: 9 sc\nRow 2: sc2tog, 5 sc, sc2tog [7]\nRow 3: (2 sc in next st) x 7 [14]\n"
    for row in course_points(text):
        xs = [x for x, _ in row]
        assert min(abs(a - b) for a, b in pairwise(xs)) > 12


def test_a_joined_round_shows_its_slip_stitch_beside_its_first_stitch() -> None:
    text = "Rnd 1: magic ring, ch 3 (counts as dc), 11 dc in ring, join with sl st [12]\n"
    (piece,) = read(f"X\nTerms: US\nP\n{text}").pieces
    (course,) = courses(chart(piece))
    (dot,) = of_class(course, "join")
    (first, *_), *_ = (motion.tops for motion in place(piece).courses[0].motions if motion.tops)
    assert math.hypot(float(dot.get("cx", 0)) - first.x, float(dot.get("cy", 0)) - first.y) < WIDTH


OVAL = """Rnd 1: ch 6, sc in 2nd ch from hook, 3 sc, 3 sc in last ch, working along the other side of the chain: 3 sc, \
2 sc in last ch [12]
Rnd 2: inc, 3 sc, inc x 3, 3 sc, inc x 2 [18]
"""


def test_an_oval_goes_around_its_straight_chain() -> None:
    (chain, _), rounds = course_points(OVAL, "chains"), course_points(OVAL)
    assert {y for _, y in chain} == {0.0}
    for course in rounds:
        wide, high = max(x for x, _ in course), max(y for _, y in course)
        assert wide - high == pytest.approx(2 * WIDTH, abs=WIDTH / 2), "half of the four chains between its ends"


def test_the_chains_drawn_of_a_foundation_are_those_that_are_made() -> None:
    counted = "Row 1: ch 13, 1 hdc in 3rd ch from hook (skipped ch counts as a stitch), 10 hdc, turn [12]\n"
    (piece,) = read(f"X\nTerms: US\nP\n{counted}").pieces
    (row,) = courses(chart(piece))
    assert (len(of_class(row, "chain")), len(of_class(row, "link"))) == (11, 2)
    assert len(of_class(row, "stitch")) == 12


CLOSED = """Rnd 1: 12 dc in magic ring, join with sl st [12]
Rnd 2: ch 3 (does not count as a stitch), inc x 12, join with sl st [24]
Rnd 3: ch 3 (does not count as a stitch), (1 dc, inc) x 12, join with sl st [36]
"""
TURNED = """Row 1: ch 8, sc in 2nd ch from hook and in each ch across, turn [7]
Row 2: ch 2 (does not count as a stitch), 7 hdc, ch 1 (does not count as a stitch), turn [7]
Row 3: 7 sc
"""


@pytest.mark.parametrize(("text", "beside"), [(CLOSED, [0, 3, 3]), (TURNED, [0, 3, 0])], ids=["rounds", "rows"])
@pytest.mark.parametrize("hand", ["right", "left"])
def test_a_starting_chain_that_is_no_stitch_stands_clear_beside_the_first(
    text: str, beside: list[int], hand: Literal["right", "left"]
) -> None:
    (piece,) = read(f"X\nTerms: US\nP\n{text}").pieces
    assert [len(of_class(course, "beside")) for course in courses(chart(piece, hand=hand))] == beside
    for course in place(piece, hand).courses:
        made = [top for motion in course.motions for top in motion.tops]
        for chain in (point for m in course.motions for point in m.chains if is_beside(m.step)):
            assert min(math.hypot(chain.x - top.x, chain.y - top.y) for top in made) > 8


@pytest.mark.parametrize("text", [CLOSED, TURNED, "Rnd 1: 6 sc in magic ring\nRnd 2: inc x 6\nRnd 3: 12 sc\n"])
def test_the_number_of_a_round_stands_clear_of_its_signs(text: str) -> None:
    (piece,) = read(f"X\nTerms: US\nP\n{text}").pieces
    for course in place(piece).courses:
        for motion in course.motions:
            for foot, top in zip(motion.feet, motion.tops, strict=False):
                middle = (foot.x + top.x) / 2, (foot.y + top.y) / 2
                assert math.hypot(course.start.x - middle[0], course.start.y - middle[1]) > 10
            for chain in motion.chains if is_beside(motion.step) else ():
                assert math.hypot(course.start.x - chain.x, course.start.y - chain.y) > 8


def test_a_ring_of_chains_lies_within_what_is_worked_into_it() -> None:
    (piece,) = read("X\nTerms: US\nP\nRnd 1: ch 6, join to form a ring, 12 dc in ring [12]\n").pieces
    (course,) = place(piece).courses
    ring = [math.hypot(point.x, point.y) for motion in course.motions for point in motion.chains]
    feet = [math.hypot(foot.x, foot.y) for motion in course.motions if motion.tops for foot in motion.feet]
    assert len(ring) == 6
    assert max(ring) < min(feet)


def test_a_starting_chain_that_fills_up_a_corner_starts_in_it() -> None:
    begun = "Rnd 1: ch 4, join to form a ring, (3 dc in ring, ch 2) x 4, join with sl st [12]\n"
    grown = "Rnd 2: ch 3 (counts as dc), 2 dc in next sp, ch 2, 3 dc in same sp, ch 1, "
    grown += "(3 dc in next sp, ch 2, 3 dc in same sp, ch 1) x 3, join with sl st [24]\n"
    (piece,) = read(f"X\nTerms: US\nP\n{begun}{grown}").pieces
    chain, two, *_ = (motion for motion in place(piece).courses[1].motions if motion.tops)
    assert isinstance(chain.step.instruction, Chain)
    assert chain.feet == two.feet


def test_a_strip_along_a_chain_is_drawn_straight() -> None:
    (chain,) = course_points("Rnd 1: ch 5, sc in 2nd ch from hook, 3 sc, fasten off [4]\n", "chains")
    assert len({y for _, y in chain}) == 1


def test_stitches_worked_together_stand_up_where_the_piece_draws_in() -> None:
    text = "Rnd 1: 6 sc in magic ring\nRnd 2: inc x 6\nRnds 3-9: 12 sc\nRnd 10: dec x 6 [6]\n"
    (piece,) = read(f"X\nTerms: US\nP\n{text}").pieces
    for motion in place(piece).courses[-1].motions:
        one, two = motion.feet
        apart = math.hypot(one.x - two.x, one.y - two.y)
        rise = math.hypot(motion.tops[0].x, motion.tops[0].y) - math.hypot(one.x, one.y)
        assert rise > apart / 3
