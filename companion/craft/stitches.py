"""What one motion of the hook measures: how tall it stands and how many loops of yarn it draws.

Worked out from the stitch table of the pattern room (height in chains, kind, parts) and `heights.yaml`, so that a
stitch added to that table has its figures here without another line.
"""

from __future__ import annotations

from functools import cache, lru_cache

from companion.craft import tables
from companion.pattern.model import Act, Chain, InOne, Instruction, Repeat, Work
from companion.pattern.stitches import Stitch, table

LOOPS_OF_SC = 2
"""Loops drawn in a single crochet: the measure of yarn and time."""

_PICOT_LOOPS = 4
"""Three chains and a slip stitch (common practice, no source)."""


@cache
def height(stitch: str) -> float:
    """How tall the stitch stands against a single crochet (1.0); one the table does not have stands as a single."""
    entry = table().get(stitch)
    return tables.heights().at(entry.height if entry else 1).height


def is_foundation(stitch: str) -> bool:
    """Whether the stitch makes its own chain, and so begins a piece without an edge below it."""
    entry = table().get(stitch)
    return entry is not None and entry.kind == "foundation"


@lru_cache(maxsize=4096)
def loops(instruction: Instruction) -> int:
    """Loops of yarn that one motion of `instruction` draws. A skip or a note draws none."""
    match instruction:
        case Work():
            return _work(instruction)
        case InOne():
            return sum(loops(item) * _times(item) for item in instruction.body)
        case Chain():
            return instruction.count
        case Repeat():
            return instruction.times * sum(loops(item) * _times(item) for item in instruction.body)
        case Act(kind="join" | "close"):
            return 1
        case _:
            return 0


def _times(instruction: Instruction) -> int:
    return instruction.count if isinstance(instruction, Work | InOne) else 1


def _work(work: Work) -> int:
    entry = table().get(work.stitch)
    plain = tables.heights().at(entry.height if entry else 1).loops
    parts = entry.parts if entry else 1
    kind = entry.kind if entry else "basic"
    if kind == "trim":
        return _trim(entry)
    if kind == "spread":
        return max(work.in_one, parts) * plain + (entry.chain_spaces if entry else 0)
    if kind == "foundation":
        plain += 1
    # Stitches worked together, and the parts of a cluster, are each left on the hook before their last loop; one loop
    # closes them all. An invisible decrease picks up two front loops as if they were one stitch.
    gathered = max(work.together if not work.invisible else 1, parts)
    return work.in_one * (gathered * (plain - 1) + 1)


def _trim(entry: Stitch | None) -> int:
    return 1 if entry is not None and entry.key == "ch" else _PICOT_LOOPS
