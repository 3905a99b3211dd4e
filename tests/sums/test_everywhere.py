"""Every sum all through the samples and an odd pattern, at every verbosity: a whole sentence, and nothing moves."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from companion.pattern.reader import read, read_file
from companion.place.work import Work
from companion.resources import shared_folder
from companion.sums import words
from companion.sums.asked import SUMS, questions
from companion.sums.measures import Measures
from companion.wording.sentences import VERBOSITIES
from companion.wording.speaker import Wording

assert words, "its words register themselves"

ODD = """Odd
Terms: UK
Hook: 4 mm

BAG
Rnd 1: ch 6, dc in 2nd ch from hook, 3 dc, 3 dc in last ch, 3 dc along the other side of the chain, 2 dc in last ch [12]
Rnd 2: work some magic
Rnd 3: 12 dc, turn
Rows 4-5: ch 1, 12 dc, turn [12]
Edging: dc evenly around

EMPTY

ASSEMBLY
1. Hang it up.
"""
SLOTS: dict[str, list[dict[str, int | str]]] = {
    "how_big": [{}, {"piece": "no such piece"}],
    "what_if_hook": [{"hook": "5"}, {"hook": "2.25"}],
    "what_if_yarn": [{"yarn": "aran"}, {"yarn": "jumbo"}, {"yarn": "lace"}],
    "gauge_for_size": [{"size": n, "unit": unit, "way": "high"} for n, unit in ((1, "mm"), (12, "cm"), (200, "inch"))],
    "spread": [{"increases": 6, "stitches": 30}, {"decreases": 200, "stitches": 1}, {"increases": 1, "stitches": 1}],
    "spread_here": [{"increases": 5}, {"decreases": 3}],
    "eye_size": [{}, {"head": 200, "unit": "inch"}, {"head": 7, "unit": "cm"}],
    "hook_size": [{"hook": "4"}, {"us_hook": "K-10 1/2"}],
    "yarn_weight": [{"yarn": "dk"}, {"yarn": "super bulky"}],
}
SAMPLES = {path.stem: path for path in sorted((shared_folder() / "patterns").glob("*.txt"))}


@pytest.mark.parametrize("measures", [Measures(), Measures(stitches_per_10cm=20, hook=3, units="imperial")])
@pytest.mark.parametrize("name", [*SAMPLES, "odd"])
def test_a_sum_is_answered_in_whole_sentences(name: str, measures: Measures, tmp_path: Path) -> None:
    pattern = read_file(SAMPLES[name]) if name in SAMPLES else read(ODD)
    wordings = [Wording(pattern, verbosity=verbosity) for verbosity in VERBOSITIES]
    asked = [(sum_, slots) for sum_ in SUMS for slots in SLOTS.get(sum_, [{}])]
    with Work.open(pattern, tmp_path, beyond=questions(pattern, measures)) as work:
        for step in range(200):
            before = work.place
            for sum_, slots in asked if step % 4 == 0 else ():
                answer = work.handle(sum_, slots).answer
                for wording in wordings:
                    said = wording.say(answer)
                    assert re.fullmatch(r"[A-Z].*[.?]", said), (said, sum_, slots)
                    assert not re.search(r"[{}\d_]|\bNone\b|  |\.\.|[,;:]\.", said), (said, sum_, slots)
            assert work.place == before
            work.handle("later")
            work.handle("next")
            if work.place == before and work.state == "listening":
                break


def test_the_ear_asks_back_with_both_numbers() -> None:
    wording = Wording(read(ODD))
    spreads = [("spread", {"increases": n, "stitches": 30}) for n in (6, 16)]
    assert wording.ask_back(spreads) == (
        "Spread six increases over thirty stitches or spread sixteen increases over thirty stitches?"
    )
