"""A piece in rows is spoken of in rows: the word round is not said, and a count is taken from edge to edge."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from companion.pattern.reader import read
from companion.place.work import Work
from companion.wording.speaker import VERBOSITIES, Wording

CLOTH = """Cloth
Terms: US

CLOTH (make 2)
Row 1: ch 21, sc in 2nd ch from hook and in each ch across, turn [20]
Rows 2-4: ch 1, sc in each st across, turn [20]
Row 5: ch 1, (3 sc, inc) x 5, turn [25]
Row 6: ch 1, sc in each st across, turn [25]
"""
SAID: list[tuple[str, dict[str, int | str]]] = [
    ("rounds_left", {}),
    ("rounds_total", {}),
    ("stitches_left_piece", {}),
    ("to_do", {}),
    ("total_last", {}),
    ("total_next", {}),
    ("read_last_round", {}),
    ("next", {}),
    ("go_to_round", {"round": 9}),
    ("go_to_round", {"round": 5}),
    ("back_rounds", {"rounds": 2}),
    ("undo", {}),
    ("counted", {"stitches": 20}),
    ("counted", {"stitches": 24}),
    ("yes", {}),
    ("counted", {"stitches": 23}),
    ("no", {}),
    ("counted", {"stitches": 12}),
    ("rip_back", {"rounds": 2}),
    ("no", {}),
    ("rip_back", {"rounds": 1}),
    ("yes", {}),
    ("undo", {}),
    ("remind", {"round": 6, "text": "measure"}),
    ("remind", {"round": 1, "text": "measure"}),
    ("my_notes", {}),
    ("count_with_me", {}),
    ("done", {}),
    ("what_next", {}),
    ("next", {}),
    ("later", {}),
    ("have_done", {"stitches": 40}),
    ("next", {}),
    ("rounds_left", {}),
    ("skip_it", {}),
    ("rounds_left", {}),
]


@pytest.mark.parametrize("verbosity", VERBOSITIES)
def test_rows_are_never_called_rounds(tmp_path: Path, verbosity: str) -> None:
    pattern = read(CLOTH)
    wording = Wording(pattern, verbosity=verbosity)  # type: ignore[arg-type]
    with Work.open(pattern, tmp_path) as work:
        said = [wording.say(work.opening().answer)]
        for name, slots in SAID:
            said.append(wording.say(work.handle(name, slots).answer))
    assert not [reply for reply in said if re.search(r"\brounds?\b", reply, re.IGNORECASE)]
    assert not [reply for reply in said if "marker" in reply]
    assert "The first cloth finished: six rows" in " ".join(said)
