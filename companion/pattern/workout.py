"""The working-out: a round as written, and what is there to work it into, become instructions, steps and totals.

Everything counted anywhere is counted here: what each motion takes of the round below and gives to this one follows
the stitch table, and repeats written as "around" or "to the last 3 sts" are worked out from what is there.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Final

from companion.pattern.model import (
    Act,
    Chain,
    InOne,
    Instruction,
    Loop,
    Repeat,
    Skip,
    Span,
    Step,
    Terms,
    Total,
    Unread,
    Work,
)
from companion.pattern.stitches import Stitch, by_spelling, table
from companion.pattern.syntax import (
    ActNode,
    AsRoundNode,
    ChainNode,
    CountsNode,
    Fill,
    InOneNode,
    LoopsNode,
    Node,
    RepeatNode,
    RoundCountNode,
    SkipNode,
    Times,
    TotalNode,
    UnreadNode,
    WorkNode,
)

MAX_STEPS: Final = 20_000
"""Stitches of one round beyond which it is not laid out: no real round comes near it."""

NOT_THE_EDGE: Final = frozenset({"ring", "chain space", "row end"})
"""Targets that are no stitches of the live edge, so that working into them takes none of it."""


class TooLarge(Exception):  # noqa: N818  (it ends a working-out; it is no error of the program)
    """The round would be laid out into more steps than MAX_STEPS."""


@dataclass(slots=True)
class Edge:
    """What a round is worked into. `stitches` is None where unknown; `chain` is the length of a chain not yet worked."""

    stitches: int | None = None
    kind: str = "stitches"  # "none", "ring", "chain", "stitches"
    chain: int = 0
    spaces: int | None = None


@dataclass(slots=True)
class Rules:
    """What holds for the whole pattern while it is read.

    `chain_counts` is what the pattern says about starting chains by stitch key; `practice` what is assumed where it
    is silent. `own` are the writer's own stitches by the words for them.
    """

    terms: Terms = "US"
    own: dict[str, Work] = field(default_factory=dict)
    chain_counts: dict[str, bool] = field(default_factory=dict)
    practice: dict[str, bool] = field(default_factory=dict)
    in_force: str = "sc"
    last: str = "sc"

    def said_of_chain(self, key: str, length: int) -> bool | None:
        """What the pattern says of a starting chain of that length before that stitch; None where it is silent."""
        for name in (key, f"ch{length}", "*"):
            if name in self.chain_counts:
                return self.chain_counts[name]
        return None


@dataclass(slots=True)
class Worked:
    """One round worked out. `takes` and `gives` are None where they cannot be known."""

    instructions: tuple[Instruction, ...] = ()
    steps: tuple[Step, ...] = ()
    takes: int | None = 0
    gives: int | None = 0
    there: int | None = None
    chain_spaces: int = 0
    declared: Total | None = None
    into: str | None = None
    unread: list[UnreadNode] = field(default_factory=list)
    assumed_chain: tuple[str, int, bool, int] | None = None  # stitch, chains, counted, offset
    remainder: tuple[int, int, int] | None = None  # takes of one repeat, room, left over
    uses_spaces: bool = False
    leaves: bool = False
    edge_kind: str = "stitches"
    as_round: AsRoundNode | None = None
    round_count: RoundCountNode | None = None
    doubtful: list[WorkNode] = field(default_factory=list)
    chain_left: int = 0
    chain_ring: bool = False
    pending_chain: Chain | None = None
    joins: bool = False
    turns: bool = False
    has_work: bool = False
    both_sides: bool = False
    next_into: str | None = None


def takes_of(item: Work | InOne | Skip | Chain | Act | Unread, *, within: bool = False) -> int:
    """Stitches of the round below that one motion uses. `within` a group worked into one place, it uses none."""
    if within:
        return 0
    if isinstance(item, Work):
        if item.same or item.into in NOT_THE_EDGE:
            return 0
        entry = table().get(item.stitch)
        return item.together if entry is None or entry.takes else 0
    if isinstance(item, InOne):
        return 0 if item.same or item.into in NOT_THE_EDGE else 1
    if isinstance(item, Skip):
        return 1
    if isinstance(item, Chain):
        return 1 if item.counts and item.role == "start" else 0
    return 0


def gives_of(item: Work | Skip | Chain | Act | Unread) -> int:
    """Stitches of this round that one motion makes."""
    if isinstance(item, Work):
        entry = table().get(item.stitch)
        return item.in_one if entry is None or entry.gives else 0
    if isinstance(item, Chain):
        return 1 if item.counts and item.role == "start" else 0
    return 0


class Workout:
    """Works out one round. `span` turns offsets of the parsed text into a Span of the source."""

    def __init__(self, rules: Rules, edge: Edge, span: Callable[[int, int], Span], text: str) -> None:
        self.rules = rules
        self.edge = edge
        self.span = span
        self.text = text
        self.result = Worked(there=edge.stitches, edge_kind=edge.kind)
        self.loop: Loop = "both"
        self.used = False  # something of the round below has been worked into
        self.along: str | None = None
        self.unknown = False
        self.budget = MAX_STEPS

    def run(self, nodes: Sequence[Node], pending: Chain | None = None) -> Worked:
        """The round worked out. Raises TooLarge."""
        result = self.result
        nodes = self._prepare(nodes)
        room = self._room(nodes)
        instructions: list[Instruction] = []
        if pending is not None:
            counts = self._start_counts(pending.count, nodes, None, 0)
            if counts:
                instructions.append(Chain(pending.count, "start", True, pending.span))
                self.used = True
                if room is not None:
                    room -= 1
        body = self._sequence(nodes, room, first=not instructions)
        instructions.extend(body)
        result.instructions = tuple(instructions)
        if self.unknown or result.unread:
            result.takes = result.gives = None
        else:
            result.takes, result.gives, result.chain_spaces = self._measure(result.instructions)
        if not self.unknown:
            result.steps = self._steps(result.instructions)
        return result

    # --- before laying out ---

    def _prepare(self, nodes: Sequence[Node]) -> list[Node]:
        """Take out what is said about the round, rather than worked in it."""
        result = self.result
        kept: list[Node] = []
        for node in nodes:
            if isinstance(node, TotalNode):
                if node.stitches is not None or node.chain_spaces is not None:
                    span = self.span(node.start, node.end)
                    text = self.text[node.start : node.end].strip()
                    if result.declared is None:
                        result.declared = Total(node.stitches, node.chain_spaces, text, span)
            elif isinstance(node, CountsNode):
                for k in range(len(kept) - 1, -1, -1):
                    before = kept[k]
                    if isinstance(before, ChainNode):
                        kept[k] = ChainNode(before.start, before.end, before.count, node.counts)
                        break
            elif isinstance(node, RoundCountNode):
                result.round_count = node
            elif isinstance(node, AsRoundNode):
                result.as_round = node
            else:
                kept.append(node)
        return kept

    def _room(self, nodes: list[Node]) -> int | None:
        """How many stitches are there for this round; notes what kind of edge it is."""
        result = self.result
        hook = _first_from_hook(nodes)
        chain = self.edge.chain
        for node in nodes:
            if isinstance(node, ChainNode):
                chain = node.count
                break
            if isinstance(node, WorkNode | InOneNode | RepeatNode):
                break
        if hook and chain:
            there = max(0, chain - hook[0] + 1)
            result.there = there
            result.edge_kind = "chain"
            return there
        if self.edge.kind == "ring":
            self.along = "ring"
        if self.along or _works_into_ring(nodes):
            result.there, result.edge_kind = 0, "ring"
            return 0
        if self.edge.kind == "chain" and self.edge.chain:
            result.there = self.edge.chain
            return self.edge.chain
        return self.edge.stitches

    # --- laying out ---

    def _sequence(
        self, nodes: Sequence[Node], room: int | None, *, first: bool, within: bool = False
    ) -> list[Instruction]:
        fixed: list[int | None] = [None if _has_fill(node) else self._fixed_takes(node) for node in nodes]
        out: list[Instruction] = []
        taken: int | None = 0
        start = first
        for k, node in enumerate(nodes):
            before = len(out)
            left: int | None = None
            if fixed[k] is None:
                rest = [t for t in fixed[k + 1 :]]
                if room is not None and taken is not None:
                    keep = _keep(node)
                    if keep:
                        left = room - taken - keep
                    elif all(t is not None for t in rest):
                        left = room - taken - sum(t or 0 for t in rest)
            out.extend(self._node(node, left, nodes, k, start=start, within=within))
            if isinstance(node, WorkNode | InOneNode | RepeatNode | SkipNode) or (
                isinstance(node, ChainNode) and start and out and isinstance(out[-1], Chain)
            ):
                start = False
            if taken is not None:
                used = [self._measure((item,))[0] for item in out[before:]]
                taken = None if any(u is None for u in used) else taken + sum(u or 0 for u in used)
        return out

    def _fixed_takes(self, node: Node) -> int | None:
        """What a node without "around" takes; a starting chain is seen to when it is laid out."""
        if isinstance(node, WorkNode):
            if node.same and self.used:
                return 0
            if node.into in NOT_THE_EDGE:
                return 0
            work = self._work(node, 1)
            return takes_of(work) * (node.count if isinstance(node.count, int) else 0)
        if isinstance(node, InOneNode):
            each = 0 if node.same or node.into in NOT_THE_EDGE else 1
            return each * (node.count if isinstance(node.count, int) else 0)
        if isinstance(node, SkipNode):
            return 0 if node.into in NOT_THE_EDGE else node.count
        if isinstance(node, RepeatNode):
            inner = [self._fixed_takes(child) for child in node.body]
            if any(t is None for t in inner) or not isinstance(node.times, Times):
                return None
            return sum(t or 0 for t in inner) * node.times.count
        return 0

    def _node(
        self, node: Node, left: int | None, nodes: Sequence[Node], k: int, *, start: bool, within: bool
    ) -> list[Instruction]:
        span = self.span(node.start, node.end)
        if isinstance(node, WorkNode):
            return self._lay_work(node, left, span, within=within)
        if isinstance(node, InOneNode):
            return self._lay_in_one(node, left, span)
        if isinstance(node, ChainNode):
            return self._lay_chain(node, nodes, k, span, start=start, within=within)
        if isinstance(node, SkipNode):
            self.used = True
            if node.into in NOT_THE_EDGE:
                self.result.uses_spaces = True
                return [Act("note", self._words(node), span)]
            return [Skip(node.count, span)] if node.count else []
        if isinstance(node, RepeatNode):
            return self._lay_repeat(node, left, span, within=within)
        if isinstance(node, LoopsNode):
            self.loop = _loop(node.loop)
            return []
        if isinstance(node, ActNode):
            return self._lay_act(node, span)
        if isinstance(node, UnreadNode):
            self.result.unread.append(node)
            return [Unread(self._words(node), span)]
        return []

    def _words(self, node: Node) -> str:
        return " ".join(self.text[node.start : node.end].split())

    def _lay_work(self, node: WorkNode, left: int | None, span: Span, *, within: bool) -> list[Instruction]:
        if node.doubtful:
            self.result.doubtful.append(node)
        unit = self._work(node, 1)
        each = takes_of(unit)
        count: int | None
        if isinstance(node.count, Fill):
            if unit.into in NOT_THE_EDGE:
                count = self.edge.spaces if unit.into == "chain space" else None
            elif unit.into is not None:
                count = None
            elif left is None or each == 0:
                count = None
            else:
                left = max(0, left)
                count, over = divmod(left, each)
                if over:
                    self.result.remainder = (each, left, over)
        else:
            count = node.count
        if unit.into == "chain space":
            self.result.uses_spaces = True
        if unit.into is not None:
            self.result.into = _join_into(self.result.into, unit.into)
        if node.from_hook:
            pass
        if count is None:
            self.unknown = True
            self.result.unread.append(UnreadNode(node.start, node.end, ""))
            return [Unread(self._words(node), span)]
        self._spend(count)
        if not unit.same and unit.into not in NOT_THE_EDGE:
            self.used = True
        self.result.has_work = True
        if count == 0:
            return []
        made = self._work(node, count, span)
        out: list[Instruction] = []
        if node.from_hook and self.result.edge_kind == "chain":
            out.extend(self._skipped_chains(node, span))
        out.append(made)
        return out

    def _skipped_chains(self, node: WorkNode, span: Span) -> list[Instruction]:
        """The chains skipped at the start of a foundation row: one stitch where they are tall enough, else none."""
        entry = table().get(self._work(node, 1).stitch)
        height = entry.height if entry else 1
        skipped = node.from_hook - 1
        key = self._work(node, 1).stitch
        counts = skipped >= height and height >= 3
        if height == 2 and skipped >= 2:
            known = self.rules.said_of_chain(key, skipped)
            counts = self.rules.practice.get(key, False) if known is None else known
            if known is None:
                self.result.assumed_chain = (key, skipped, counts, node.start)
        elif counts and self.rules.said_of_chain(key, skipped) is not None:
            counts = bool(self.rules.said_of_chain(key, skipped))
        elif counts:
            counts = self.rules.practice.get(key, True)
            self.result.assumed_chain = (key, skipped, counts, node.start)
        if not counts:
            return []
        return [Chain(skipped, "start", True, span)]

    def _work(self, node: WorkNode, count: int, span: Span | None = None) -> Work:
        """The model's Work for a node: the stitch looked up in the terms in force, shaping and places carried over."""
        loop: Loop = _loop(node.loop) if node.loop else self.loop
        into = node.into or self.along
        own = self.rules.own.get(node.word)
        if own is not None:
            in_one, together = own.in_one * node.in_one, max(own.together, node.together)
            return Work(own.stitch, count, in_one, together, loop, own.invisible, node.same and self.used, into, span)
        entry = self.look_up(node.word)
        key = entry.key if entry is not None else node.word
        in_one, together = node.in_one, node.together
        if entry is not None and entry.kind == "spread":
            in_one = node.parts[1] if node.parts else entry.gives * node.in_one
        if node.word and entry is not None:
            self.rules.last = key
            if entry.kind == "basic" and key != "sl st" and not node.shaping:
                self.rules.in_force = key
        return Work(key, count, in_one, together, loop, node.invisible, node.same and self.used, into, span)

    def look_up(self, word: str) -> Stitch | None:
        """The stitch meant by a word in the terms in force; an empty word is the stitch in force."""
        if not word:
            return table()[self.rules.in_force]
        terms = self.rules.terms
        other: Terms = "UK" if terms == "US" else "US"
        return by_spelling(terms).get(word) or by_spelling(other).get(word)

    def _lay_in_one(self, node: InOneNode, left: int | None, span: Span) -> list[Instruction]:
        count: int | None
        if isinstance(node.count, Fill):
            count = self.edge.spaces if node.into == "chain space" else left
        else:
            count = node.count
        if node.into == "chain space":
            self.result.uses_spaces = True
        if node.into is not None:
            self.result.into = _join_into(self.result.into, node.into)
        if count is None or count < 0:
            self.unknown = True
            self.result.unread.append(UnreadNode(node.start, node.end, ""))
            return [Unread(self._words(node), span)]
        same = node.same and self.used
        first = not self.used
        body = self._sequence(node.body, 0, first=first, within=True)
        self.used = self.used or node.into not in NOT_THE_EDGE
        self.result.has_work = True
        self._spend(count * len(body))
        return [InOne(tuple(body), count, same, node.into, span)]

    def _lay_repeat(self, node: RepeatNode, left: int | None, span: Span, *, within: bool) -> list[Instruction]:
        times_written = node.times
        room: int | None = None
        if _has_fill_in(node.body) and isinstance(times_written, Times) and left is not None and times_written.count:
            room = left // times_written.count if left % times_written.count == 0 else None
        used_before = self.used
        body = tuple(self._sequence(node.body, room, first=False, within=within))
        takes = self._measure(body)[0]
        if isinstance(times_written, Times):
            times = times_written.count
            if times_written.or_else is not None and takes and self.edge.stitches is not None:
                other = times_written.or_else
                if takes * times != self.edge.stitches and takes * other == self.edge.stitches:
                    times = other
            written = times_written.written
        else:
            written = times_written.written
            spaces = self.edge.spaces
            if takes and left is not None and left >= 0:
                times, over = divmod(left, takes)
                if over:
                    self.result.remainder = (takes, left, over)
            elif takes == 0 and spaces and (per := _spaces_used(body)) and spaces % per == 0:
                times = spaces // per
            else:
                self.unknown = True
                self.result.unread.append(UnreadNode(node.start, node.end, ""))
                return [Unread(self._words(node), span)]
        self.used = used_before or bool(times)
        self._spend(times * max(1, len(body)))
        if times == 0 or not body:
            return []
        return [Repeat(times, body, written, span)]

    def _lay_chain(
        self, node: ChainNode, nodes: Sequence[Node], k: int, span: Span, *, start: bool, within: bool
    ) -> list[Instruction]:
        rest = nodes[k + 1 :]
        if node.count > MAX_STEPS:
            raise TooLarge
        if _first_from_hook(rest) or any(isinstance(n, ActNode) and n.kind == "chain_ring" for n in rest):
            self.result.chain_left = node.count
            return [Chain(node.count, "foundation", False, span)]
        if not any(isinstance(n, WorkNode | InOneNode | RepeatNode) for n in rest):
            if start and not self.used:
                self.result.chain_left = node.count
                return [Chain(node.count, "foundation", False, span)]
            if any(isinstance(n, ActNode) and n.kind == "turn" for n in rest) or not rest:
                chain = Chain(node.count, "start", False, span)
                self.result.pending_chain = chain
                return [chain]
            return [Chain(node.count, "space", False, span)]
        if start and not self.used:
            if any(isinstance(n, ActNode) and n.kind in ("join_into", "along") for n in rest[:2]):
                return [Chain(node.count, "foundation", False, span)]
            counts = self._start_counts(node.count, rest, node.counts, node.start)
            self.used = self.used or counts
            chain = Chain(node.count, "start", counts, span)
            return [chain]
        return [Chain(node.count, "space", False, span)]

    def _start_counts(self, length: int, rest: Sequence[Node], said: bool | None, offset: int) -> bool:
        """Whether a starting chain is a stitch: as the pattern says, else by common practice, which is flagged."""
        key = self._first_stitch(rest) or self.rules.in_force
        if said is not None:
            self.rules.chain_counts.setdefault(key, said)
            return said
        known = self.rules.said_of_chain(key, length)
        if known is not None:
            return known
        entry = table().get(key)
        height = entry.height if entry else 1
        counts = self.rules.practice.get(key, height >= 3 and length >= 3)
        if height and (height > 1 or length == 1):
            self.result.assumed_chain = (key, length, counts, offset)
        return counts

    def _first_stitch(self, nodes: Sequence[Node]) -> str | None:
        for node in nodes:
            if isinstance(node, WorkNode):
                return self._work(node, 1).stitch
            if isinstance(node, InOneNode | RepeatNode) and (found := self._first_stitch(node.body)):
                return found
        return None

    def _lay_act(self, node: ActNode, span: Span) -> list[Instruction]:
        words = self._words(node)
        result = self.result
        if node.kind == "chain_ring":
            result.chain_ring = True
            return [Act("join", words, span)]
        if node.kind == "ring":
            self.along = "ring"
            return [Act("ring", words, span)]
        if node.kind == "join_into":
            self.along = _target(words)
            return [Act("note", words, span)]
        if node.kind == "along":
            self.along = node.text
            return [Act("note", words, span)]
        if node.kind == "join":
            result.joins = True
            return [Act("join", words, span)]
        if node.kind == "turn":
            result.turns = True
            return [Act("turn", words, span)]
        if node.kind == "leave":
            result.leaves = True
            return [Act("leave", words, span)]
        if node.kind == "colour":
            return [Act("colour", _colour(words), span)]
        if node.kind == "marker":
            return [Act("marker", words, span)]
        if node.kind == "fasten_off":
            return [Act("fasten_off", words, span)]
        return [Act("note", words, span)]

    # --- counting ---

    def _measure(self, items: Sequence[Instruction]) -> tuple[int | None, int | None, int]:
        """Takes, gives and chain spaces of laid-out instructions."""
        takes: int | None = 0
        gives: int | None = 0
        spaces = 0
        for item in items:
            t: int | None
            g: int | None
            s = 0
            if isinstance(item, Work):
                t, g = takes_of(item) * item.count, gives_of(item) * item.count
                entry = table().get(item.stitch)
                s = entry.chain_spaces * item.count if entry else 0
            elif isinstance(item, Repeat):
                t, g, s = self._measure(item.body)
                t = None if t is None else t * item.times
                g = None if g is None else g * item.times
                s *= item.times
            elif isinstance(item, InOne):
                _, g, s = self._measure(item.body)
                t = takes_of(item) * item.count
                g = None if g is None else g * item.count
                s *= item.count
            elif isinstance(item, Skip):
                t, g = item.count, 0
            elif isinstance(item, Unread):
                t = g = None
            else:
                t, g = takes_of(item), gives_of(item)
                if isinstance(item, Chain) and item.role == "start" and self.result.edge_kind in ("ring", "chain"):
                    t = 0
                if isinstance(item, Chain) and item.role == "space":
                    s = 1
            takes = None if takes is None or t is None else takes + t
            gives = None if gives is None or g is None else gives + g
            spaces += s
        return takes, gives, spaces

    def _spend(self, steps: int) -> None:
        self.budget -= steps
        if self.budget < 0:
            raise TooLarge

    def _steps(self, instructions: Sequence[Instruction]) -> tuple[Step, ...]:
        return _Layout(self.result.edge_kind).lay(instructions)


