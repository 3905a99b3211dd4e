"""What the pieces of a pattern share while they are counted: the source, the rules, and rounds already worked out."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

from companion.pattern.labels import Kind
from companion.pattern.model import Chain, Problem, Unread
from companion.pattern.page import RoundDraft
from companion.pattern.rules import Edge, Rules
from companion.pattern.said import prepare
from companion.pattern.source import Source
from companion.pattern.starts import going_on
from companion.pattern.steps import TooLarge, lay_out
from companion.pattern.syntax import Node
from companion.pattern.worked import Worked
from companion.pattern.workout import work_out


class Stretch(NamedTuple):
    """The text whose instructions a round follows, its own or that of the round it repeats; and what that is called."""

    start: int
    end: int
    kind: Kind = "step"

    @classmethod
    def of(cls, draft: RoundDraft) -> Stretch:
        """What is written of a round itself."""
        return cls(draft.body, draft.end, draft.kind)


@dataclass(slots=True)
class Counting:
    """What all pieces of a pattern share while they are counted. `budget` bounds the motions of the whole pattern."""

    source: Source
    rules: Rules
    problems: list[Problem] = field(default_factory=list)
    seen: set[tuple[str, int, int]] = field(default_factory=set)
    memo: dict[tuple[object, ...], Worked] = field(default_factory=dict)
    by_piece: dict[str, dict[int, Stretch]] = field(default_factory=dict)
    faulty: set[Stretch] = field(default_factory=set)
    flagged: set[tuple[str, int]] = field(default_factory=set)
    assumed: dict[str, bool] = field(default_factory=dict)
    budget: int = 2_000_000

    def report(self, found: Problem) -> None:
        """Note a problem, once at its place: rows 2, 4 and 6 on one line have one slip between them."""
        place = (found.kind, found.line, found.column)
        if place not in self.seen:
            self.seen.add(place)
            self.problems.append(found)

    def work(
        self, stretch: Stretch, edge: Edge, pending: Chain | None, in_force: str, *, again: bool = False
    ) -> Worked:
        """The round of that text worked out. The result is shared: leave it as it is.

        `again`: its beginning, a ring or a chain, was made before, and its stitches go on with what is there.

        Of a round that is too large only the printed total is known.
        """
        text = self.source.text[stretch.start : stretch.end]
        said = tuple(self.rules.chain_counts.items())
        key = (text, edge, pending.count if pending else None, in_force, said, again, stretch.kind)
        if key not in self.memo:
            nodes = self.source.parsed(stretch.start, stretch.end)
            if again:
                nodes = going_on(nodes) or nodes
            try:
                self.memo[key] = work_out(
                    nodes, self.rules, edge, text, pending=pending, in_force=in_force, kind=stretch.kind
                )
            except TooLarge:
                self.memo[key] = _too_large(nodes, text, edge)
        worked = self.memo[key]
        if worked.said_chain is not None:
            self.rules.chain_counts.setdefault(*worked.said_chain)
        return worked


def _too_large(nodes: tuple[Node, ...], text: str, edge: Edge) -> Worked:
    """A round of which only the printed total is known. Its instructions are kept as written."""
    worked = Worked(takes=None, gives=None, there=edge.stitches, too_large=True, has_work=True, row=edge.row)
    kept = prepare(nodes, worked, text)
    if kept:
        start, end = kept[0].start, kept[-1].end
        worked.instructions = (Unread(" ".join(text[start:end].split()), (start, end)),)
        worked.steps = lay_out(worked.instructions)
    return worked
