"""Instructions laid out, and what they add up to; and nodes that wait until it is known how far they go."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from companion.pattern.model import Instruction, Work
from companion.pattern.rules import Rules
from companion.pattern.syntax import Fill, InOneNode, Node, RepeatNode, WorkNode


class Laid(NamedTuple):
    """Instructions laid out, with what they take, give, and make and use of chain spaces. None: not to be known."""

    items: tuple[Instruction, ...] = ()
    takes: int | None = 0
    gives: int | None = 0
    made: int = 0
    used: int = 0
    chains: int = 0


class Open(NamedTuple):
    """A node that goes on as long as there is room, and so waits until the rest of the round is laid."""

    node: WorkNode | InOneNode | RepeatNode
    body: Laid | None = None
    unit: Work | None = None


def joined(parts: Sequence[Laid]) -> Laid:
    """All parts as one."""
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
    return Laid(tuple(items), takes, gives, made, used, chains)


def about_the_open(parts: Sequence[Laid | Open]) -> tuple[list[Laid], list[Laid]]:
    """What is laid before the first open part, and what after it; there must be one."""
    begin = next(k for k, part in enumerate(parts) if isinstance(part, Open))
    before = [part for part in parts[:begin] if isinstance(part, Laid)]
    return before, [part for part in parts[begin:] if isinstance(part, Laid)]


def keep_of(node: WorkNode | InOneNode | RepeatNode) -> int:
    """The 3 of "to last 3 sts", else 0."""
    amount = node.times if isinstance(node, RepeatNode) else node.n
    return amount.keep if isinstance(amount, Fill) else 0


def over_spaces(part: Open) -> bool:
    """Whether an open part goes over chain spaces, or chains, rather than over stitches."""
    if isinstance(part.node, RepeatNode):
        return part.body is not None and not part.body.takes and part.body.used > 0
    into = part.unit.into if part.unit is not None else part.node.into
    return into in ("chain space", "chains")


def plain_keys(nodes: Sequence[Node], rules: Rules) -> Iterator[str]:
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
            yield from plain_keys(node.body, rules)
