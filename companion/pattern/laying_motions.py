"""Single instructions of a round laid: stitches, several in one place, points, picots, skips, and what makes none."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Sequence
from dataclasses import replace

from companion.pattern.chains import ChainLaying
from companion.pattern.edgewords import may_be_any_edge
from companion.pattern.evenly import even_gaps, laid_evenly
from companion.pattern.laid import Laid, Open, joined, plain_keys
from companion.pattern.model import Act, InOne, Skip, Work
from companion.pattern.said import act_words, closes_round
from companion.pattern.steps import MAX_STEPS, NOT_THE_EDGE, TooLarge, gives_of, takes_of
from companion.pattern.stitches import table
from companion.pattern.syntax import ActNode, Fill, InOneNode, Node, SkipNode, WorkNode

_MODEL_KINDS = {"chain_ring": "join", "along": "note", "join_into": "note", "start_at": "note"}
"""Kinds of acts that only the working-out knows, as the model calls them."""


class MotionLaying(ChainLaying):
    """Lays one instruction after the other. What a bracket holds is laid by the class that knows whole rounds."""

    @abstractmethod
    def _bracket(self, nodes: Sequence[Node], room: int | None, spaces: int) -> Laid:
        """What a bracket holds, laid."""

    @abstractmethod
    def _fill(self, part: Open, left: int | None, spaces: int) -> Laid:
        """An open part laid as often as there are stitches left, or spaces."""

    def _open_work(self, node: WorkNode) -> Laid | Open:
        unit = self._unit(node, 1)
        if unit is None:
            return self._unread(node)
        self.started = self.result.has_work = True
        self.used = self.used or unit.into not in NOT_THE_EDGE
        return Open(node, None, unit)

    def _work(self, node: WorkNode, count: int) -> Laid:
        if count > MAX_STEPS:
            raise TooLarge
        if node.first and self.on_base:
            node = node._replace(same=True)  # "ch 3 (counts as dc), dc in first st"
        item = self._unit(node, count)
        if item is None:
            return self._unread(node)
        result = self.result
        self._spend(count)
        if not self.started and item.stitch == "sl st" and self.edge.kind == "stitches" and result.travels:
            return Laid(
                (Act("note", self._words(node), (node.start, node.end)),)
            )  # sl st along to where the round begins
        self.started = result.has_work = True
        self.on_base = False
        used_spaces = 0
        if item.into == "chain space":
            used_spaces = 0 if item.same else count
            self.space_used = True
        elif item.into not in NOT_THE_EDGE:
            self.used = True
        if item.into is not None and item.into != "skipped stitch":
            result.note_into(item.into)
        entry = table()[item.stitch]
        takes, gives = takes_of(item) * count, gives_of(item) * count
        if item.into is not None and item.into not in NOT_THE_EDGE and item.into != "both layers":
            result.named[item.into] = result.named.get(item.into, 0) + takes
            if may_be_any_edge(self._words(node)):
                result.beside.add(item.into)
        if not count:
            return Laid()
        laid = Laid((item,), takes, gives, entry.chain_spaces * count, used_spaces, entry.chain_spaces * count)
        if node.from_hook:
            laid = laid._replace(items=(replace(item, from_hook=node.from_hook),))
            return joined((self._skipped_chains(node, item.stitch), laid))
        return laid

    def _evenly(self, node: WorkNode, room: int) -> Laid:
        """So many increases or decreases spread over `room` stitches, where the pattern does not say their places."""
        result = self.result
        unit = self._unit(node, 1)
        changes = node.evenly or (0 if unit is None else self._changes_to_total(unit, room))
        if unit is None or unit.into is not None or node.from_hook or result.edge_kind == "ring" or not changes:
            return self._unread(node)
        plain = room - changes * unit.together
        if plain < 0:
            return self._work(node, changes)  # more than there is room for, and that is what is reported
        if room > MAX_STEPS:
            raise TooLarge
        self._spend(room)
        self.started = self.used = result.has_work = True
        self.on_base = False
        if plain:
            result.suggested = (node.start, node.end)
        one = replace(unit, in_one=1, together=self.together, invisible=False)
        items = laid_evenly(one, unit, even_gaps(plain, changes))
        return Laid(items, room, plain + changes * unit.in_one)

    def _changes_to_total(self, unit: Work, room: int) -> int:
        """How many changes make the printed total of what is there, 0 where none do."""
        printed, each = self.result.declared, unit.in_one - unit.together
        if printed is None or printed.stitches is None or not each or self.result.there is None:
            return 0
        wanted = printed.stitches - self.result.there
        return wanted // each if wanted % each == 0 and 0 < wanted // each * unit.together <= room else 0

    def _along_spur(self, node: WorkNode) -> Laid:
        """ "ch 4, sc in 2nd ch from hook, hdc in next ch, dc in next ch": a point, worked back along its own chain.

        It takes nothing of the round below. What would go beyond the chain is not understood.
        """
        count = self.spur if isinstance(node.n, Fill) else node.n
        item = self._unit(node, count)
        if item is None or item.same or count * item.together > self.spur:
            self.spur = 0
            return self._unread(node)
        self.spur -= count * item.together
        self._spend(count)
        self.started = self.result.has_work = True
        item = replace(item, into="chains", from_hook=node.from_hook)
        return Laid((item,), 0, gives_of(item) * count)

    def _picot(self, node: WorkNode) -> Laid:
        """ "ch 3, sl st in 3rd ch from hook" in the middle of a round closes a picot and makes no stitch."""
        if self.started and not isinstance(node.n, Fill):
            return Laid((Act("note", self._words(node), (node.start, node.end)),))
        return self._unread(node)

    def _in_one(self, node: InOneNode, count: int) -> Laid:
        if count > MAX_STEPS:
            raise TooLarge
        result = self.result
        into = node.into or self.along
        same = (node.same or (node.first and self.on_base)) and (
            self.space_used if into == "chain space" else self.used
        )
        used, along, self.along = self.used, self.along, None
        body = self._bracket(node.body, 0, 0)
        self.along = along
        self.started = result.has_work = True
        self.on_base = False
        used_spaces = 0
        if into == "chain space":
            used_spaces = 0 if same else count
            self.space_used = True
        self.used = used or into not in NOT_THE_EDGE
        if into is not None:
            result.note_into(into)
        self._spend(count * max(1, len(body.items)))
        if not count or not body.items:
            return Laid()
        item = InOne(body.items, count, same, into, (node.start, node.end))
        gives = None if body.gives is None else body.gives * count
        takes = None if body.takes is None else takes_of(item) * count
        laid = Laid((item,), takes, gives, body.made * count, used_spaces, body.chains * count)
        if node.from_hook and result.edge_kind == "chain":
            laid = laid._replace(items=(replace(item, from_hook=node.from_hook),))
            key = next(plain_keys(node.body, self.rules), result.in_force)
            return joined((self._skipped_chains(node, key), laid))
        return laid

    def _skip(self, node: SkipNode) -> Laid:
        at = (node.start, node.end)
        over_chains = node.into == "chains" and (self.result.edge_kind == "chain" or self.result.on_chain)
        if node.into in NOT_THE_EDGE and not over_chains:
            spaces = node.n if node.into == "chain space" else 1
            return Laid((Act("note", self._words(node), at),), used=spaces if self.edge.spaces else 0)
        if node.n > MAX_STEPS:
            raise TooLarge
        if not node.n:
            return Laid()
        count = node.n - 1 if node.first and self.on_base else node.n
        self.on_base = False
        self._spend(count)
        if not count:
            return Laid((Act("note", self._words(node), at),))
        self.used = self.started = True
        return Laid((Skip(count, at),), count)

    def _act(self, node: ActNode, nodes: Sequence[Node], k: int) -> Laid:
        result = self.result
        words = self._words(node)
        if node.kind == "ring":
            self.along = "ring"
        elif node.kind == "chain_ring":
            result.chain_ring = True
            result.closes = result.has_work
        elif node.kind == "along":
            self.along = None if self._other_side(node) or not node.text else node.text
        elif node.kind == "join_into":
            self.along = act_words(node.kind, words)
        elif node.kind == "join":
            result.joins = True
            result.closes = result.closes or (result.has_work and closes_round(words))
        elif node.kind == "turn":
            result.turns = True
        elif node.kind == "start_at":
            result.chain_left -= 1
        elif node.kind == "leave":
            result.leaves = True
        if node.kind == "ring":
            words = "magic ring"
        kind = _MODEL_KINDS.get(node.kind, node.kind)
        text = act_words(node.kind, words) if kind == "colour" else words
        return Laid((Act(kind, text, (node.start, node.end)),))  # type: ignore[arg-type]

    def _other_side(self, node: ActNode) -> bool:
        return self.result.edge_kind == "chain" and "side" in node.text
