"""What the pieces of a pattern share while they are counted: the source, the rules, and rounds already worked out."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

from companion.pattern.model import Chain, Problem
from companion.pattern.rules import Edge, Rules
from companion.pattern.source import Source
from companion.pattern.steps import TooLarge
from companion.pattern.worked import Worked
from companion.pattern.workout import work_out


class Stretch(NamedTuple):
    """The text whose instructions a round follows: its own, or that of the round it repeats."""

    start: int
    end: int


@dataclass(slots=True)
class Counting:
    """What all pieces of a pattern share while they are counted. `budget` bounds the motions of the whole pattern."""

    source: Source
    rules: Rules
    problems: list[Problem] = field(default_factory=list)
    memo: dict[tuple[object, ...], Worked | None] = field(default_factory=dict)
    by_piece: dict[str, dict[int, Stretch]] = field(default_factory=dict)
    flagged: set[tuple[str, int]] = field(default_factory=set)
    assumed: dict[str, bool] = field(default_factory=dict)
    budget: int = 2_000_000

    def work(self, stretch: Stretch, edge: Edge, pending: Chain | None, in_force: str) -> Worked | None:
        """The round of that text worked out; None where it is too large. The result is shared: leave it as it is."""
        text = self.source.text[stretch.start : stretch.end]
        said = tuple(self.rules.chain_counts.items())
        key = (text, edge, pending.count if pending else None, in_force, said)
        if key not in self.memo:
            parsed = self.source.parsed(stretch.start, stretch.end)
            try:
                self.memo[key] = work_out(parsed, self.rules, edge, text, pending=pending, in_force=in_force)
            except TooLarge:
                self.memo[key] = None
        worked = self.memo[key]
        if worked is not None and worked.said_chain is not None:
            self.rules.chain_counts.setdefault(*worked.said_chain)
        return worked
