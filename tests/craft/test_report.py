"""What is printed: the contract key for key, plain lines, and no certainty that depends on a hand."""

import json
import math
from collections.abc import Callable
from pathlib import Path

import pytest

from companion.cli import main
from companion.craft import answers
from companion.craft.choose import choose
from companion.craft.estimate import estimate
from companion.craft.report import as_json, as_lines
from companion.craft.yarn import Ball, Swatch
from companion.errors import MakerError
from companion.pattern.model import Pattern, Piece
from companion.pattern.reader import read, read_file
from companion.resources import shared_folder

MakePiece = Callable[..., Piece]
MakePattern = Callable[..., Pattern]
SAMPLES = sorted((shared_folder() / "patterns").glob("*.txt"))


def test_the_contract_key_for_key(make_piece: MakePiece, make_pattern: MakePattern) -> None:
    pattern = make_pattern(make_piece([6, 12, 12]), make_piece([6], name="EAR", copies=2))
    found = json.loads(as_json(estimate(pattern, stitches_per_10cm=28, rounds_per_10cm=30)))
    assert list(found) == ["stitches", "yarn_metres", "yarn_metres_low", "yarn_metres_high", "pieces"]
    for piece in found["pieces"]:
        assert list(piece) == ["name", "make", "stitches", "widest_diameter_mm", "height_mm", "volume_cm3"]
    assert found["stitches"] == 30 + 2 * 6
    assert [piece["stitches"] for piece in found["pieces"]] == [30, 6]
    assert found["yarn_metres_low"] < found["yarn_metres"] < found["yarn_metres_high"]


def test_what_is_not_known_is_null_and_said(make_piece: MakePiece, make_pattern: MakePattern) -> None:
    found = estimate(make_pattern(make_piece([6, None, 12])), stitches_per_10cm=20, rounds_per_10cm=20)
    printed = json.loads(as_json(found))
    assert printed["stitches"] is None
    assert printed["yarn_metres"] is None
    assert printed["pieces"][0]["height_mm"] is None
    lines = as_lines(found)
    assert any("at least 18 stitches. Not worked out: Rnd 2." in line for line in lines)
    assert any("incomplete" in line for line in lines)


def test_without_any_gauge_stitches_are_counted_and_sizes_are_not(
    make_piece: MakePiece, make_pattern: MakePattern
) -> None:
    found = estimate(make_pattern(make_piece([6, 12])))
    printed = json.loads(as_json(found))
    assert printed["stitches"] == 18
    assert printed["pieces"][0]["widest_diameter_mm"] is None
    assert any(line.startswith("No gauge") for line in as_lines(found))
    with pytest.raises(MakerError, match="without a gauge"):
        answers.how_big(make_piece([6, 12]), found.gauge)


def test_a_pattern_without_rounds_is_refused(make_pattern: MakePattern) -> None:
    with pytest.raises(MakerError, match="companion check"):
        estimate(make_pattern())


@pytest.mark.parametrize("path", SAMPLES, ids=[path.stem for path in SAMPLES])
def test_samples_are_estimated_whole(path: Path) -> None:
    found = estimate(read_file(path))
    assert found.complete
    assert found.gauge is not None
    assert found.gauge.basis == "pattern"
    assert all(piece.size and piece.size.widest for piece in found.pieces)
    lines = as_lines(found)
    assert not any("None" in line for line in lines)
    assert any("off by 10%" in line for line in lines)


def test_the_mouse_worked_by_hand() -> None:
    """Its body from its printed totals alone, the rule of size applied in the plainest way there is."""
    totals = [6, 6, 9, 12, 15, 18, *[24] * 7, 18, 18, 12, 6]
    wide, tall = 100 / 28, 100 / 30
    radii = [0, *(total * wide / 2 / math.pi for total in totals)]
    height = sum(math.sqrt(max(0, tall**2 - (radii[i] - radii[i - 1]) ** 2)) for i in range(1, len(radii)))
    printed = json.loads(as_json(estimate(read_file(shared_folder() / "patterns" / "pocket-mouse.txt"))))
    body = printed["pieces"][0]
    assert body["stitches"] == sum(totals)
    assert body["widest_diameter_mm"] == pytest.approx(2 * max(radii), abs=0.001)
    assert body["height_mm"] == pytest.approx(height, abs=0.001)
    # Body, two ears of 18, a tail of 15, a berry of 48: all copies.
    assert printed["stitches"] == sum(totals) + 2 * 18 + 15 + 48


@pytest.mark.parametrize(
    ("first", "height_mm"),
    [
        ("6 sc in a magic ring [6]", 1.484),
        ("ch 2, 6 sc in 2nd ch from hook [6]", 1.484),
        ("24 fsc, join with sl st to form a ring [24]", 5),
    ],
)
def test_a_first_round_rises_from_the_edge_it_is_worked_into(first: str, height_mm: float) -> None:
    """A ring and a single chain have no width: 6 stitches of 5 mm go 4.775 mm out and 1.484 up. An open edge rises."""
    pattern = read(f"Piece\n\nTerms: US\n\nPIECE (make 1)\nRnd 1: {first}\n")
    found = json.loads(as_json(estimate(pattern, stitches_per_10cm=20, rounds_per_10cm=20)))
    assert found["pieces"][0]["height_mm"] == pytest.approx(height_mm, abs=0.001)


