"""Text that means harm, or came out of something broken: a bounded result, never a crash."""

import random
import tracemalloc

import pytest

from benchmarks.reader_fuzz import hostile_text
from companion.pattern.coverage import unaccounted
from companion.pattern.reader import read

HUGE = {
    "a billion repeats": "Rnd 1: 6 sc in MR\nRnd 2: (sc, inc) x 1000000000",
    "repeats of repeats": "Rnd 1: ((((sc) x 1000) x 1000) x 1000) x 1000",
    "ten thousand brackets": "Rnd 1: " + "(" * 10_000 + "sc" + ")" * 10_000,
    "brackets that never close": "Rnd 1: " + "(" * 10_000,
    "a line of a quarter of a megabyte": "Rnd 1: " + "sc, inc, " * 30_000,
    "one long word": "Rnd 1: " + "a" * 500_000,
    "stars": "Rnd 1: " + "*sc " * 20_000,
    "a round that never ends": "Rnd 1: (sc, \n" + "sc, inc,\n" * 5_000,
    "a hundred thousand digits": "Rnd 1: " + "9" * 100_000,
    "an endless range": "Rnd 1: 6 sc in MR\nRnds 2-99999: inc in first st, sc to end",
    "rounds as large as can be": "\n".join(f"Rnd {n}: 19999 sc" for n in range(1, 500)),
    "rounds that refer to themselves": "Rnd 1: repeat round 1\nRnd 2: repeat rounds 1 and 2",
    "pieces that refer to each other": "A\nRnd 1: as for B\n\nB\nRnd 1: as for A",
    "a total that never closes": "Rnd 1: 6 sc (3 " + "sc " * 20_000,
    "totals that never close": "Rnd 1: " + "(3 sc inc " * 20_000,
    "numbered lines without end": "Rnd 1: 6 sc\n" + "2. sc wibble\n" * 20_000 + "4. stuff it\n" * 20_000,
    "every other row of far too many": "Row 1: 9 sc\nRow 2 and all even rows: sc across\nRow 99999: sc across",
    "increases without end": "Rnd 1: 24 sc\nRnd 2: " + "inc 6 evenly, (evenly spaced), " * 20_000,
    "all so far repeated without end": "Rnd 1: 6 sc in MR\nRnd 2: " + "rep from * " * 1_800,
    "sums without end": "Rnd 1: 6 sc in MR\nRnd 2: sc, " + "12, " * 4_900,
    "empty lines": "\n" * 100_000,
    "headings and nothing else": "HEAD\n" * 5_000,
}


@pytest.mark.parametrize("name", HUGE)
def test_monstrous_text_gives_a_bounded_result(name: str) -> None:
    tracemalloc.start()
    pattern = read(HUGE[name])
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak < 200_000_000
    assert sum(len(entry.steps) for piece in pattern.pieces for entry in piece.rounds) <= 2_000_000
    assert unaccounted(pattern) == []


def test_more_text_than_any_pattern_has_is_refused_but_kept() -> None:
    text = "Rnd 1: 6 sc in MR\n" * 200_000
    pattern = read(text)
    assert [p.kind for p in pattern.problems] == ["too_large"]
    assert pattern.source == text


def test_marks_that_cannot_be_seen_change_nothing() -> None:
    plain = read("Rnd 1: 6 sc in MR [6]\nRnd 2: inc x 6 [12]")
    marked = read("\ufeffRnd 1: 6\u200b sc\x00 in MR [6]\r\n\u202eRnd 2: inc x\u2060 6 [12]\u202c")
    assert marked.pieces == plain.pieces


@pytest.mark.parametrize("seed", range(40))
def test_random_text_never_makes_it_fall_over_and_nothing_is_dropped(seed: int) -> None:
    rng = random.Random(seed)
    for _ in range(50):
        assert unaccounted(read(hostile_text(rng))) == []