class _Layout:
    """Instructions laid out step by step."""

    def __init__(self, edge_kind: str) -> None:
        self.edge_kind = edge_kind
        self.steps: list[Step] = []
        self.run = 0
        self.group = -1
        self.colour: str | None = None

    def lay(self, instructions: Sequence[Instruction]) -> tuple[Step, ...]:
        for item in instructions:
            self._item(item, None, None, None, within=False, first_within=False)
        return tuple(self.steps)

    def _item(
        self,
        item: Instruction,
        repeat: int | None,
        repeats: int | None,
        group: int | None,
        *,
        within: bool,
        first_within: bool,
    ) -> None:
        if isinstance(item, Repeat):
            outer = repeat is None
            if outer:
                self.group += 1
                group = self.group
            for n in range(1, item.times + 1):
                for child in item.body:
                    self._item(
                        child,
                        n if outer else repeat,
                        item.times if outer else repeats,
                        group,
                        within=within,
                        first_within=first_within,
                    )
                if len(self.steps) > MAX_STEPS:
                    raise TooLarge
            return
        if isinstance(item, InOne):
            for _ in range(item.count):
                self.run += 1
                fresh = takes_of(item) > 0
                for child in item.body:
                    before = len(self.steps)
                    self._item(child, repeat, repeats, group, within=True, first_within=fresh)
                    if len(self.steps) > before and any(s.gives for s in self.steps[before:]):
                        fresh = False
            return
        if isinstance(item, Act) and item.kind == "colour":
            self.colour = item.text
        count = item.count if isinstance(item, Work | Skip) else 1
        takes = takes_of(item, within=within)
        if isinstance(item, Chain) and self.edge_kind in ("ring", "chain"):
            takes = 0
        gives = gives_of(item)
        if len(self.steps) + count > MAX_STEPS:
            raise TooLarge
        if within and first_within and gives:
            self.steps.append(Step(item, 1, gives, self.run, repeat, repeats, group, self.colour))
            count -= 1
        if count > 0:
            step = Step(item, takes, gives, self.run, repeat, repeats, group, self.colour)
            self.steps.extend([step] * count)
        if not within:
            self.run += 1


