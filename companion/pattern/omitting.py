"""What the last repeat leaves out: "rep from * around, omitting 1 dc at end of last rep"."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from companion.pattern.lexer import Token
from companion.pattern.syntax import (
    ChainNode,
    InOneNode,
    Node,
    OmittedNode,
    RepeatNode,
    SkipNode,
    Times,
    WorkNode,
)

_ANY: Final = frozenset({"ST"})
_MADE: Final = frozenset({"STITCH", "INC", "DEC", "CH", "SKIP"})
_WHERE: Final = frozenset({
    "IN", "ON", "OF", "FROM", "END", "LAST", "REPEAT", "OVER", "AT", "WORD", "ROUND", "FOR", "ROW_END", "AROUND",
})  # fmt: skip


def omitted_at(tokens: Sequence[Token], i: int, end: int) -> tuple[Token, int] | None:
    """The words of that clause as one OMITTED "1|STITCH|dc", and the index after them; None where they say other."""
    j, n = i + 1, 0
    if j < end and tokens[j].type == "LAST":
        j += 1
    if j < end and tokens[j].type == "NUM":
        n, j = int(tokens[j].value), j + 1
    if j >= end or tokens[j].type not in _ANY | _MADE:
        return None
    made, j = tokens[j], j + 1
    if made.type in ("CH", "SKIP") and j < end and tokens[j].type == "NUM":
        n, j = int(tokens[j].value), j + 1
    if made.type == "SKIP" and j < end and tokens[j].type == "ST":
        j += 1
    if any(token.type not in _WHERE for token in tokens[j:end]):
        return None
    kind = "" if made.type in _ANY else made.type
    return Token("OMITTED", f"{n or 1}|{kind}|{made.value if kind else ''}", tokens[i].start, tokens[end - 1].end), end


def without_omitted(nodes: tuple[Node, ...]) -> tuple[Node, ...] | None:
    """The nodes with the last repeat written out without what it leaves out; None where nothing is said to be."""
    k = next((k for k, node in enumerate(nodes) if k and isinstance(node, OmittedNode)), 0)
    if not k:
        return None
    repeat, omitted = nodes[k - 1], nodes[k]
    if not isinstance(repeat, RepeatNode) or not isinstance(omitted, OmittedNode):
        return None
    last = _shortened(repeat.body, omitted)
    if last is None:
        return None
    times = repeat.times
    if isinstance(times, Times):
        if times.n < 2:
            return None
        times = Times(times.n - 1, times.written, times.total)
    else:
        times = times._replace(keep=0)
    return (*nodes[: k - 1], repeat._replace(times=times), *last, *nodes[k + 1 :])


def _shortened(body: tuple[Node, ...], omitted: OmittedNode) -> tuple[Node, ...] | None:
    """A repeat without the last things it makes; None where those are not what is left out."""
    if not body:
        return None
    *before, last = body
    if omitted.kind in ("CH", "SKIP"):
        wanted = ChainNode if omitted.kind == "CH" else SkipNode
        if isinstance(last, wanted) and omitted.n in (1, last.n):
            return tuple(before)
        if isinstance(last, ChainNode | SkipNode):  # "*sc in next st, ch 3, sk 2; …, omitting last ch 3"
            rest = _shortened(tuple(before), omitted)
            return None if rest is None else (*rest, last)
    if isinstance(last, InOneNode) and last.n == 1:
        inside = _shortened(last.body, omitted)
        return None if not inside else (*before, last._replace(body=inside))
    if not isinstance(last, WorkNode) or not isinstance(last.n, int) or last.together > 1:
        return None
    named = omitted.kind == "" or (omitted.kind == "STITCH" and omitted.word == last.word)
    if omitted.kind == "INC" and last.shaping and last.in_one > 1 and omitted.n == last.n:
        return tuple(before)
    if not named:
        return None
    if last.in_one > 1 and last.n == 1 and omitted.n < last.in_one:
        return (*before, last._replace(in_one=last.in_one - omitted.n))
    if last.in_one == 1 and omitted.n < last.n:
        return (*before, last._replace(n=last.n - omitted.n))
    return tuple(before) if last.in_one == 1 and omitted.n == last.n else None
