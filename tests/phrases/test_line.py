from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.pattern.model import Instruction, Repeat, Work
from companion.pattern.reader import read
from companion.phrases import line_text
from companion.phrases.dictation import Dictation
from companion.phrases.line import Act, Chain, Closing, Element, FromHook, Group, Motion, Skip, Then, bracketings
from companion.phrases.notation import written

COUNT = st.integers(1, 200)
ELEMENTS: st.SearchStrategy[Element] = st.one_of(
    st.builds(
        Motion,
        st.sampled_from(["sc", "sl st", "inc", "dec", "spike sc", "v-st", "st"]),
        COUNT,
        in_one=st.integers(1, 9),
        together=st.integers(1, 9),
        each=st.booleans(),
        left=st.integers(0, 30),
        into=st.sampled_from(["", "ring", "space", "same", "same-space"]),
        loop=st.sampled_from(["both", "front", "back"]),
    ),
    st.builds(Chain, COUNT),
    st.builds(Skip, COUNT),
    st.builds(FromHook, COUNT),
    st.builds(Act, st.sampled_from(["turn", "join", "ring", "fasten off"])),
    st.just(Then()),
    st.builds(Closing, st.one_of(COUNT, st.none()), st.integers(0, 30), st.booleans()),
)


@given(st.lists(st.lists(ELEMENTS, min_size=1, max_size=6), min_size=1, max_size=3))
def test_a_line_comes_back_from_its_text(readings: list[list[Element]]) -> None:
    assert line_text.read(line_text.write(readings)) == tuple(map(tuple, readings))


def test_other_text_is_no_line() -> None:
    with pytest.raises(ValueError, match="hat"):
        line_text.read("2 sc, hat 3")


SC2, INC = Motion("sc", 2), Motion("inc")


def test_a_closing_covers_the_round() -> None:
    assert bracketings([SC2, INC, Closing(6)]) == ((Group((SC2, INC), 6),),)


def test_a_closing_after_then_do_has_two_readings_the_wider_first() -> None:
    assert bracketings([SC2, Then(), INC, Closing(6)]) == (
        (Group((SC2, INC), 6),),
        (SC2, Group((INC,), 6)),
    )


def test_said_of_the_whole_round_it_has_one() -> None:
    assert bracketings([SC2, Then(), INC, Closing(6, all_of_it=True)]) == ((Group((SC2, INC), 6),),)


def test_what_an_earlier_closing_covers_stays_together() -> None:
    first = Group((SC2, INC), 3)
    assert bracketings([SC2, INC, Closing(3), Then(), INC, Closing(2)]) == (
        (Group((first, INC), 2),),
        (first, Group((INC,), 2)),
    )


def test_a_closing_of_nothing_has_no_reading() -> None:
    assert bracketings([Closing(6)]) == ()


# --- what was said, written down and read again ------------------------------------------------------------------


@pytest.fixture(scope="module")
def dictation() -> Dictation:
    return Dictation()


def rounds(dictation: Dictation, *said: str) -> list[tuple[int | None, tuple[Instruction, ...]]]:
    """Each sentence as a round, in its first reading and widest cover: the total and the instructions read."""
    lines = []
    for number, sentence in enumerate(said, 1):
        (command,) = dictation.parse(sentence, ["writing"])
        items = bracketings(line_text.read(str(command.slots["line"]))[0])[0]
        lines.append(f"Rnd {number}: {written(items)}")
    pattern = read("Thing\n\nUS terms\n\nBody\n" + "\n".join(lines) + "\n", terms="US")
    assert not pattern.errors
    return [(round_.stitches, round_.instructions) for round_ in pattern.pieces[0].rounds]


def plain(instructions: tuple[Instruction, ...]) -> Iterator[object]:
    for instruction in instructions:
        match instruction:
            case Work():
                yield instruction.stitch, instruction.count, instruction.in_one, instruction.together
            case Repeat():
                yield instruction.times, list(plain(instruction.body))
            case _:
                yield type(instruction).__name__


def test_a_spoken_ball_comes_out_as_its_rounds(dictation: Dictation) -> None:
    # Common practice, no source: six in a ring, then six more a round of a flat round; and back.
    found = rounds(
        dictation,
        "six single crochet in a magic ring",
        "increase six times",
        "single crochet one increase repeat six times",
        "single crochet two, increase, six times",
        "single crochet in each stitch around",
        "single crochet two, decrease, six times",
        "single crochet one decrease repeat six times",
        "decrease six times",
    )
    assert [total for total, _ in found] == [6, 12, 18, 24, 24, 18, 12, 6]
    assert list(plain(found[3][1])) == [(6, [("sc", 2, 1, 1), ("sc", 1, 2, 1)])]
    assert list(plain(found[5][1])) == [(6, [("sc", 2, 1, 1), ("sc", 1, 1, 2)])]


@pytest.mark.parametrize(
    ("said", "below", "total"),
    [
        ("two single crochet in each stitch around", 6, 12),
        ("two single crochet in each of the next three stitches single crochet three", 6, 9),
        ("single crochet in each stitch to the last three decrease single crochet", 12, 11),
        ("single crochet three together twice", 6, 2),
        ("in the back loops only single crochet around", 12, 12),
        ("single crochet one increase around", 12, 18),
        ("five single crochet skip a stitch", 6, 5),
        ("three double crochet in the next stitch single crochet in the next five stitches", 6, 8),
        ("three increases three decreases", 9, 9),
    ],
)
def test_what_is_said_gives_what_it_should(dictation: Dictation, said: str, below: int, total: int) -> None:
    found = rounds(dictation, f"{below} single crochet in a magic ring", said)
    assert found[1][0] == total


def test_a_chain_begins_in_the_chain_that_is_said(dictation: Dictation) -> None:
    # Common practice, no source: seven chains worked from the second give six.
    for said in (
        "chain seven single crochet six starting in the second chain from the hook",
        "chain seven starting in the second chain from the hook single crochet six",
    ):
        assert rounds(dictation, said)[0][0] == 6


def test_uk_abbreviations_and_the_stitch_in_force() -> None:
    names = {"sc": "dc", "dc": "tr"}
    sides: Literal["front"] = "front"
    assert written([Motion("sc", 2), Motion("st", 18), Motion("dc", loop=sides)], names, "dc") == "2 dc, 18 tr, FLO tr"
