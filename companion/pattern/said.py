"""What is said in a round beside its stitches, taken out of the nodes before they are laid out."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from companion.pattern.lexer import fold, number_of
from companion.pattern.model import Total
from companion.pattern.syntax import (
    ActNode,
    AsRoundNode,
    ChainNode,
    CountsNode,
    InOneNode,
    Node,
    RepeatNode,
    RoundCountNode,
    SkipNode,
    TotalNode,
    UnreadNode,
    WorkNode,
)
from companion.pattern.worked import Worked


def prepare(nodes: Sequence[Node], result: Worked, text: str) -> list[Node]:
    """The nodes that are worked; totals, "counts as dc", "(5 rounds)", "repeat round 4" go into the result."""
    kept: list[Node] = []
    for node in nodes:
        if isinstance(node, TotalNode):
            words = text[node.start : node.end].strip()
            spaces = sum(n for n, _ in node.spaces) if node.spaces else None
            result.declared = Total(node.stitches, spaces, words, None)
            result.each, result.printed_spaces = node.each, node.spaces
        elif isinstance(node, CountsNode):
            _say_counts(kept, node, result)
        elif isinstance(node, RoundCountNode):
            result.round_count = node
        elif isinstance(node, AsRoundNode):
            result.as_round = node
        elif isinstance(node, InOneNode | RepeatNode):
            kept.append(_said_within(node, result))
        else:
            kept.append(node)
    if result.as_round is not None and (more := _beside_a_reference(nodes)) is not None:
        result.as_round = None
        return [more]
    result.travels = _travels(kept)
    result.left_over = sum(_left_over(node, text) for node in kept)
    return kept


def _beside_a_reference(nodes: Sequence[Node]) -> UnreadNode | None:
    """All of "repeat round 2 and 3 sc in last st", which is more than that round; None where nothing else is made."""
    more = [
        node
        for node in nodes
        if isinstance(node, InOneNode | RepeatNode | AsRoundNode | SkipNode)
        or (isinstance(node, WorkNode) and node.word not in SLIP)
    ]
    if len(more) == 1:
        return None
    said = [node for node in nodes if not isinstance(node, TotalNode)]
    return UnreadNode(said[0].start, said[-1].end)


def _said_within(node: InOneNode | RepeatNode, result: Worked) -> Node:
    """A bracket with what is said in it of its chains: "(ch 3 (counts as dc), 2 dc) in same sp"."""
    if not any(isinstance(one, CountsNode | InOneNode | RepeatNode) for one in node.body):
        return node
    body: list[Node] = []
    for one in node.body:
        if isinstance(one, CountsNode):
            _say_counts(body, one, result)
        else:
            body.append(_said_within(one, result) if isinstance(one, InOneNode | RepeatNode) else one)
    return node._replace(body=tuple(body))


def _left_over(node: Node, text: str) -> int:
    """The 2 of "leaving last 2 sts unworked"."""
    if not isinstance(node, ActNode) or node.kind != "leave":
        return 0
    found = _LAST_STITCHES.search(fold(text[node.start : node.end]))
    return 0 if found is None else number_of(found[1]) or 0 if found[1] else 1


def _say_counts(kept: list[Node], node: CountsNode, result: Worked) -> None:
    for k in range(len(kept) - 1, -1, -1):
        before = kept[k]
        if isinstance(before, WorkNode | InOneNode) and (before.from_hook or before.chain_at):
            if node.space and not node.counts:  # no motion of the round stands for it: its words are kept
                kept.append(ActNode(node.start, node.end, "note", ""))
            break
        if isinstance(before, ChainNode):
            kept[k] = before._replace(counts=node.counts, bridges=True if node.space else None)
            return
    result.said_counts, result.said_space = node.counts, node.space


def _travels(nodes: Sequence[Node]) -> bool:
    """Whether the round begins with slip stitches that only lead to where its starting chain or first stitch stands."""
    seen = over_chains = False
    for node in nodes:
        if isinstance(node, WorkNode) and node.word in SLIP and not isinstance(node.n, tuple):
            seen, over_chains = True, node.into == "chains"
        elif isinstance(node, ActNode):
            continue
        elif isinstance(node, WorkNode | InOneNode):
            return seen and (node.same or (over_chains and node.into == "chain space"))  # "sl st in 2 ch, sc in loop"
        else:
            return seen and isinstance(node, ChainNode)
    return False


_LAST_STITCHES: Final = re.compile(r"\blast (?:(\w+) )?(?:sts?|stitch(?:es)?|sc|dc|hdc|htr|tr)\b")
SLIP = frozenset(("sl st", "slst", "ss", "slip stitch", "slip st", "sl sts", "slip stitches", "sl", "sl stitch"))
_JOINED_ELSEWHERE: Final = re.compile(
    r"\b(?:yarn|colou?rs?|[b-h]|mc|cc|rows?|ends?|edges?|sides?|seam|foundation|together)\b"
)
_INTO_ROUND: Final = re.compile(r"\bjoin(?:ed|ing)?\b.*\b(?:in|into|for|as) (?:the |a )?(?:rounds?|ring|circle)\b")
_TO_THE_START: Final = re.compile(r"\b(?:sl|slst|ss|slip|first|1st|top|rounds?|rnds?|beg|beginning|start)\b")
_JOIN_WORDS = frozenset({"join", "to", "the", "with", "a", "yarn", "in", "into", "on"})
_COLOUR_WORDS = frozenset({
    "change", "changing", "switch", "switching", "to", "with", "using", "in", "color", "colour", "yarn", "the", "w/",
    "join",
})  # fmt: skip


def closes_round(words: str) -> bool:
    """Whether a join closes the round: not "join B", another yarn, nor "join the short ends", a seam."""
    folded = fold(words)
    return not _JOINED_ELSEWHERE.search(folded) and (
        _TO_THE_START.search(folded) is not None or len(folded.split()) == 1
    )


def joins_into_round(words: str) -> bool:
    """Whether a note has a row joined, from where on rounds are worked: "Join to work in the round"."""
    folded = fold(words)
    return _INTO_ROUND.search(folded) is not None and not _JOINED_ELSEWHERE.search(folded)


def act_words(kind: str, words: str) -> str:
    """The name in an act: "join to the first leg with" -> "first leg", "change to white" -> "white"."""
    parts = words.strip(" :.,()[]").split()
    if kind == "join_into":
        return " ".join(w for w in parts if w.lower() not in _JOIN_WORDS) or "edge"
    while parts and parts[0].lower() in _COLOUR_WORDS:
        if parts[0].lower() in ("color", "colour", "yarn") and len(parts) > 1 and len(parts[1]) <= 2:
            break
        parts.pop(0)
    for stop in ("in", "on", "for", "at", "from"):
        if stop in (w.lower() for w in parts):
            parts = parts[: [w.lower() for w in parts].index(stop)]
    while len(parts) > 1 and parts[-1].lower() in ("yarn", "color", "colour"):
        parts.pop()
    return " ".join(parts).strip(" :.,")
