"""Lines among the rounds that stand for work and are no round. They are read aloud; that nobody counts them is told.

"2 sc in next 6 sts" without a label, "continue increasing until you have 48 sts", "repeat round 4 until it is 10 cm".
"""

from __future__ import annotations

import re
from typing import Final, NamedTuple

from companion.pattern.lexer import fold
from companion.pattern.said import SLIP
from companion.pattern.syntax import InOneNode, Node, RepeatNode, UnreadNode, WorkNode

_FINISHES: Final = re.compile(r"\b(?:fasten|finish|sew|weave|tail|cut|close|flatten|layers|slip knot)\b")
_UNTIL: Final = re.compile(r"\buntil\b|\b(?:rounds|rnds|rows) (?:more|even)\b|\bmore (?:rounds|rnds|rows)\b")
_WORKING: Final = re.compile(r"\b(?:work|continue|keep|repeat|rep|go on|sc|dc|hdc|tr|htr|inc\w*|dec\w*)\b")
_CHANGING: Final = re.compile(r"\b(?:repeat|rep|inc\w*|decr\w*|dec|pattern|way|manner|established|rnd|round|row)\b")
_ONE_ROUND: Final = re.compile(r"\b(?:repeat|rep) (?:rnd|round|row) (?P<n>\d{1,4})\b(?! ?(?:-|&|,|and\b|to\b))")
_NO_WORK: Final = re.compile(r"\b(?:stuff\w*|sew\w*|pull|tighten|pin|hold|leave|eyes?|knot|wait|dry)\b")
_SO_MANY: Final = re.compile(
    r"\b(?:have|are|remain|left|until|total|to)\b[^.;()]*?\b(?P<n>\d{1,4})\s*(?:sts?|stitch(?:es)?|sc|dc|hdc|tr|htr)\b"
    r"|[(\[](?P<total>\d{1,4})(?: sts?| stitches)?[)\]]"
)


class LeftOut(NamedTuple):
    """Rounds that a sentence stands for; `stitches` are there after them as the pattern says, None where it is silent.

    `same` where nothing in it changes how many there are; `again` is the one round that is repeated, if that is so.
    """

    stitches: int | None
    same: bool
    again: int | None


def rounds_left_out(text: str) -> LeftOut | None:
    """What a sentence says of rounds that are written nowhere: "continue in this way until 8 sts remain"."""
    folded = fold(text)
    if not _UNTIL.search(folded) or not _WORKING.search(folded) or _NO_WORK.search(folded):
        return None
    said = _SO_MANY.search(folded)
    stitches = int(said["n"] or said["total"]) if said is not None else None
    again = _ONE_ROUND.search(folded)
    return LeftOut(stitches, _CHANGING.search(folded) is None, int(again["n"]) if again is not None else None)


def uncounted(nodes: tuple[Node, ...], text: str) -> bool:
    """Whether all of a line is read, stitches are in it, and it is not the end of the piece."""
    if _FINISHES.search(fold(text)) or any(isinstance(node, UnreadNode) for node in nodes):
        return False
    return any(_makes(node) for node in nodes)


def _makes(node: Node) -> bool:
    if isinstance(node, InOneNode | RepeatNode):
        return any(_makes(one) for one in node.body)
    return isinstance(node, WorkNode) and node.word not in SLIP
