"""One round while it is worked out: what is there, what has been made, and how a single motion is named."""

from __future__ import annotations

from typing import Final

from companion.pattern.laid import Laid
from companion.pattern.model import Loop, Unread, Work
from companion.pattern.rules import Edge, Rules
from companion.pattern.steps import MAX_STEPS, TooLarge
from companion.pattern.stitches import table
from companion.pattern.syntax import Node, UnreadNode, WorkNode
from companion.pattern.worked import Worked

_LOOPS: Final[dict[str, Loop]] = {"front": "front", "back": "back", "third": "third"}


class Laying:
    """The state of a round, and the words and stitches of its nodes."""

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
        self.in_space = False  # the round begins in a chain space
        self.on_base = False  # all that was made is a starting chain, which stands on the first stitch
        self.along: str | None = None
        self.budget = MAX_STEPS
        self.bridged = False  # a chain of this round leads over to another edge
        self.openings = False  # the chains over skipped stitches count as stitches
        self.spur = 0  # chains of this round that are still to be worked back along: a point, a finger
        self.level = 0  # brackets around what is being laid
        self.repeats = 0  # of them, those that are worked more than once

    def _words(self, node: Node) -> str:
        return " ".join(self.text[node.start : node.end].split())

    def _unread(self, node: Node, *, unknown: bool = False) -> Laid:
        """Words that are kept as written; `unknown`: they are understood, but not how often they are worked."""
        (self.result.unknown if unknown else self.result.unread).append(UnreadNode(node.start, node.end))
        self.started = True
        return Laid((Unread(self._words(node), (node.start, node.end)),), None, None)

    def _unit(self, node: WorkNode, count: int) -> Work | None:
        """The model's Work for a node: the stitch looked up in the terms in force, shaping and places carried over."""
        result, rules = self.result, self.rules
        into = node.into or self.along
        same = node.same and (self.space_used if into == "chain space" else self.used)
        if into == "chains" and (result.edge_kind == "chain" or result.on_chain or not self.edge.chains):
            into = "chain" if self.bridged else None
        loop: Loop = loop_of(node.loop) if node.loop else self.loop
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

    def _spend(self, motions: int) -> None:
        self.budget -= motions
        if self.budget < 0:
            raise TooLarge


def loop_of(word: str) -> Loop:
    """The loop a loop word stands for."""
    return _LOOPS.get(word, "both")
