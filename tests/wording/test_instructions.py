"""Rounds read aloud: the exact sentences a maker hears."""

from __future__ import annotations

import pytest

from companion.pattern.model import (
    Act,
    Chain,
    InOne,
    Instruction,
    Repeat,
    Round,
    Skip,
    Span,
    Terms,
    Total,
    Unread,
    Work,
)
from companion.wording.instructions import Instructions

HERE = Span(1, 1, 1, 2)
INC = Work("sc", 1, in_one=2)
DEC = Work("sc", 1, together=2)
GREEN, CREAM = Act("colour", "green"), Act("colour", "cream")


def a_round(
    *work: Instruction,
    into: int | None = 24,
    makes: int | None = 30,
    first: int = 5,
    last: int | None = None,
    kind: str = "round",
    **more: object,
) -> Round:
    fields: dict[str, object] = {"declared": None, "basis": "worked_out", "label": "Rnd 5", "text": "", **more}
    numbers = {"first": None, "last": None} if kind == "step" else {"first": first, "last": last or first}
    return Round(
        kind=kind,  # type: ignore[arg-type]
        instructions=work,
        steps=(),
        worked_into=into,
        stitches=makes,
        span=HERE,
        **numbers,
        **fields,  # type: ignore[arg-type]
    )


def read(entry: Round, terms: Terms = "US", nth: int | None = None, *, full: bool = True) -> str:
    return Instructions(terms).round(entry, nth, full=full)


def test_the_count_comes_first_and_the_group_is_closed() -> None:
    assert read(a_round(Repeat(6, (Work("sc", 3), INC)))) == (
        "Round five. Six times: three single crochet, then one increase. That ends the repeat. Thirty stitches."
    )


def test_a_plain_round() -> None:
    assert read(a_round(Work("sc", 24), makes=24, first=4)) == (
        "Round four. One single crochet in each stitch around, twenty four."
    )


def test_a_range_of_rounds_and_one_of_them() -> None:
    entry = a_round(Work("sc", 24), makes=24, first=9, last=11)
    plain = "One single crochet in each stitch around, twenty four."
    assert read(entry) == f"Rounds nine to eleven, three rounds alike. {plain}"
    assert read(entry, nth=2) == f"Round ten, the second of three alike. {plain}"
    assert read(entry, nth=3) == f"Round eleven, the last of three alike. {plain}"


def test_a_magic_ring() -> None:
    entry = a_round(Work("sc", 6, into="ring"), into=0, makes=6, first=1, text="6 sc in a magic ring")
    assert read(entry) == "Round one. Six single crochet in a magic ring. Six stitches."
    assert read(entry, "UK") == "Round one. Six double crochet in a magic ring. Six stitches."


def test_a_ring_of_chains() -> None:
    entry = a_round(Chain(4, "foundation"), Act("join"), Work("dc", 12, into="ring"), into=0, makes=12, first=1)
    assert read(entry) == (
        "Round one. Chain four. Join with a slip stitch. Then twelve double crochet in the ring. Twelve stitches."
    )


def test_a_foundation_chain_tells_where_to_begin() -> None:
    entry = a_round(
        Chain(21, "foundation"),
        Work("sc", 1, from_hook=2),
        Work("sc", 19),
        Act("turn"),
        kind="row",
        into=20,
        makes=20,
        first=1,
        text="ch 21, sc in 2nd ch from hook and in each ch across, turn",
    )
    assert read(entry) == (
        "Row one. Chain twenty one; then beginning in the second chain from the hook, twenty single crochet. Turn. "
        "Twenty stitches."
    )
    ring = a_round(Chain(2, "foundation"), Work("sc", 1, in_one=6, from_hook=2), into=1, makes=6, first=1)
    assert (
        read(ring) == "Round one. Chain two, then six single crochet in the second chain from the hook. Six stitches."
    )


def test_increases_and_decreases_all_around() -> None:
    assert read(a_round(Repeat(6, (INC,)), into=6, makes=12, first=2)) == (
        "Round two. Two single crochet in each stitch around, twelve."
    )
    assert (
        read(a_round(Repeat(6, (DEC,)), into=12, makes=6, first=17)) == "Round seventeen. Six decreases. Six stitches."
    )


def test_what_comes_before_and_after_a_repeat() -> None:
    entry = a_round(Work("sc", 3), Repeat(5, (Work("sc", 1), DEC)), Work("sc", 2), Act("join"), into=20, makes=15)
    assert read(entry) == (
        "Round five. Three single crochet. Then five times: one single crochet, then one decrease. That ends "
        "the repeat. "
        "Then two single crochet. Join with a slip stitch. Fifteen stitches."
    )


