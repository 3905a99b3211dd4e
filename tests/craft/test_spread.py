"""Even spreading against the exact integer rule."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.cli import main
from companion.craft.spread import Spread, changes_of_text, even
from companion.errors import MakerError


@st.composite
def _rounds(draw: st.DrawFn) -> Spread:
    stitches = draw(st.integers(1, 200))
    kind = draw(st.sampled_from(["inc", "dec"]))
    changes = draw(st.integers(0, stitches // (1 if kind == "inc" else 2)))
    below = draw(st.lists(st.floats(0, 0.999), max_size=8))
    return even("inc" if kind == "inc" else "dec", changes, stitches, below)


@given(_rounds())
def test_every_gap_is_as_long_as_the_next_or_one_longer(spread: Spread) -> None:
    gaps = spread.round_gaps
    assert not gaps or max(gaps) - min(gaps) <= 1


@given(_rounds())
def test_nothing_is_lost(spread: Spread) -> None:
    each = 1 if spread.kind == "inc" else 2
    assert sum(spread.gaps) + spread.tail + spread.changes * each == spread.stitches
    assert len(spread.gaps) == spread.changes


@pytest.mark.parametrize(
    ("changes", "stitches", "text"),
    [
        (6, 30, "(4 sc, inc) x 6"),
        (6, 6, "inc x 6"),
        (6, 8, "2 inc, sc, 3 inc, sc, inc"),
        (5, 6, "4 inc, sc, inc"),
        (6, 12, "(sc, inc) x 6"),
        (5, 23, "3 sc, inc, 4 sc, inc, 3 sc, inc, (4 sc, inc) x 2"),
        (1, 10, "9 sc, inc"),
        (0, 10, "sc in each st around"),
    ],
)
def test_the_exact_sequence(changes: int, stitches: int, text: str) -> None:
    assert even("inc", changes, stitches).text == text


def test_increases_stand_between_those_of_the_round_below() -> None:
    """Six over thirty, over a round that had six: as far off as can be, half of a gap (within half a stitch)."""
    below = even("inc", 6, 24)
    above = even("inc", 6, 30, below.places)
    nearest = min(min(abs(one - other), 1 - abs(one - other)) for one in above.places for other in below.places)
    assert nearest == pytest.approx(1 / 12, abs=0.5 / 30)
    assert above.text != even("inc", 6, 30).text


@pytest.mark.parametrize(("kind", "changes", "stitches"), [("inc", 7, 6), ("dec", 4, 7), ("inc", -1, 6), ("inc", 1, 0)])
def test_what_does_not_fit_is_refused(kind: str, changes: int, stitches: int) -> None:
    with pytest.raises(MakerError):
        even("inc" if kind == "inc" else "dec", changes, stitches)


def test_the_command_keeps_clear_of_the_last_round_that_is_given(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["spread", "6", "30"]) == 0
    assert capsys.readouterr().out == "(4 sc, inc) x 6 [36]\n"
    for written in ("(3 sc, inc) x 6", "Rnd 5: (3 sc, inc) x 6 [30]"):
        assert main(["spread", "6", "30", "--after", written]) == 0
        assert capsys.readouterr().out == "sc, inc, (4 sc, inc) x 5, 3 sc [36]\n"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("(4 sc, inc) x 6", "makes 36 stitches, but this round goes into 30"),
        ("some words", "I cannot work out “some words”"),
        ("", "I cannot work out"),
    ],
)
def test_a_last_round_that_cannot_be_is_refused(text: str, says: str) -> None:
    with pytest.raises(MakerError, match=says):
        changes_of_text(text, 30)


@given(st.integers(6, 120), st.integers(1, 12), st.floats(0, 0.999))
def test_a_written_round_is_understood_as_it_was_spread(stitches: int, changes: int, below: float) -> None:
    spread = even("inc", min(changes, stitches), stitches, [below])
    assert changes_of_text(spread.text, spread.makes) == pytest.approx(spread.places)