def _loop(word: str) -> Loop:
    return "front" if word == "front" else "back" if word == "back" else "both"


def _join_into(so_far: str | None, more: str) -> str:
    if so_far is None or more in so_far.split(", "):
        return so_far or more
    return f"{so_far}, {more}"


def _has_fill(node: Node) -> bool:
    if isinstance(node, WorkNode | InOneNode):
        return isinstance(node.count, Fill)
    if isinstance(node, RepeatNode):
        return isinstance(node.times, Fill) or _has_fill_in(node.body)
    return False


def _has_fill_in(nodes: Sequence[Node]) -> bool:
    return any(_has_fill(node) for node in nodes)


def _keep(node: Node) -> int:
    if isinstance(node, WorkNode | InOneNode) and isinstance(node.count, Fill):
        return node.count.keep
    if isinstance(node, RepeatNode) and isinstance(node.times, Fill):
        return node.times.keep
    return 0


def _first_from_hook(nodes: Sequence[Node]) -> tuple[int, WorkNode | InOneNode] | None:
    for node in nodes:
        if isinstance(node, WorkNode | InOneNode) and node.from_hook:
            return node.from_hook, node
        if isinstance(node, RepeatNode) and (found := _first_from_hook(node.body)):
            return found
        if isinstance(node, WorkNode | InOneNode):
            return None
    return None


def _works_into_ring(nodes: Sequence[Node]) -> bool:
    return any(
        (isinstance(node, WorkNode | InOneNode) and node.into == "ring")
        or (isinstance(node, ActNode) and node.kind == "ring")
        or (isinstance(node, RepeatNode) and _works_into_ring(node.body))
        for node in nodes
    )


def _spaces_used(items: Sequence[Instruction]) -> int:
    return sum(item.count for item in items if isinstance(item, Work | InOne) and item.into == "chain space")


def _target(words: str) -> str:
    """ "join to the first leg with" -> "first leg"."""
    kept = [w for w in words.split() if w.lower() not in ("join", "to", "the", "with", "a", "yarn", "in", "into", "on")]
    return " ".join(kept)


def _colour(words: str) -> str:
    """ "change to white" -> "white"."""
    drop = (
        "change",
        "switch",
        "to",
        "with",
        "using",
        "in",
        "color",
        "colour",
        "yarn",
        "the",
        "changing",
        "switching",
        "w/",
    )
    parts = words.strip(" :.,").split()
    while parts and parts[0].lower() in drop:
        parts.pop(0)
    while len(parts) > 1 and parts[-1].lower() in ("yarn", "color", "colour"):
        parts.pop()
    return " ".join(parts)
