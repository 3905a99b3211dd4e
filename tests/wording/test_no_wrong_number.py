"""Never speak a wrong number: every number word in a sentence about a round is one of the round's own.

The words are parsed back into numbers and held against the instructions, walked here in a way of its own.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from companion.pattern.model import Act, Chain, InOne, Instruction, Repeat, Round, Skip, Span, Total, Work
from companion.pattern.stitches import table
from companion.wording import names
from companion.wording.instructions import Instructions
from companion.wording.numbers import cardinal, ordinal

WORDS = {cardinal(number): number for number in range(3001)}
NUMBER = re.compile(rf"\b(?:{'|'.join(sorted(WORDS, key=len, reverse=True))}|once|twice)\b")
NAMES = sorted({name for key in table() for terms in ("US", "UK") for name in names.spoken(key, terms)}, key=len)
PLAIN = [key for key, stitch in table().items() if stitch.kind in ("basic", "post", "spike", "gathered", "foundation")]


def spoken_numbers(text: str) -> set[int]:
    """Every number word of a sentence as a number. Names of stitches hold none ("triple treble crochet")."""
    text = text.lower()
    for name in reversed(NAMES):
        text = text.replace(name.lower(), "stitch")
    return {{"once": 1, "twice": 2}.get(word) or WORDS[word] for word in NUMBER.findall(text)}


def own_numbers(instructions: tuple[Instruction, ...]) -> Iterator[int]:
    """Every number an instruction holds, and what a repeat of single motions adds up to."""
    for item in instructions:
        match item:
            case Work():
                yield from (item.count, item.in_one, item.together)
            case InOne() | Repeat():
                yield item.times if isinstance(item, Repeat) else item.count
                yield from own_numbers(item.body)
            case Chain() | Skip():
                yield item.count


def must_be_said(instructions: tuple[Instruction, ...]) -> Iterator[int]:
    """Numbers without which the round could not be worked: counts above one, and how often."""
    for item in instructions:
        match item:
            case Work() | Chain() | Skip() if item.count > 1:
                yield item.count
            case Repeat():
                if item.times > 1:
                    yield item.times
                yield from must_be_said(item.body)


HERE = Span(1, 1, 1, 2)
counts = st.integers(1, 200)
works = st.one_of(
    st.builds(Work, st.sampled_from(PLAIN), counts, loop=st.sampled_from(["front", "back", "both"])),
    st.builds(Work, st.sampled_from(["sc", "hdc", "dc"]), counts, in_one=st.integers(2, 9)),
    st.builds(Work, st.sampled_from(["sc", "hdc", "dc"]), counts, together=st.integers(2, 9), invisible=st.booleans()),
    st.builds(Work, st.sampled_from(["sc", "dc"]), counts, same=st.just(True)),
    st.builds(Work, st.sampled_from(["sc", "dc"]), counts, into=st.sampled_from(["ring", "chain space", "row end"])),
)
leaves = st.one_of(
    works,
    st.builds(Chain, st.integers(1, 40), st.sampled_from(["start", "space", "picot", "foundation"]), st.booleans()),
    st.builds(Skip, st.integers(1, 12)),
    st.builds(InOne, st.lists(works, min_size=2, max_size=3).map(tuple), st.integers(1, 9)),
    st.builds(Act, st.sampled_from(["join", "turn", "marker", "ring", "fasten_off"])),
    st.builds(Act, st.just("colour"), st.sampled_from(["green", "cream"])),
)


def unlike(items: list[Instruction]) -> bool:
    """True where no two neighbours are the same motion: those are told in one, which another test looks at."""
    return all(motion(before) is None or motion(before) != motion(after) for before, after in pairwise(items))


def motion(item: Instruction) -> Work | None:
    """The one motion an instruction comes down to, None for any other."""
    if isinstance(item, Repeat) and len(item.body) == 1:
        return motion(item.body[0])
    return replace(item, count=0) if isinstance(item, Work) else None


bodies = st.recursive(
    leaves,
    lambda inner: st.builds(
        Repeat, st.integers(2, 60), st.lists(inner, min_size=1, max_size=3).filter(unlike).map(tuple)
    ),
    max_leaves=5,
)
rounds = st.builds(
    lambda work, first, more, into, makes, printed, basis: Round(
        "Rnd", "round", first, first + more, tuple(work), (), into, makes, printed, basis, "", HERE
    ),
    st.lists(bodies, min_size=1, max_size=4).filter(unlike),
    st.integers(1, 120),
    st.integers(0, 9),
    st.none() | st.integers(0, 200),
    st.none() | st.integers(1, 2000),
    st.none() | st.builds(Total, st.integers(1, 2000)),
    st.sampled_from(["worked_out", "pattern_says"]),
)


@given(rounds, st.sampled_from(["US", "UK"]), st.booleans())
def test_every_number_of_a_round_read_aloud_is_its_own(entry: Round, terms: str, full: bool) -> None:
    said = Instructions(terms).round(entry, full=full)  # type: ignore[arg-type]
    assert entry.first is not None
    assert entry.last is not None
    own: set[int | None] = {entry.first, entry.last, entry.times} if entry.times > 1 else {entry.first}
    own |= set(own_numbers(entry.instructions)) | {entry.stitches, entry.declared.stitches if entry.declared else None}
    own |= {product for item in entry.instructions for product in products(item)}
    assert spoken_numbers(said) <= own, said
    missing = set(must_be_said(entry.instructions)) - spoken_numbers(said)
    plain = "in each stitch around" in said
    assert plain or missing <= {item for item in missing if item in folded(entry.instructions)}, said


def products(item: Instruction) -> Iterator[int]:
    """What a repeat of one single motion adds up to: "(inc) x 6" is six increases."""
    if isinstance(item, Repeat):
        inner = [1] if not isinstance(item.body[0], Repeat) else list(products(item.body[0]))
        yield from (item.times * factor for factor in inner)
        for part in item.body:
            yield from products(part)


def folded(instructions: tuple[Instruction, ...]) -> set[int]:
    """Repeat counts that may be told within a product instead."""
    found: set[int] = set()
    for item in instructions:
        if isinstance(item, Repeat):
            if len(item.body) == 1:
                found.add(item.times)
            found |= folded(item.body)
    return found


@given(st.lists(counts, min_size=1, max_size=6), st.booleans())
def test_neighbours_that_are_the_same_are_told_as_their_sum(parts: list[int], bracketed: bool) -> None:
    works: tuple[Instruction, ...] = tuple(Work("hdc", count) for count in parts)
    entry = Round(
        "Rnd 7", "round", 7, 7, (Repeat(1, works),) if bracketed else works, (), None, None, None, "unknown", "", HERE
    )
    said = Instructions("US").round(entry)
    assert said == (f"Round seven. {cardinal(sum(parts)).capitalize()} half double crochet. The total is not known.")


@given(rounds, st.integers(1, 10))
def test_a_round_of_a_range_goes_by_its_own_number(entry: Round, nth: int) -> None:
    assert entry.first is not None
    if nth > entry.times or entry.times == 1:
        return
    said = Instructions("US").round(entry, nth)
    if nth > 1:
        which = "last" if nth == entry.times else ordinal(nth)
        assert said.startswith(f"Round {cardinal(entry.first + nth - 1)}, the {which} of {cardinal(entry.times)} alike")
    else:
        assert said.startswith(f"Rounds {cardinal(entry.first)} to ")
