"""What the reader doubts is told before a round's first stitch."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from companion.pattern.reader import read
from companion.place.answers import Disagrees, ProblemHere, Unreadable
from companion.place.work import Work

TEXT = """Hat
Terms: US

HAT (make 1)
Rnd 1: 6 sc in a magic ring [6]
Rnd 2: (sc, inc) x 4 [12]
Rnd 4: sc in each st around [12]
Rnd 5: (sc, inc) x 6 [19]
Rnd 6: blarg 7, 18 sc [18]
"""


def test_doubts_come_with_the_round_they_are_about(tmp_path: Path) -> None:
    told: dict[int | None, list[object]] = {}
    with Work.open(read(TEXT), tmp_path) as work:
        work.opening()
        for _ in range(4):
            answer: Any = work.handle("next").answer
            told[answer.now.round] = [
                n.problem.kind if isinstance(n, ProblemHere) else n
                for n in answer.notices
                if isinstance(n, ProblemHere | Disagrees | Unreadable)
            ]
    assert told[2] == ["does_not_fit"]
    assert told[4] == ["missing_round"]
    assert told[5] == [Disagrees(worked_out=18, printed=19)]
    assert [type(n) for n in told[6]] == [Unreadable]