def test_a_repeat_within_a_repeat_is_opened_and_closed() -> None:
    inner = Repeat(2, (INC, Work("sc", 1)))
    entry = a_round(Repeat(3, (Work("sc", 2), inner, Chain(2))), into=18, makes=24, chain_spaces=3)
    assert read(entry) == (
        "Round five. Three times: two single crochet; twice over, one increase, then one single crochet, end "
        "of the inner "
        "repeat; then chain two. That ends the repeat. Twenty four stitches and three chain spaces."
    )


def test_different_stitches_in_one_place() -> None:
    group = InOne((Work("sc", 1), Work("hdc", 1), Work("dc", 1)))
    entry = a_round(Repeat(6, (group, Skip(1))), into=12, makes=18)
    assert read(entry) == (
        "Round five. Six times: in the next stitch, one single crochet, one half double crochet and one double "
        "crochet, "
        "all in that place; then skip one stitch. That ends the repeat. Eighteen stitches."
    )
    assert read(entry, "UK") == (
        "Round five. Six times: in the next stitch, one double crochet, one half treble crochet and one treble "
        "crochet, "
        "all in that place; then miss one stitch. That ends the repeat. Eighteen stitches."
    )


def test_an_increase_in_a_round_of_several_stitches_is_named() -> None:
    entry = a_round(Work("sc", 5), Work("dc", 1, in_one=2), Skip(1), Work("dc", 3, in_one=2), into=10, makes=13)
    assert read(entry) == (
        "Round five. Five single crochet, two double crochet in the next stitch, skip one stitch, then two "
        "double crochet "
        "in each of the next three stitches. Thirteen stitches."
    )


def test_stitches_together_keep_their_name() -> None:
    entry = a_round(Work("dc", 4), Work("dc", 1, together=3), Work("tr", 2, together=2), into=11, makes=7)
    assert read(entry) == (
        "Round five. Four double crochet, double crochet three together, then twice treble crochet two together. "
        "Seven stitches."
    )


def test_an_invisible_decrease() -> None:
    entry = a_round(Repeat(6, (Work("sc", 2), Work("sc", 1, together=2, invisible=True))), into=24, makes=18)
    assert read(entry) == (
        "Round five. Six times: two single crochet, then one invisible decrease. That ends the repeat. "
        "Eighteen stitches."
    )


def test_loops_are_said_once_for_a_whole_round() -> None:
    whole = a_round(Work("sc", 24, loop="back"), makes=24)
    assert read(whole) == "Round five, in the back loops only. One single crochet in each stitch around, twenty four."
    part = a_round(Work("sc", 12, loop="front"), Work("sc", 1, loop="back"), Work("sc", 11), makes=24)
    assert read(part) == (
        "Round five. Twelve single crochet in the front loops only, one single crochet in the back loop only, "
        "then eleven "
        "single crochet. Twenty four stitches."
    )


def test_the_third_loop_is_said() -> None:
    assert read(a_round(Work("hdc", 24, loop="third"), makes=24)) == (
        "Round five, in the third loops only. One half double crochet in each stitch around, twenty four."
    )


def test_turning_chains_say_whether_they_count() -> None:
    counts = a_round(Chain(3, "start", counts=True), Work("dc", 19), Act("turn"), kind="row", into=20, makes=20)
    assert read(counts) == (
        "Row five. Chain three, which counts as a stitch; then nineteen double crochet. Turn. Twenty stitches."
    )
    not_counted = a_round(Chain(1, "start"), Work("sc", 20), Act("turn"), kind="row", into=20, makes=20)
    assert read(not_counted) == (
        "Row five. Chain one, which does not count as a stitch. Then one single crochet in each stitch across, twenty. "
        "Turn."
    )


def test_a_colour_is_said_with_the_stitch_before_it() -> None:
    entry = a_round(Work("sc", 3), GREEN, Work("sc", 1), CREAM, Work("sc", 20), makes=24)
    assert read(entry) == (
        "Round five. Three single crochet, the last finished in green; one single crochet, finished in cream; "
        "then twenty "
        "single crochet. Twenty four stitches."
    )


def test_a_colour_after_a_repeat_and_within_one() -> None:
    after = a_round(Repeat(6, (Work("sc", 3), INC)), GREEN)
    assert read(after).endswith("That ends the repeat. Its last stitch is finished in green. Thirty stitches.")
    within = a_round(Repeat(4, (GREEN, Work("sc", 3), CREAM, Work("sc", 3))), makes=24)
    assert read(within) == (
        "Round five. Four times: three single crochet in green, the last finished in cream; then three single crochet, "
        "the last finished in green for the next repeat. That ends the repeat. Twenty four stitches."
    )


