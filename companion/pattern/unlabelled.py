"""Lines among the rounds that read as stitches and are no round: they are read aloud, and that nobody counts them is
said."""

from __future__ import annotations

import re
from typing import Final

from companion.pattern.lexer import fold
from companion.pattern.said import SLIP
from companion.pattern.syntax import InOneNode, Node, RepeatNode, UnreadNode, WorkNode

_FINISHES: Final = re.compile(r"\b(?:fasten|finish|sew|weave|tail|cut|close|flatten|layers|slip knot)\b")


def uncounted(nodes: tuple[Node, ...], text: str) -> bool:
    """Whether all of a line is read, stitches are in it, and it is not the end of the piece."""
    if _FINISHES.search(fold(text)) or any(isinstance(node, UnreadNode) for node in nodes):
        return False
    return any(_makes(node) for node in nodes)


def _makes(node: Node) -> bool:
    if isinstance(node, InOneNode | RepeatNode):
        return any(_makes(one) for one in node.body)
    return isinstance(node, WorkNode) and node.word not in SLIP