def test_ranges_are_printed_with_what_would_narrow_them(make_piece: MakePiece, make_pattern: MakePattern) -> None:
    pattern = make_pattern(make_piece([6, 12, 18, 18, 18]), gauge="20 stitches and 20 rounds to 10 cm")
    lines = as_lines(estimate(pattern))
    assert any("For closer sizes" in line for line in lines)
    assert any("For closer yarn" in line for line in lines)
    measured = as_lines(
        estimate(
            pattern, stitches_per_10cm=20, rounds_per_10cm=20, swatch=Swatch(6, 100), ball=Ball(metres=125, grams=50)
        )
    )
    assert not any("For closer sizes" in line or "For closer yarn" in line for line in measured)
    assert "Balls to buy, to be safe: 1." in measured
    assert not any("yd" in line for line in measured)
    assert any("yd" in line for line in as_lines(estimate(pattern), "imperial"))


def test_the_gauge_names_its_stitch_where_little_is_single_crochet(
    make_piece: MakePiece, make_pattern: MakePattern
) -> None:
    in_double = make_pattern(make_piece([20, 20], kind="row", stitches=["dc", "dc"]))
    (_, gauge, *_) = as_lines(estimate(in_double, stitches_per_10cm=16, rounds_per_10cm=8))
    assert gauge.startswith("Gauge: 16 stitches and 8 rows of double crochet to 10 cm, from your own gauge.")
    (_, inches, *_) = as_lines(estimate(in_double, stitches_per_10cm=16, rounds_per_10cm=8), "imperial")
    # Four inches are 10.16 cm.
    assert inches.startswith("Gauge: 16.3 stitches and 8.13 rows of double crochet to 4 inches")


def test_a_yarn_without_a_usual_gauge_is_not_said_to_be_missing(
    make_piece: MakePiece, make_pattern: MakePattern
) -> None:
    pattern = make_pattern(
        make_piece([6, 12]), gauge="20 stitches and 20 rounds to 10 cm", materials=("grey yarn, DK",)
    )
    (_, why, *_) = as_lines(estimate(pattern, yarn_name="lace"))
    assert why.startswith("No gauge: the table has no usual gauge in single crochet for lace yarn.")


def test_a_volume_is_a_range_and_tells_of_an_open_end(make_piece: MakePiece, make_pattern: MakePattern) -> None:
    """A tube of 24 stitches of 5 mm, 50 mm high: pi r^2 h is 57.3 cm3; 5 per cent of a length is 15 of a volume."""
    lines = as_lines(
        estimate(make_pattern(make_piece([24] * 10, starts_in=24)), stitches_per_10cm=20, rounds_per_10cm=20)
    )
    assert "Volume when filled to its open end: 49 to 70 cm³." in lines


def test_a_larger_hook_makes_it_larger(make_piece: MakePiece, make_pattern: MakePattern) -> None:
    pattern = make_pattern(make_piece([6, 12, 18, 18]), gauge="28 stitches and 30 rounds to 10 cm", hook="2.5 mm")
    before, after = (answers.how_big(pattern.pieces[0], choose(pattern, hook=hook)) for hook in (None, 5))
    assert after.widest.usual == pytest.approx(2 * before.widest.usual)
    assert after.gauge.basis == "hook"


def test_the_gauge_for_a_wanted_size_gives_that_size(make_piece: MakePiece, make_pattern: MakePattern) -> None:
    pattern = make_pattern(make_piece([6, 12, 18, 18, 12]), gauge="28 stitches and 30 rounds to 10 cm", hook="2.5 mm")
    piece = pattern.pieces[0]
    wanted = answers.gauge_for(piece, choose(pattern), height_mm=40, hook_mm=2.5)
    again = choose(
        pattern,
        stitches_per_10cm=wanted.gauge.stitches_per_10cm,
        rounds_per_10cm=wanted.gauge.rounds_per_10cm,
    )
    assert answers.how_big(piece, again).height.usual == pytest.approx(40)
    assert wanted.hook_mm is not None
    with pytest.raises(MakerError, match="either how high or how wide"):
        answers.gauge_for(piece, choose(pattern))


@pytest.mark.parametrize(
    ("options", "says"),
    [
        # 28 stitches and 30 rounds make the body 38.1 mm high: 5 cm is 1.31 times as much, and 2.5 mm a 3.25 mm hook.
        (["--high", "5cm"], "BODY 5 cm high: about 21.5 stitches and 23 rounds to 10 cm. Try a 3.25 mm hook."),
        (["--wide", "2in", "--piece", "ear", "--units", "imperial"], "EAR 2 in wide: about 7.5 stitches and 8 rounds"),
        (["--high", "90m"], "No gauge makes BODY 90 m high"),
    ],
)
def test_the_gauge_for_a_wanted_size_by_the_command(
    options: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    mouse = str(shared_folder() / "patterns" / "pocket-mouse.txt")
    assert main(["estimate", mouse, *options]) == 0
    assert says in capsys.readouterr().out


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (["--high", "5cm", "--wide", "5cm"], "either how high or how wide"),
        (
            ["--high", "2cm", "--piece", "wing"],
            "no piece called wing. The pattern has BODY, EAR, TAIL, BERRY.",
        ),
        (["--high", "2cm", "--piece", "ear"], "lies flat"),
        (["--high", "soon"], "Write it like 7.5 cm"),
    ],
)
def test_a_wanted_size_that_cannot_be_is_refused(
    options: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    mouse = str(shared_folder() / "patterns" / "pocket-mouse.txt")
    assert main(["estimate", mouse, *options]) == 2
    assert says in capsys.readouterr().err


def test_eyes_suit_the_head() -> None:
    found = answers.eyes_for(48)
    assert found.usual_mm == 8
    assert found.usual_mm in found.sizes_mm
    with pytest.raises(MakerError, match="Embroider"):
        answers.eyes_for(5)
