"""The working-out: a round as written, and what is there to work it into, become instructions, steps and totals.

Everything counted anywhere is counted here: what each motion takes of the round below and gives to this one follows
the stitch table, and repeats written as "around" or "to the last 3 sts" are worked out from what is there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from companion.pattern.edges import find_room, first_from_hook, has_fill
from companion.pattern.model import Act, Chain, InOne, Instruction, Loop, Repeat, Skip, Total, Unread, Work
from companion.pattern.rules import Edge, Rules
from companion.pattern.said import act_words, prepare
from companion.pattern.steps import MAX_STEPS, NOT_THE_EDGE, TooLarge, gives_of, lay_out, takes_of
from companion.pattern.stitches import table
from companion.pattern.syntax import (
    ONCE,
    ActNode,
    ChainNode,
    Fill,
    InOneNode,
    LoopsNode,
    Node,
    Parsed,
    RepeatNode,
    SkipNode,
    Times,
    UnreadNode,
    WorkNode,
)
from companion.pattern.worked import Worked


class _Laid(NamedTuple):
    """Instructions laid out, with what they take, give, and make and use of chain spaces. None: not to be known."""

    items: tuple[Instruction, ...] = ()
    takes: int | None = 0
    gives: int | None = 0
    made: int = 0
    used: int = 0
    chains: int = 0


class _Open(NamedTuple):
    """A node that goes on as long as there is room, and so waits until the rest of the round is laid."""

    node: WorkNode | InOneNode | RepeatNode
    body: _Laid | None = None
    unit: Work | None = None


def work_out(
    parsed: Parsed, rules: Rules, edge: Edge, text: str, *, pending: Chain | None = None, in_force: str = "sc"
) -> Worked:
    """One round worked out in its usual reading, or in another where only that one adds up. Raises TooLarge."""
    worked = _Workout(rules, edge, text, in_force).run(parsed.nodes, pending)
    if parsed.others and not worked.adds_up:
        for reading in parsed.others:
            again = _Workout(rules, edge, text, in_force).run(reading.nodes, pending)
            if again.adds_up:
                again.other_reading = reading.doubtful
                return again
    return worked


class _Workout:
    """Works out one reading of one round."""

    def __init__(self, rules: Rules, edge: Edge, text: str, in_force: str) -> None:
        self.rules = rules
        self.edge = edge
        self.text = text
        self.result = Worked(in_force=in_force)
        self.loop: Loop = "both"
        self.together = 1
        self.started = False  # something has been made in this round
        self.used = False  # a stitch of the round below has been worked into
        self.space_used = False
        self.along: str | None = None
        self.budget = MAX_STEPS
        self.bridged = False  # a chain of this round leads over to another edge
        self.level = 0  # brackets around what is being laid

    def run(self, nodes: Sequence[Node], pending: Chain | None = None) -> Worked:
        """The round worked out. Raises TooLarge."""
        result = self.result
        kept = prepare(nodes, result, self.text)
        self._stitch_in_force(kept)
        find_room(kept, self.edge, result)
        if result.edge_kind == "ring":
            self.along = "ring" if self.edge.kind == "ring" else None
        room, before = result.there, _Laid()
        if pending is not None and result.edge_kind == "stitches":
            if self._start_counts(pending.count, kept, None, 0):
                before = _Laid((Chain(pending.count, "start", True, None),), 1, 1)
                self.used = True
                room = room - 1 if room is not None else None
            self.started = True
        laid = _joined((before, self._sequence(kept, room, self.edge.spaces)))
        result.instructions = laid.items
        result.takes, result.gives = laid.takes, laid.gives
        self._check_named()
        result.chain_spaces, result.spaces_used, result.chains = laid.made, laid.used, laid.chains
        result.steps = lay_out(laid.items, chain_takes=result.edge_kind not in ("ring", "chain"))
        return result

    def _check_named(self) -> None:
        """Whether what is taken of the edges called by name is what they have."""
        for name, taken in self.result.named.items():
            there = self.rules.edge_named(name)
            if there is not None and taken != there and taken and self.result.misfit_at is None:
                self.result.misfit_at = (name, taken, there)

    def _stitch_in_force(self, nodes: Sequence[Node]) -> None:
        """Bare "inc" and "dec" are in the round's own plain stitch where it has just one."""
        keys = set(_plain_keys(nodes, self.rules))
        if len(keys) == 1:
            self.result.in_force = keys.pop()

    # --- a row of nodes ---

    def _bracket(self, nodes: Sequence[Node], room: int | None, spaces: int) -> _Laid:
        self.level += 1
        laid = self._sequence(nodes, room, spaces)
        self.level -= 1
        return laid

    def _sequence(self, nodes: Sequence[Node], room: int | None, spaces: int) -> _Laid:
        parts: list[_Laid | _Open] = []
        for k, node in enumerate(nodes):
            if isinstance(node, ActNode) and node.kind == "along" and self._other_side(node):
                parts = [self._close(parts, room, spaces)]
                room = None if room is None else max(0, (parts[0].takes or 0) + room - 1)  # type: ignore[union-attr]
            if isinstance(node, SkipNode) and node.to:
                taken = _joined([p for p in parts if isinstance(p, _Laid)]).takes or 0
                node = node._replace(n=node.n - taken if node.n >= taken else node.n)
            part = self._node(node, nodes, k)
            if isinstance(part, _Open) and (keep := _keep(part.node)) and not any(isinstance(p, _Open) for p in parts):
                taken = _joined(parts).takes  # type: ignore[arg-type]
                left = None if room is None or taken is None else room - taken - keep
                part = self._fill(part, left, spaces)
            parts.append(part)
        return self._close(parts, room, spaces)

    def _other_side(self, node: ActNode) -> bool:
        return self.result.edge_kind == "chain" and "side" in node.text

    def _close(self, parts: Sequence[_Laid | _Open], room: int | None, spaces: int) -> _Laid:
        """Fill in what goes on as long as there is room, now that all the rest is known."""
        fixed = _joined([p for p in parts if isinstance(p, _Laid)])
        over_edge = [p for p in parts if isinstance(p, _Open) and not _over_spaces(p)]
        over_spaces = [p for p in parts if isinstance(p, _Open) and _over_spaces(p)]
        left = None if room is None or fixed.takes is None or len(over_edge) > 1 else room - fixed.takes
        left_spaces = spaces - fixed.used if len(over_spaces) == 1 else 0
        done = [p if isinstance(p, _Laid) else self._fill(p, left, left_spaces) for p in parts]
        return _joined(done)

    def _fill(self, part: _Open, left: int | None, spaces: int) -> _Laid:
        """An open part with its number of times worked out; unread where that cannot be."""
        node = part.node
        if isinstance(node, RepeatNode):
            return self._fill_repeat(node, part, left, spaces)
        each, units = 1, spaces
        if part.unit is not None:
            each = takes_of(part.unit)
            if part.unit.into == "chains":
                units = self.edge.chains
        if not _over_spaces(part):
            named = node.into if node.into not in NOT_THE_EDGE else None
            if named is not None:
                left = self._named_edge(named)
            if left is None or not each:
                return self._unread(node, unknown=True)
            count, over = divmod(max(0, left), each)
            if over:
                self.result.remainder = (each, left, over)
        else:
            if units <= 0:
                return self._unread(node, unknown=True)
            count = units
        return self._work(node, count) if isinstance(node, WorkNode) else self._in_one(node, count)

    def _named_edge(self, name: str) -> int | None:
        if name == "both layers":
            return self.result.there
        return self.rules.edge_named(name)

    def _fill_repeat(self, node: RepeatNode, part: _Open, left: int | None, spaces: int) -> _Laid:
        if isinstance(node.times, Times):  # so many times, with something in it that goes on as there is room
            times = node.times.n
            if left is None or not times or left % times:
                return self._unread(node, unknown=True)
            body = self._bracket(node.body, left // times, spaces // times)
            return self._repeated(body, times, node)
        body = part.body
        if body is None or body.takes is None:
            return self._unread(node, unknown=True)
        if body.takes and left is not None:
            times, over = divmod(max(0, left), body.takes)
            if over:
                self.result.remainder = (body.takes, left, over)
            return self._repeated(body, times, node)
        if not body.takes and body.used and spaces > 0 and spaces % body.used == 0:
            return self._repeated(body, spaces // body.used, node)
        return self._unread(node, unknown=True)

    def _repeated(self, body: _Laid, times: int, node: RepeatNode) -> _Laid:
        self._spend(times * max(1, len(body.items)))
        if not times or not body.items:
            return _Laid()
        if node.times == ONCE:
            return body
        item = Repeat(times, body.items, node.times.written, (node.start, node.end))
        takes = None if body.takes is None else body.takes * times
        gives = None if body.gives is None else body.gives * times
        return _Laid((item,), takes, gives, body.made * times, body.used * times, body.chains * times)

    # --- one node ---

    def _node(self, node: Node, nodes: Sequence[Node], k: int) -> _Laid | _Open:
        if isinstance(node, WorkNode):
            if node.from_hook and self.result.edge_kind != "chain":
                return self._picot(node)
            return self._work(node, node.n) if isinstance(node.n, int) else self._open_work(node)
        if isinstance(node, RepeatNode):
            return self._repeat(node)
        if isinstance(node, InOneNode):
            if isinstance(node.n, int):
                return self._in_one(node, node.n)
            self.started = self.result.has_work = True
            return _Open(node)
        if isinstance(node, ChainNode):
            return self._chain(node, nodes, k)
        if isinstance(node, SkipNode):
            return self._skip(node)
        if isinstance(node, LoopsNode):
            if node.loop == "layers":
                self.together, self.along = 2, "both layers"
            else:
                self.loop = _loop(node.loop)
            return _Laid()
        if isinstance(node, ActNode):
            return self._act(node, nodes, k)
        return self._unread(node)

    def _words(self, node: Node) -> str:
        return " ".join(self.text[node.start : node.end].split())

    def _unread(self, node: Node, *, unknown: bool = False) -> _Laid:
        """Words that are kept as written; `unknown`: they are understood, but not how often they are worked."""
        (self.result.unknown if unknown else self.result.unread).append(UnreadNode(node.start, node.end))
        self.started = True
        return _Laid((Unread(self._words(node), (node.start, node.end)),), None, None)

    def _open_work(self, node: WorkNode) -> _Laid | _Open:
        unit = self._unit(node, 1)
        if unit is None:
            return self._unread(node)
        self.started = self.result.has_work = True
        self.used = self.used or unit.into not in NOT_THE_EDGE
        return _Open(node, None, unit)

    def _unit(self, node: WorkNode, count: int) -> Work | None:
        """The model's Work for a node: the stitch looked up in the terms in force, shaping and places carried over."""
        result, rules = self.result, self.rules
        into = node.into or self.along
        same = node.same and (self.space_used if into == "chain space" else self.used)
        if into == "chains" and (result.edge_kind == "chain" or result.on_chain or not self.edge.chains):
            into = "chain" if self.bridged else None
        loop: Loop = _loop(node.loop) if node.loop else self.loop
        own = rules.own.get(node.word)
        if own is not None:
            in_one = own.in_one if node.in_one == 1 else node.in_one
            together = own.together if node.together == 1 else node.together
            return Work(
                own.stitch,
                count,
                in_one,
                together * self.together,
                loop,
                own.invisible,
                same,
                into,
                (node.start, node.end),
            )
        entry = rules.look_up(node.word) if node.word else table()[result.in_force]
        if entry is None or node.together < 1:
            return None
        in_one = node.in_one
        if entry.kind == "spread":
            in_one = node.parts[1] if node.parts else entry.gives * node.in_one
        elif node.word and entry.kind == "basic" and entry.takes and entry.key != "sl st":
            result.in_force = entry.key
        together = node.together * self.together
        if node.parts and entry.kind == "gathered" and self.text[node.start : node.end].lower().find("tog") >= 0:
            together = node.parts[1] * self.together
        return Work(entry.key, count, in_one, together, loop, node.invisible, same, into, (node.start, node.end))

    def _work(self, node: WorkNode, count: int) -> _Laid:
        if count > MAX_STEPS:
            raise TooLarge
        item = self._unit(node, count)
        if item is None:
            return self._unread(node)
        result = self.result
        self._spend(count)
        if not self.started and item.stitch == "sl st" and self.edge.kind == "stitches" and result.travels:
            return _Laid(
                (Act("note", self._words(node), (node.start, node.end)),)
            )  # sl st along to where the round begins
        self.started = result.has_work = True
        used_spaces = 0
        if item.into == "chain space":
            used_spaces = 0 if item.same else count
            self.space_used = True
        elif item.into not in NOT_THE_EDGE:
            self.used = True
        if item.into is not None:
            result.note_into(item.into)
        entry = table()[item.stitch]
        takes, gives = takes_of(item) * count, gives_of(item) * count
        if item.into is not None and item.into not in NOT_THE_EDGE and item.into != "both layers":
            result.named[item.into] = result.named.get(item.into, 0) + takes
        if not count:
            return _Laid()
        laid = _Laid((item,), takes, gives, entry.chain_spaces * count, used_spaces, entry.chain_spaces * count)
        if node.from_hook:
            laid = laid._replace(items=(replace(item, from_hook=node.from_hook),))
            return _joined((self._skipped_chains(node, item.stitch), laid))
        return laid

    def _skipped_chains(self, node: WorkNode | InOneNode, key: str) -> _Laid:
        """The chains skipped at the start of a foundation row: one stitch where they are tall enough, else none."""
        skipped = node.from_hook - 1
        entry = table().get(key)
        height = entry.height if entry else 1
        counts = skipped >= height >= 3
        if skipped >= height >= 2:
            said = self.rules.said_of_chain(key, skipped)
            if self.result.said_counts is not None:
                counts = self.result.said_counts
            elif said is not None:
                counts = said
            else:
                counts = self.rules.practice.get(key, height >= 3)
                self.result.assumed_chain = (key, skipped, counts, node.start)
        at = (node.start, node.start)
        return _Laid((Chain(skipped, "start", True, at),), 0, 1) if counts else _Laid()

    def _picot(self, node: WorkNode) -> _Laid:
        """ "ch 3, sl st in 3rd ch from hook" in the middle of a round closes a picot and makes no stitch."""
        if self.started and not isinstance(node.n, Fill):
            return _Laid((Act("note", self._words(node), (node.start, node.end)),))
        return self._unread(node)

    def _in_one(self, node: InOneNode, count: int) -> _Laid:
        if count > MAX_STEPS:
            raise TooLarge
        result = self.result
        into = node.into or self.along
        same = node.same and (self.space_used if into == "chain space" else self.used)
        used, along, self.along = self.used, self.along, None
        body = self._bracket(node.body, 0, 0)
        self.along = along
        self.started = result.has_work = True
        used_spaces = 0
        if into == "chain space":
            used_spaces = 0 if same else count
            self.space_used = True
        self.used = used or into not in NOT_THE_EDGE
        if into is not None:
            result.note_into(into)
        self._spend(count * max(1, len(body.items)))
        if not count or not body.items:
            return _Laid()
        item = InOne(body.items, count, same, into, (node.start, node.end))
        gives = None if body.gives is None else body.gives * count
        takes = None if body.takes is None else takes_of(item) * count
        laid = _Laid((item,), takes, gives, body.made * count, used_spaces, body.chains * count)
        if node.from_hook and result.edge_kind == "chain":
            laid = laid._replace(items=(replace(item, from_hook=node.from_hook),))
            key = next(_plain_keys(node.body, self.rules), result.in_force)
            return _joined((self._skipped_chains(node, key), laid))
        return laid

    def _skip(self, node: SkipNode) -> _Laid:
        at = (node.start, node.end)
        if node.into in NOT_THE_EDGE:
            return _Laid((Act("note", self._words(node), at),), used=node.n if self.edge.spaces else 0)
        if node.n > MAX_STEPS:
            raise TooLarge
        self._spend(node.n)
        if not node.n:
            return _Laid()
        self.used = self.started = True
        return _Laid((Skip(node.n, at),), node.n)

    def _repeat(self, node: RepeatNode) -> _Laid | _Open:
        if isinstance(node.times, Times) and has_fill(node.body):
            self.started = self.used = True
            return _Open(node)
        body = self._bracket(node.body, 0, 0) if not has_fill(node.body) else None
        if isinstance(node.times, Times) and body is not None:
            return self._repeated(body, node.times.n, node)
        return _Open(node, body)

    # --- chains ---

    def _chain(self, node: ChainNode, nodes: Sequence[Node], k: int) -> _Laid:
        at = (node.start, node.end)
        rest = nodes[k + 1 :]
        result = self.result
        if node.n > MAX_STEPS:
            raise TooLarge
        works_on = any(isinstance(n, WorkNode | InOneNode | RepeatNode) for n in rest)
        opens_ring = any(isinstance(n, ActNode) and n.kind == "chain_ring" for n in rest)
        if not self.started and (
            opens_ring or (first_from_hook(rest) and result.edge_kind == "chain") or (not works_on and not self.level)
        ):
            if self.edge.kind == "stitches" and self.edge.stitches and not opens_ring and not works_on:
                return self._turning(node)
            result.chain_left, result.chain_ring = node.n, opens_ring
            return _Laid((Chain(node.n, "foundation", False, at),))
        following = rest[0] if rest else None
        if isinstance(following, WorkNode) and following.from_hook and self.started:
            return _Laid((Chain(node.n, "picot", False, at),))
        if (
            not self.level
            and not works_on
            and (not rest or any(isinstance(n, ActNode) and n.kind == "turn" for n in rest))
        ):
            return self._turning(node)
        if not self.started and not _joins_edges(rest):
            counts = self._start_counts(node.n, rest, node.counts, node.start)
            self.started = True
            self.used = self.used or counts
            chain = Chain(node.n, "start", counts, at)
            on_edge = result.edge_kind not in ("ring", "chain")
            extra = int(counts and self._also_space(node, rest))
            return _Laid((chain,), int(counts and on_edge), int(counts), extra, 0, extra)
        if not self.started:
            self.bridged = True
            return _Laid((Chain(node.n, "foundation", False, at),))
        if (
            isinstance(following, ActNode)
            and following.kind == "join"
            and node.n <= 5
            and self._closes_picot(following)
        ):
            return _Laid((Chain(node.n, "picot", False, at),))
        return _Laid((Chain(node.n, "space", False, at),), made=1, chains=node.n)

    def _closes_picot(self, join: ActNode) -> bool:
        """ "ch 3, sl st in first ch": the slip stitch goes back into the chain, not to the start of the round."""
        words = self.text[join.start : join.end].lower()
        return "ch" in words and "top" not in words and "join" not in words and "beg" not in words

    def _turning(self, node: ChainNode) -> _Laid:
        """The chain at the end of a row, for the next one to begin with."""
        chain = Chain(node.n, "start", False, (node.start, node.end))
        self.result.pending_chain = chain
        return _Laid((chain,))

    def _also_space(self, node: ChainNode, rest: Sequence[Node]) -> bool:
        """ "ch 4" before dc is a dc and one chain: a chain space besides."""
        key = next(_plain_keys(rest, self.rules), self.result.in_force)
        entry = table().get(key)
        return entry is not None and entry.height >= 2 and node.n > entry.height

    def _start_counts(self, length: int, rest: Sequence[Node], said: bool | None, offset: int) -> bool:
        """Whether a starting chain is a stitch: as the pattern says, else by common practice, which is flagged."""
        key = next(_plain_keys(rest, self.rules), self.result.in_force)
        if said is not None:
            self.result.said_chain = (key, said)
            return said
        known = self.rules.said_of_chain(key, length)
        if known is not None:
            return known
        entry = table().get(key)
        height = entry.height if entry else 1
        counts = self.rules.practice.get(key, height >= 3 and length >= 3)
        self.result.assumed_chain = (key, length, counts, offset)
        return counts

    # --- acts ---

    def _act(self, node: ActNode, nodes: Sequence[Node], k: int) -> _Laid:
        result = self.result
        words = self._words(node)
        if node.kind == "ring":
            self.along = "ring"
        elif node.kind == "chain_ring":
            result.chain_ring = True
        elif node.kind == "along":
            self.along = None if self._other_side(node) or not node.text else node.text
        elif node.kind == "join_into":
            self.along = act_words(node.kind, words)
        elif node.kind == "join":
            result.joins = True
        elif node.kind == "turn":
            result.turns = True
        elif node.kind == "leave":
            result.leaves = True
        if node.kind == "ring":
            words = "magic ring"
        kind = {"chain_ring": "join", "along": "note", "join_into": "note"}.get(node.kind, node.kind)
        return _Laid((Act(kind, act_words(node.kind, words) if kind == "colour" else words, (node.start, node.end)),))  # type: ignore[arg-type]

    def _spend(self, motions: int) -> None:
        self.budget -= motions
        if self.budget < 0:
            raise TooLarge


def _loop(word: str) -> Loop:
    return "front" if word == "front" else "back" if word == "back" else "both"


def _joined(parts: Sequence[_Laid]) -> _Laid:
    if len(parts) == 1:
        return parts[0]
    items: list[Instruction] = []
    takes: int | None = 0
    gives: int | None = 0
    made = used = chains = 0
    for part in parts:
        items.extend(part.items)
        takes = None if takes is None or part.takes is None else takes + part.takes
        gives = None if gives is None or part.gives is None else gives + part.gives
        made += part.made
        used += part.used
        chains += part.chains
    return _Laid(tuple(items), takes, gives, made, used, chains)


def _keep(node: WorkNode | InOneNode | RepeatNode) -> int:
    amount = node.times if isinstance(node, RepeatNode) else node.n
    return amount.keep if isinstance(amount, Fill) else 0


def _over_spaces(part: _Open) -> bool:
    """Whether an open part goes over chain spaces, or chains, rather than over stitches."""
    if isinstance(part.node, RepeatNode):
        return part.body is not None and not part.body.takes and part.body.used > 0
    into = part.unit.into if part.unit is not None else part.node.into
    return into in ("chain space", "chains")


def _joins_edges(nodes: Sequence[Node]) -> bool:
    """Whether a chain before them is a bridge to another edge: "ch 3, join to the first leg", "ch 2, sc around leg 1"."""
    for node in nodes[:3]:
        if isinstance(node, ActNode) and node.kind in ("join_into", "along"):
            return True
        if isinstance(node, WorkNode) and node.into is not None and node.into not in (*NOT_THE_EDGE, "both layers"):
            return "free" not in node.into and "loop" not in node.into
    return False


def _plain_keys(nodes: Sequence[Node], rules: Rules):  # type: ignore[no-untyped-def]
    """The keys of the plain stitches that are named, in order."""
    for node in nodes:
        if isinstance(node, WorkNode):
            if (
                node.word
                and (entry := rules.look_up(node.word)) is not None
                and entry.kind in ("basic", "post")
                and entry.key != "sl st"
            ) or (node.parts and (entry := rules.look_up(node.parts[0])) is not None):
                yield entry.key
        elif isinstance(node, InOneNode | RepeatNode):
            yield from _plain_keys(node.body, rules)


__all__ = ["Edge", "Rules", "TooLarge", "Total", "Worked", "work_out"]
