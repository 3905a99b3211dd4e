"""The pictures: well formed, described in words, to scale."""

import re
from collections.abc import Callable
from xml.etree import ElementTree

import pytest

from companion.craft.gauge import from_figures, from_hook
from companion.craft.pictures import of_pieces, profile_svg, stitches_svg
from companion.craft.size import measure
from companion.pattern.model import Piece
from companion.pattern.reader import read

MakePiece = Callable[..., Piece]
SVG = "{http://www.w3.org/2000/svg}"
GAUGE = from_figures(20, 20)


def _read(picture: str | None) -> tuple[ElementTree.Element, str, str]:
    assert picture is not None
    root = ElementTree.fromstring(picture)
    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert desc is not None
    assert root.get("role") == "img"
    # WCAG 2.2, 1.1.1: the picture is named by its own title and description.
    assert root.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}"
    return root, title.text or "", desc.text or ""


def test_the_profile_is_described_and_to_scale(make_piece: MakePiece) -> None:
    size = measure(make_piece([24] * 10, name="Leg & foot", starts_in=24), GAUGE)
    root, title, desc = _read(profile_svg(size))
    assert title == "Size of Leg & foot"
    assert "about 4 cm across at the widest and about 5 cm high" in desc
    polygon = root.find(f"{SVG}polygon")
    assert polygon is not None
    points = [tuple(map(float, pair.split(","))) for pair in (polygon.get("points") or "").split()]
    wide = max(x for x, _ in points) - min(x for x, _ in points)
    high = max(y for _, y in points) - min(y for _, y in points)
    assert wide / high == pytest.approx(38.2 / 50, rel=0.01)
    scale = next(one for one in root.iter(f"{SVG}path"))
    bar = float(re.findall(r"m0 -4h([\d.]+)", scale.get("d") or "")[0])
    # The scale is one centimetre; the piece is five high.
    assert high / bar == pytest.approx(5, rel=0.01)


@pytest.mark.parametrize("counts", [[6, 12, 18], [6], [6, 12, 24, 48], [3] * 60])
def test_nothing_is_drawn_outside(make_piece: MakePiece, counts: list[int]) -> None:
    for picture in (profile_svg(measure(make_piece(counts), GAUGE)), stitches_svg(make_piece(counts))):
        root, _, _ = _read(picture)
        width, height = map(float, (root.get("viewBox") or "").split()[2:])
        for text in root.iter(f"{SVG}text"):
            assert 0 <= float(text.get("x") or 0) <= width
            assert 10 <= float(text.get("y") or 0) <= height


def test_rows_are_drawn_flat(make_piece: MakePiece) -> None:
    _, _, desc = _read(profile_svg(measure(make_piece([20] * 10, kind="row"), GAUGE)))
    assert desc.startswith("Worked in rows: about 10 cm across")


def test_the_outline_is_told_in_words(make_piece: MakePiece) -> None:
    _, _, desc = _read(profile_svg(measure(make_piece([6, 12, 18, 18, 18, 12]), GAUGE)))
    assert desc.endswith(
        "The start is at the bottom. It widens over Rnd 1 to Rnd 3, stays as wide over Rnd 4 to Rnd 5, narrows over "
        "Rnd 6."
    )


def test_what_the_outline_cannot_show_is_in_its_caption() -> None:
    """An oval is drawn as if it were round, and the caption says that it is not."""
    text = (
        "X\nTerms: US\n\nX\nRnd 1: ch 6, sc in 2nd ch from hook, 3 sc, 3 sc in last ch, "
        "3 sc along the other side of the chain, 2 sc in last ch [12]\nRnds 2-4: sc in each st around [12]\n"
    )
    (caption, _), _ = of_pieces(GAUGE)(read(text).pieces[0], "x")
    assert "so the piece is oval" in caption


def test_the_plot_says_its_figures_in_words(make_piece: MakePiece) -> None:
    root, title, desc = _read(stitches_svg(make_piece([6, 12, 18, 18, 18, None, 6])))
    assert title == "Stitches of Body"
    assert desc == "Stitches by round: 6, 12, 18 for 3, unknown, 6."
    assert len([one for one in root.iter(f"{SVG}path") if one.get("fill") == "currentColor"]) == 6


def test_what_is_not_known_is_not_drawn(make_piece: MakePiece) -> None:
    assert profile_svg(measure(make_piece([6, None]), GAUGE)) is None
    assert stitches_svg(make_piece([None])) is None


def test_a_page_gets_the_outline_and_the_stitches_with_where_the_size_comes_from(make_piece: MakePiece) -> None:
    piece = make_piece([6, 12, 18, 18], name="CAP")
    (size, outline), (plot, bars) = of_pieces(from_hook(4))(piece, "cap")
    assert size == (
        "Size, a guess from a 4 mm hook; it may be off by 20% either way. A swatch of your own tells better."
    )
    assert plot == "Stitches by round"
    titles = [_read(picture)[1] for picture in (outline, bars)]
    assert titles == ["Size of Cap", "Stitches of Cap"]


def test_without_a_gauge_the_stitches_alone_are_drawn(make_piece: MakePiece) -> None:
    drawn = of_pieces(None)(make_piece([20, 20], kind="row"), "cloth")
    assert [caption for caption, _ in drawn] == ["Stitches by row"]
