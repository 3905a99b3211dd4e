"""The working-out: a round as written, and what is there to work it into, become instructions, steps and totals.

Everything counted anywhere is counted here: what each motion takes of the round below and gives to this one follows
the stitch table, and repeats written as "around" or "to the last 3 sts" are worked out from what is there.
"""

from __future__ import annotations

from collections.abc import Sequence

from companion.pattern.around import goes_around, row_left
from companion.pattern.chains import has_openings
from companion.pattern.edges import find_room, has_fill
from companion.pattern.edgewords import is_top, may_be_any_edge
from companion.pattern.labels import Kind
from companion.pattern.laid import Laid, Open, joined, keep_of, over_spaces, plain_keys
from companion.pattern.landmarks import met_by, turned_after
from companion.pattern.laying import loop_of
from companion.pattern.laying_corners import goes_to_corner
from companion.pattern.laying_kinds import KindLaying
from companion.pattern.model import Act, Chain, Instruction, Repeat
from companion.pattern.readings import all_around, bare_around, closed_by_a_stitch, other_readings, usual_reading
from companion.pattern.remaining import until_so_many_remain
from companion.pattern.rules import LOOPS_OF, Edge, Rules
from companion.pattern.said import SLIP, prepare
from companion.pattern.spaces import spaces_disagree
from companion.pattern.starts import counted_from_hook
from companion.pattern.steps import NOT_THE_EDGE, lay_out, leads_into_space, takes_of, works_spaces
from companion.pattern.syntax import (
    ONCE,
    ActNode,
    ChainNode,
    Fill,
    InOneNode,
    LoopsNode,
    Node,
    RepeatNode,
    SkipNode,
    Times,
    UnreadNode,
    WorkNode,
)
from companion.pattern.worked import Worked


def work_out(
    nodes: tuple[Node, ...],
    rules: Rules,
    edge: Edge,
    text: str,
    *,
    pending: Chain | None = None,
    in_force: str = "sc",
    kind: Kind = "step",
) -> Worked:
    """One round worked out along the edge that is live, or around the whole piece where it is said to go there.

    Raises TooLarge.
    """
    if kind != "row":
        nodes = without_ends(nodes)
    edge = met_by(nodes, edge, kind)
    worked = _usual_or_fitting(nodes, rules, edge, text, pending, in_force)
    if goes_around(nodes, text, worked, edge, kind):
        whole = edge._replace(stitches=None, spaces=0, chains=0)
        worked = _usual_or_fitting(nodes, rules, whole, text, pending, in_force)
        worked.goes_around = True
    worked.row = row_left(nodes, text, worked, edge, kind)
    worked.turned = turned_after(nodes, kind)
    return worked


def _usual_or_fitting(
    nodes: tuple[Node, ...], rules: Rules, edge: Edge, text: str, pending: Chain | None, in_force: str
) -> Worked:
    """One round worked out in its usual reading, or in another where only that one adds up."""
    if (remaining := until_so_many_remain(nodes, text)) is not None:
        worked = _Workout(rules, edge, text, in_force).run(remaining.around, pending)
        if worked.fits and worked.gives == remaining.total:
            return worked
        worked = _Workout(rules, edge, text, in_force).run(remaining.unread, pending)
        if worked.declared is not None and worked.declared.stitches == remaining.total:
            return worked
    if (closed := closed_by_a_stitch(nodes)) is not None:
        worked = _usual_or_fitting(closed, rules, edge, text, pending, in_force)
        if worked.adds_up:
            return worked
    nodes = usual_reading(nodes)
    if (around := all_around(nodes)) is not None:
        worked = _Workout(rules, edge, text, in_force).run(around, pending)
        if worked.adds_up and worked.comes_out_even:
            return worked
    workout = _Workout(rules, edge, text, in_force)
    worked = workout.run(nodes, pending)
    worked.other_reading = around is not None and worked.declared is None and worked.adds_up
    if workout.named_kind and (worked.declared is None or not worked.adds_up):
        workout = _Workout(rules, edge, text, in_force)
        workout.by_kind = True
        by_kind = workout.run(nodes, pending)
        if by_kind.adds_up and (by_kind.declared is not None or by_kind.gives == edge.stitches):
            return by_kind
        worked.other_reading = worked.declared is None
    if _misses_its_total(worked) and has_openings(nodes):
        workout = _Workout(rules, edge, text, in_force)
        # That the total of a row with a buttonhole counts its chains, which the next row is worked into, is common
        # practice, no source.
        workout.openings = True
        counted = workout.run(nodes, pending)
        if counted.adds_up and counted.there is not None:
            return counted
    spaces_right = spaces_disagree(worked) is None
    if not (worked.adds_up and spaces_right) and (worked.there is not None or worked.declared is not None):
        fitting: Worked | None = None
        for reading in other_readings(nodes):
            again = _Workout(rules, edge, text, in_force).run(reading.nodes, pending)
            again.other_reading = reading.doubtful
            if again.adds_up and (spaces_disagree(again) is None or not worked.adds_up):
                return again
            spread = again.suggested is not None  # and so comes out even whatever the number
            if fitting is None and again.comes_out_even and (again.joins or not worked.makes_what_is_printed):
                fitting = None if spread else again
        if fitting is not None and not worked.fits:  # the printed total may be the only thing that is wrong
            return fitting
        if worked.there is None and (around := bare_around(nodes)) is not None:
            return _Workout(rules, edge, text, in_force).run(around, pending)  # as many as there are, not one
    return worked


