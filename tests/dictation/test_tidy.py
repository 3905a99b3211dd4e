"""The shortest notation is the same work: stitch for stitch, whatever was dictated."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from companion.dictation.draft import Draft, DraftPiece, DraftRound
from companion.dictation.script import pattern_of
from companion.dictation.tidy import laid_out, shortest, tidied
from companion.pattern.model import Repeat, Work
from companion.pattern.reader import read
from companion.phrases.line import Colour, Group, Item, Motion

SC, INC, DEC = Motion("sc", 2), Motion("inc"), Motion("dec")
MOTIONS = st.one_of(
    st.builds(Motion, st.sampled_from(["sc", "hdc", "dc"]), st.integers(1, 4)),
    st.builds(Motion, st.sampled_from(["inc", "dec", "invdec"]), st.integers(1, 3)),
    st.builds(Motion, st.just("sc"), st.integers(1, 2), in_one=st.integers(2, 3)),
    st.builds(Motion, st.just("sc"), st.integers(1, 2), loop=st.sampled_from(["front", "back"])),
)
GROUPS = st.builds(Group, st.lists(MOTIONS, min_size=1, max_size=3).map(tuple), st.integers(1, 4))
ITEMS: st.SearchStrategy[Item] = st.one_of(MOTIONS, GROUPS, st.builds(Colour, st.sampled_from(["blue", "dark green"])))
ROUNDS = st.lists(ITEMS, min_size=1, max_size=7).map(lambda items: DraftRound(tuple(items)))
RING = DraftRound((Motion("sc", 12, into="ring"),))


@settings(max_examples=150, deadline=None)
@given(st.lists(ROUNDS, min_size=1, max_size=5), st.sampled_from(["US", "UK"]))
def test_what_is_written_is_what_was_dictated(rounds: list[DraftRound], terms: str) -> None:
    worked = [entry for entry in rounds if entry.has_work]
    draft = Draft("Thing", terms=terms, pieces=(DraftPiece("body", rounds=(RING, *worked)),))  # type: ignore[arg-type]
    pattern = pattern_of(draft)
    text = tidied(pattern)
    assert laid_out(read(text)) == laid_out(pattern)


def test_runs_become_repeats() -> None:
    two, inc, dec = Work("sc", 2), Work("sc", 1, in_one=2), Work("sc", 1, together=2)
    assert shortest((two, inc, two, inc, two, inc)) == (Repeat(3, (two, inc)),)
    assert shortest((dec, two, inc, two, inc, dec)) == (dec, Repeat(2, (two, inc)), dec)
    assert shortest((two, inc, dec, two, inc, dec)) == (Repeat(2, (two, inc, dec)),)
    assert shortest((Repeat(6, (inc,)),)) == (replace(inc, count=6),)
    assert shortest((two, two, inc)) == (replace(two, count=4), inc)


def test_equal_rounds_become_a_range_unless_something_is_said_between_them() -> None:
    plain = DraftRound((Motion("sc", 12),))
    draft = Draft(
        "Thing", pieces=(DraftPiece("body", rounds=(RING, plain, replace(plain, notes=("Note: stuff.",)), plain)),)
    )
    assert tidied(pattern_of(draft)).splitlines()[-4:] == [
        "Rnd 1: 12 sc in magic ring [12]",
        "Rnds 2-3: 12 sc [12]",
        "Note: stuff.",
        "Rnd 4: 12 sc [12]",
    ]


def test_a_piece_per_range_is_not_made_of_shaped_rounds() -> None:
    draft = Draft("Thing", pieces=(DraftPiece("body", rounds=(RING, DraftRound((Group((SC, INC), None),), times=2))),))
    pattern = pattern_of(draft)
    assert [entry.stitches for entry in read(tidied(pattern)).pieces[0].rounds] == [
        entry.stitches for entry in pattern.pieces[0].rounds
    ]