def test_what_cannot_be_read_is_read_as_written_and_flagged() -> None:
    entry = a_round(Unread("sk 2 & hop x 6"), Work("sc", 2), basis="pattern_says")
    assert read(entry) == (
        "Round five. The pattern says, and I cannot work it out: skip two and hop six times. Then two single crochet. "
        "The pattern says thirty stitches."
    )


def test_a_printed_total_that_differs_is_told_beside_the_worked_out_one() -> None:
    entry = a_round(Repeat(6, (Work("sc", 3), INC)), declared=Total(31))
    assert read(entry).endswith("Thirty stitches worked out, but the pattern says thirty one.")


def test_an_unknown_total_is_not_guessed() -> None:
    entry = a_round(Work("sc", 3), makes=None, basis="unknown")
    assert read(entry) == "Round five. Three single crochet. The total is not known."


def test_places_that_the_pattern_leaves_open_are_a_suggestion() -> None:
    entry = a_round(Repeat(6, (Work("sc", 3), INC)), suggested="inc 6 evenly around")
    assert read(entry) == (
        "Round five. The pattern says: increase six evenly around. Here is a suggestion. "
        "Six times: three single crochet, then one increase. That ends the repeat. Thirty stitches."
    )


def test_gathered_stitches_shells_and_picots() -> None:
    entry = a_round(
        Work("bobble", 2, together=4), Work("bobble", 1), Work("shell", 2, in_one=5), Chain(3, "picot"), makes=13
    )
    assert read(entry) == (
        "Round five. Two bobbles, each over four stitches; one bobble; two shells, each of five stitches; then "
        "a picot of "
        "three chains. Thirteen stitches."
    )


def test_brief_leaves_out_what_can_be_told_from_the_rest() -> None:
    entry = a_round(Repeat(6, (Work("sc", 3), INC)))
    assert read(entry, full=False) == "Round five. Six times: three single crochet, then one increase. Thirty."
    before_more = a_round(Repeat(6, (Work("sc", 3), INC)), Work("sc", 2), makes=32)
    assert "That ends the repeat. Then two single crochet." in read(before_more, full=False)


def test_a_step_without_a_number_goes_by_its_label() -> None:
    entry = a_round(Work("sc", 1), kind="step", makes=None, basis="unknown", label="Edging")
    assert read(entry) == "Edging. One single crochet."


@pytest.mark.parametrize(
    ("into", "said"),
    [
        ("chain space", "One double crochet in each of the next two chain spaces."),
        ("next ch-2 sp", "Two double crochet into the next chain two space."),
        ("each row end", "Two double crochet into each row end."),
        ("along the first leg", "Two double crochet along the first leg."),
        ("row end", "Two double crochet in the row ends."),
    ],
)
def test_where_stitches_go(into: str, said: str) -> None:
    assert said in read(a_round(Work("dc", 2, into=into), makes=2))


def test_a_closed_edge_is_worked_through_both_layers() -> None:
    entry = a_round(Work("sc", 6, together=2, into="both layers"), into=12, makes=6)
    assert read(entry) == "Round five. Six single crochet through both layers. Six stitches."


def test_chain_spaces() -> None:
    entry = a_round(
        Work("dc", 1, in_one=3, into="chain space"),
        Work("dc", 1, in_one=2, same=True, into="chain space"),
        Work("sc", 9, into="chain space"),
        Work("sc", 4, in_one=2, into="chain space"),
        InOne((Work("sc", 1), Work("dc", 1)), into="chain space"),
        makes=24,
    )
    assert read(entry) == (
        "Round five. Three double crochet in the next chain space; two double crochet in the same space; one single "
        "crochet in each of the next nine chain spaces; two single crochet in each of the next four chain spaces; then "
        "in the next chain space, one single crochet and one double crochet, all in that place. Twenty four stitches."
    )


def test_chains_that_are_passed_by_are_not_made_again() -> None:
    entry = a_round(
        Chain(4, "foundation"),
        Chain(3, "start", counts=True),
        Work("dc", 1, in_one=11, from_hook=4),
        into=0,
        makes=12,
        first=1,
    )
    assert read(entry) == (
        "Round one. Chain four, the three chains passed by count as a stitch, then eleven double crochet in the fourth "
        "chain from the hook. Twelve stitches."
    )


def test_a_round_that_was_not_laid_out_is_read_as_written() -> None:
    entry = a_round(makes=10, basis="pattern_says", text="Repeat row 7. [10]", declared=Total(10, text="[10]"))
    assert read(entry) == "Round five. The pattern says: Repeat row seven. The pattern says ten stitches."


def test_a_step_without_stitches_has_no_total() -> None:
    entry = a_round(Chain(25, "foundation"), kind="step", makes=0, label="")
    assert read(entry) == "Next step. Chain twenty five."