def _misses_its_total(worked: Worked) -> bool:
    """Whether a total of stitches is printed, and the round makes another."""
    return not worked.adds_up and worked.declared is not None and worked.declared.stitches is not None


def without_ends(nodes: tuple[Node, ...]) -> tuple[Node, ...]:
    """The nodes of a round, in which shaping at the ends of a row has no place: it is unread."""
    kept = [node for node in nodes if not (isinstance(node, WorkNode) and node.at_end)]
    if len(kept) == len(nodes):
        return nodes
    k = next(k for k, node in enumerate(nodes) if isinstance(node, WorkNode) and node.at_end)
    return (*kept[:k], UnreadNode(nodes[k].start, nodes[k].end), *kept[k:])


def _same_note(before: Laid | Open, after: Laid) -> bool:
    """Whether both are notes from the same words on, so that the later one says all of it."""
    one = before.items[0] if isinstance(before, Laid) and len(before.items) == 1 else None
    other = after.items[0] if len(after.items) == 1 else None
    if not isinstance(one, Act) or not isinstance(other, Act) or one.at is None or other.at is None:
        return False
    return one.kind == other.kind == "note" and one.at[0] == other.at[0]


def _slips(node: Node) -> bool:
    return isinstance(node, WorkNode) and node.word in SLIP


class _Workout(KindLaying):
    """Works out one reading of one round."""

    def run(self, nodes: Sequence[Node], pending: Chain | None = None) -> Worked:
        """The round worked out. Raises TooLarge."""
        result = self.result
        kept = counted_from_hook(prepare(nodes, result, self.text), self.edge)
        self._stitch_in_force(kept)
        find_room(kept, self.edge, result)
        if result.edge_kind == "ring":
            self.along = "ring" if self.edge.kind == "ring" else None
        if result.there is None and result.edge_kind == "none":
            result.there = self._edge_in_notes(kept)
        self.by_corners = result.by_corners = any(map(goes_to_corner, kept))
        self.in_space = self._begins_in_space(kept)
        self.landmarks = self._landmarks_met()
        room, before = result.there, Laid()
        if room is not None:
            room = max(0, room - self._left_behind(kept) - self._left_over(kept))
        if pending is not None and result.edge_kind == "stitches":
            if self._start_counts(pending.count, kept, None, 0):
                before = Laid((Chain(pending.count, "start", True, None),), 1, 1)
                self.used = self.on_base = True
                room = room - 1 if room is not None else None
            self.started = True
        laid = joined((before, self._sequence(kept, room, self.edge.spaces)))
        if kept and self._only_says(laid):
            laid = self._unread(UnreadNode(kept[0].start, kept[-1].end))
        result.takes, result.gives = laid.takes, laid.gives
        left = 0 if result.leaves else self._stops_short(kept)
        result.leaves = result.leaves or left > 0
        result.instructions = _leaving(laid.items, left) if left else laid.items
        self._check_named()
        result.chain_spaces, result.spaces_used, result.chains = laid.made, laid.used, laid.chains
        result.steps = lay_out(result.instructions, chain_takes=result.edge_kind not in ("ring", "chain"))
        return result

    def _left_over(self, nodes: Sequence[Node]) -> int:
        """How many stitches stay unworked at the end of which nothing else is said: not those of "to last 3 sts"."""
        keeps = [keep_of(node) for node in nodes if isinstance(node, WorkNode | InOneNode | RepeatNode)]
        return 0 if max(keeps, default=0) >= self.result.left_over else self.result.left_over

    def _stops_short(self, nodes: Sequence[Node]) -> int:
        """How many stitches a row leaves whose last words end before them, "sc across to last 3 sts, turn"; 0: none.

        It must say so, by the turn or by its total: else something that goes into the last stitches may be missing.
        """
        if self.edge.row is None or self.result.edge_kind != "stitches":
            return 0
        k = len(nodes)
        while k and isinstance(nodes[k - 1], ActNode | ChainNode):
            k -= 1
        last = nodes[k - 1] if k else None
        if not isinstance(last, WorkNode | InOneNode | RepeatNode):
            return 0
        turns = any(isinstance(node, ActNode) and node.kind == "turn" for node in nodes[k:])
        agrees = self.result.declared is not None and self.result.declared.stitches == self.result.gives
        return keep_of(last) if turns or agrees else 0

    def _left_behind(self, nodes: Sequence[Node]) -> int:
        """How many stitches slip stitches lead past at the start of a row. Around a round nothing is left behind.

        On the last of them stands a starting chain that counts, or what is worked into the same stitch.
        """
        if not self.result.travels or self.edge.row is None or self.result.edge_kind != "stitches":
            return 0
        slipped, after = 0, 0
        for k, node in enumerate(nodes):
            if isinstance(node, WorkNode) and _slips(node) and node.into is None and isinstance(node.n, int):
                slipped, after = slipped + node.n, k + 1
            elif not isinstance(node, ActNode):
                break
        rest = nodes[after:]
        chain = next((node for node in rest if isinstance(node, ChainNode)), None)
        stands = chain is not None and self._start_counts(
            chain.n, rest[rest.index(chain) + 1 :], chain.counts, chain.start
        )
        first = next((node for node in rest if isinstance(node, WorkNode | InOneNode)), None)
        self.result.leaves = self.result.leaves or slipped > 0
        return max(0, slipped - int(stands or (first is not None and first.same)))

    def _begins_in_space(self, nodes: Sequence[Node]) -> bool:
        """Whether slip stitches, or the join of a yarn, lead into a chain space: see `steps.begins_in_space`."""
        k = 0
        while k < len(nodes) and (isinstance(nodes[k], ActNode) or (self.result.travels and _slips(nodes[k]))):
            k += 1
        return any(leads_into_space(self._words(node)) for node in nodes[:k]) and works_spaces(nodes[k:])

    def _only_says(self, laid: Laid) -> bool:
        """Whether a round has a printed total and nothing in it that is made: "move the marker and go on (12)"."""
        printed = self.result.declared.stitches if self.result.declared is not None else None
        return bool(printed) and all(isinstance(item, Act) and item.kind != "ring" for item in laid.items)

    def _edge_in_notes(self, nodes: Sequence[Node]) -> int | None:
        """ "Join yarn to a back loop of round 12": what that round has."""
        for node in nodes:
            if (
                isinstance(node, ActNode)
                and node.kind in ("note", "join")
                and LOOPS_OF.search(words := self._words(node))
            ):
                self.result.into = words
                return self.rules.edge_named(words)
        return None

    def _check_named(self) -> None:
        """Whether what is taken of the edges called by name is what they have."""
        for name, taken in self.result.named.items():
            there = self.rules.edge_named(name, along_row=name not in self.result.beside)
            if there is not None and taken != there and taken and self.result.misfit_at is None:
                self.result.misfit_at = (name, taken, there)

    def _stitch_in_force(self, nodes: Sequence[Node]) -> None:
        """Bare "inc" and "dec" are in the round's own plain stitch where it has just one."""
        keys = set(plain_keys(nodes, self.rules))
        if len(keys) == 1:
            self.result.in_force = keys.pop()

    # --- a row of nodes ---

    def _bracket(self, nodes: Sequence[Node], room: int | None, spaces: int) -> Laid:
        self.level += 1
        laid = self._sequence(nodes, room, spaces)
        self.level -= 1
        return laid

    def _body(self, node: RepeatNode, room: int, spaces: int) -> Laid:
        """What a repeat holds, laid once."""
        several = node.times != ONCE
        by_corners, self.by_corners = self.by_corners, False  # where each time lies in the round is not known here
        self.repeats += several
        laid = self._bracket(node.body, room, spaces)
        self.repeats -= several
        self.by_corners = by_corners
        return laid

    def _sequence(self, nodes: Sequence[Node], room: int | None, spaces: int) -> Laid:
        parts: list[Laid | Open] = []
        for k, node in enumerate(nodes):
            if isinstance(node, ActNode) and node.kind == "along" and self._other_side(node):
                done = self._close(parts, room, spaces)
                parts = [done]
                room = None if room is None else max(0, (done.takes or 0) + room - 1)
            if isinstance(node, SkipNode) and node.to:
                used = joined([p for p in parts if isinstance(p, Laid)]).takes or 0
                node = node._replace(n=node.n - used if node.n >= used else node.n)
            node = self._at_corner_stitch(node)
            up_to_corner = self._with_corners(node, parts, nodes[k + 1 :])
            part: Laid | Open = self._node(node, nodes, k) if up_to_corner is None else up_to_corner
            if self._misses_landmark(node, part, parts):
                part = self._astray(node)
            if isinstance(part, Open) and (keep := keep_of(part.node)):
                laid = [p for p in parts if isinstance(p, Laid)]
                if len(laid) == len(parts):
                    taken = joined(laid).takes
                    left = None if room is None or taken is None else room - taken - keep
                    part = self._fill(part, left, spaces)
            if isinstance(part, Laid) and parts and _same_note(parts[-1], part):
                parts.pop()  # "sl st in next 2 dc and into ch-2 sp": one note for the two places
            parts.append(part)
        return self._close(parts, room, spaces)

    def _close(self, parts: Sequence[Laid | Open], room: int | None, spaces: int) -> Laid:
        """Fill in what goes on as long as there is room, now that all the rest is known."""
        parts = self._without_chains_that_are_stitches(parts)
        closed = [p for p in parts if isinstance(p, Laid)]
        fixed = joined(closed)
        if len(closed) == len(parts):
            return fixed
        if (in_order := self._in_order(parts) or self._of_kinds(parts)) is not None:
            return in_order
        over_edge = [p for p in parts if isinstance(p, Open) and not over_spaces(p)]
        over_gaps = [p for p in parts if isinstance(p, Open) and over_spaces(p)]
        self.result.scattered = self.result.scattered or len(over_edge) + len(over_gaps) > 1
        left = None if room is None or fixed.takes is None or len(over_edge) > 1 else room - fixed.takes
        left_spaces = spaces - fixed.used if len(over_gaps or over_edge) == 1 else 0
        done = [p if isinstance(p, Laid) else self._fill(p, left, left_spaces) for p in parts]
        return joined(done)

    def _without_chains_that_are_stitches(self, parts: Sequence[Laid | Open]) -> Sequence[Laid | Open]:
        """ "Sc in each sc and each ch": where the chains below count as stitches they are among "each sc" already."""
        over_edge = [p for p in parts if isinstance(p, Open) and not over_spaces(p)]
        if len(over_edge) < 2 or self.edge.chains or self.result.edge_kind != "stitches":
            return parts
        kept = [p for p in over_edge if isinstance(p.node, RepeatNode) or p.node.into != "chains"]
        return [p for p in parts if isinstance(p, Laid) or p in kept] if len(kept) == 1 else parts

    def _fill(self, part: Open, left: int | None, spaces: int) -> Laid:
        """An open part with its number of times worked out; unread where that cannot be."""
        node = part.node
        if isinstance(node, RepeatNode):
            return self._fill_repeat(node, part, left, spaces)
        if isinstance(node, WorkNode) and node.evenly is not None:
            return self._unread(node, unknown=True) if left is None else self._evenly(node, max(0, left))
        each, units = 1, spaces
        if part.unit is not None:
            each = takes_of(part.unit)
            if part.unit.into == "chains":
                units = self.edge.chains
        if not over_spaces(part):
            named = node.into if node.into not in NOT_THE_EDGE else None
            if named is not None:
                left = self._named_edge(named, self._words(node))
            if left is None or not each:
                return self._unread(node, unknown=True)
            count, over = divmod(max(0, left), each)
            if over:
                self.result.remainder = (each, left, over)
        else:
            if units <= 0:
                return self._unread(node, unknown=True)
            count = units
        if not count and not keep_of(node):
            self.result.idle = (node.start, node.end)
        return self._work(node, count) if isinstance(node, WorkNode) else self._in_one(node, count)

    def _named_edge(self, name: str, words: str) -> int | None:
        if name == "both layers" or (self.edge.kind == "stitches" and is_top(name)):
            return self.result.there
        return self.rules.edge_named(name, along_row=not may_be_any_edge(words))

    def _fill_repeat(self, node: RepeatNode, part: Open, left: int | None, spaces: int) -> Laid:
        if isinstance(node.times, Times):  # so many times, with something in it that goes on as there is room
            times = node.times.n
            if left is None or not times or left % times:
                return self._unread(node, unknown=True)
            body = self._body(node, left // times, spaces // times)
            return self._repeated(body, times, node)
        if part.body is None and left is not None:  # "*sc in each st* around": once, and that is all around
            return self._bracket(node.body, left, spaces)
        if part.body is None or part.body.takes is None:
            return self._unread(node, unknown=True)
        body = part.body
        if body.takes and left is not None:
            times, over = divmod(max(0, left), body.takes)
            if over:
                self.result.remainder = (body.takes, left, over)
            elif not times and not keep_of(node):
                self.result.idle = (node.start, node.end)
            if self.level == 0 and spaces > 0 and times * body.used > spaces + 1:  # one may be that of a turning chain
                return self._unread(node, unknown=True)  # stitches and spaces do not agree on how often
            return self._repeated(body, times, node)
        if not body.takes and body.used and spaces > 0 and spaces % body.used == 0:
            return self._repeated(body, spaces // body.used, node)
        return self._unread(node, unknown=True)

    def _repeated(self, body: Laid, times: int, node: RepeatNode) -> Laid:
        self._spend(times * max(1, len(body.items)))
        if not times or not body.items:
            return Laid()
        if node.times == ONCE:
            return body
        item = Repeat(times, body.items, node.times.written, (node.start, node.end))
        takes = None if body.takes is None else body.takes * times
        gives = None if body.gives is None else body.gives * times
        return Laid((item,), takes, gives, body.made * times, body.used * times, body.chains * times)

    # --- one node ---

    def _node(self, node: Node, nodes: Sequence[Node], k: int) -> Laid | Open:
        if isinstance(node, WorkNode):
            if self.spur:
                return self._along_spur(node)
            if node.from_hook and self.result.edge_kind != "chain":
                return self._picot(node)
            if isinstance(node.n, Fill):
                return self._open_work(node)
            return self._work(node, node.n) if node.evenly is None else self._evenly(node, node.n)
        if isinstance(node, RepeatNode):
            return self._repeat(node)
        if isinstance(node, InOneNode):
            if isinstance(node.n, int):
                return self._in_one(node, node.n)
            self.started = self.result.has_work = True
            return Open(node)
        if isinstance(node, ChainNode):
            return self._chain(node, nodes, k)
        if isinstance(node, SkipNode):
            return self._skip(node)
        if isinstance(node, LoopsNode):
            if node.loop == "layers":
                self.together, self.along = 2, "both layers"
            else:
                self.loop = loop_of(node.loop)
            return Laid()
        if isinstance(node, ActNode):
            return self._act(node, nodes, k)
        return self._unread(node)

    def _repeat(self, node: RepeatNode) -> Laid | Open:
        if node.spaced and self.result.declared is None:
            return self._unread(node)
        if isinstance(node.times, Times) and has_fill(node.body):
            self.started = self.used = True
            return Open(node)
        body = self._body(node, 0, 0) if not has_fill(node.body) else None
        if isinstance(node.times, Times) and body is not None:
            return self._repeated(body, node.times.n, node)
        return Open(node, body)


def _leaving(items: tuple[Instruction, ...], count: int) -> tuple[Instruction, ...]:
    """The instructions of a row that leaves its last stitches, with that said after what is worked last."""
    k = len(items)
    while k and isinstance(items[k - 1], Act | Chain):
        k -= 1
    at = items[k - 1].at if k else None
    words = "leave last st unworked" if count == 1 else f"leave last {count} sts unworked"
    return (*items[:k], Act("leave", words, at and (at[1], at[1])), *items[k:])
