"""From arranged tokens to syntax nodes, by the grammar in `grammar.lark`; what it does not take becomes an UnreadNode."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from importlib.resources import files
from typing import Any, Final, NamedTuple

from lark import Lark, Transformer, UnexpectedToken
from lark.lexer import Lexer

from companion.pattern.arrange import arrange
from companion.pattern.lexer import Phrases, Token, fold, lex
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

MAX_REPAIRS: Final = 8
"""How many clauses of one round may be set aside as unread before the whole round is."""


class _Motion(NamedTuple):
    """A stitch or shaping before it is known where it goes. `n` is None where no number is written."""

    start: int
    end: int
    word: str
    n: int | None
    in_one: int = 1
    together: int = 1
    invisible: bool = False
    shaping: bool = False
    parts: tuple[str, int] | None = None


class _Spot(NamedTuple):
    """Where a motion goes: so many stitches (None: all there are), or something that is no stitch of the edge."""

    start: int
    end: int
    kind: str
    n: int | None = 1
    text: str = ""


class _Place(NamedTuple):
    spots: tuple[_Spot, ...]
    extent: Fill | None
    end: int
    over: bool = False


def _number(token: Token) -> int:
    return int(token.value)


class _Build(Transformer[Token, Any]):
    """Grammar rules to nodes. Each method takes the matched children in order."""

    # --- the round ---

    def round(self, children: list[Any]) -> tuple[Node, ...]:
        return children[0] if children else ()

    def sequence(self, children: list[Any]) -> tuple[Node, ...]:
        nodes: list[Node] = []
        for child in children:
            if isinstance(child, Token):
                continue
            if isinstance(child, _RepeatAll):
                nodes = _fold_back(nodes, child)
            elif isinstance(child, tuple) and not hasattr(child, "_fields"):
                nodes.extend(child)
            else:
                nodes.append(child)
        return tuple(nodes)

    def item(self, children: list[Any]) -> Any:
        return children[0]

    def looped(self, children: list[Any]) -> Any:
        loop, element = children
        return _with_loop(element, str(loop.value))

    def loops_from_here(self, children: list[Any]) -> Node:
        token = children[0]
        return LoopsNode(token.start, token.end, str(token.value))

    def said(self, children: list[Any]) -> Any:
        return children[0]

    def act(self, children: list[Token]) -> Node:
        token = children[0]
        return ActNode(token.start, token.end, str(token.value), "")

    def along_from_here(self, children: list[Token]) -> Node:
        return ActNode(children[0].start, children[0].end, "along", str(children[0].value))

    def counts(self, children: list[Token]) -> Node:
        return CountsNode(children[0].start, children[0].end, bool(children[0].value))

    def unread(self, children: list[Token]) -> Node:
        return UnreadNode(children[0].start, children[0].end, str(children[0].value))

    def as_round(self, children: list[Token]) -> Node:
        token = children[0]
        first, _, last = str(token.value).partition("-")
        return AsRoundNode(token.start, token.end, int(first), int(last or first), "")

    def count_of_rounds(self, children: list[Token]) -> Node:
        return RoundCountNode(children[0].start, children[0].end, _number(children[0]))

    def total(self, children: list[Any]) -> Node:
        stitches: int | None = None
        spaces: int | None = None
        counts = [child for child in children if not isinstance(child, Token)]
        each = tuple(number for number, unit in counts) if len(counts) > 1 and not any(u for _, u in counts) else ()
        for number, unit in counts:
            if unit in ("SPACE", "CH"):
                spaces = (spaces or 0) + number
            else:
                stitches = number if each else (stitches or 0) + number
        return TotalNode(children[0].start, children[-1].end, stitches, spaces, each)

    def quantity(self, children: list[Any]) -> tuple[int, str]:
        unit = children[1] if len(children) > 1 else None
        return _number(children[0]), unit.type if unit is not None else ""

    # --- motions ---

    def one(self, children: list[Token]) -> _Motion:
        return _Motion(children[0].start, children[0].end, str(children[0].value), None)

    def counted(self, children: list[Token]) -> _Motion:
        n, stitch = children
        word = "" if stitch.type == "THEM" else str(stitch.value)
        return _Motion(n.start, stitch.end, word, _number(n))

    def counted_after(self, children: list[Token]) -> _Motion:
        stitch, n = children
        return _Motion(stitch.start, n.end, str(stitch.value), _number(n))

    def pair(self, children: list[Token]) -> _Motion:
        return _Motion(children[0].start, children[1].end, "", 2)

    def _shaped(self, children: list[Token], **shape: Any) -> _Motion:
        n = next((_number(t) for t in children if t.type == "NUM"), None)
        word = next((str(t.value) for t in children if t.type == "STITCH"), "")
        return _Motion(children[0].start, children[-1].end, word, n, shaping=True, **shape)

    def increase(self, children: list[Token]) -> _Motion:
        return self._shaped(children, in_one=2)

    def decrease(self, children: list[Token]) -> _Motion:
        word = next(str(t.value) for t in children if t.type == "DEC")
        return self._shaped(children, together=2, invisible="inv" in word or word == "idec")

    def together(self, children: list[Token]) -> _Motion:
        n = next((_number(t) for t in children if t.type == "NUM"), None)
        word, count = _tog(next(t for t in children if t.type == "TOG"))
        return _Motion(children[0].start, children[-1].end, word, n, together=count, shaping=True)

    def stitch_together(self, children: list[Token]) -> _Motion:
        stitch, n, tog = children
        return _Motion(stitch.start, tog.end, str(stitch.value), None, together=_number(n), shaping=True)

    def stitches_together(self, children: list[Token]) -> _Motion:
        n, stitch, tog = children
        return _Motion(n.start, tog.end, str(stitch.value), None, together=_number(n), shaping=True)

    def gathered(self, children: list[Any]) -> _Motion:
        if isinstance(children[0], _Motion):
            return children[0]
        n = next((_number(t) for t in children if t.type == "NUM"), None)
        word = next(str(t.value) for t in children if t.type == "GATHER")
        return _Motion(children[0].start, children[-1].end, word, n)

    def gathered_of(self, children: list[Token]) -> _Motion:
        n = _number(children[0]) if len(children) == 4 else None
        parts, stitch, gather = children[-3:]
        made_of = (str(stitch.value), _number(parts))
        return _Motion(children[0].start, gather.end, str(gather.value), n, parts=made_of)

    def gathered_tog(self, children: list[Token]) -> _Motion:
        tog, gather = children
        return _Motion(tog.start, gather.end, str(gather.value), None, parts=_tog(tog))

    def spread(self, children: list[Token]) -> _Motion:
        n = _number(children[0]) if len(children) == 2 else None
        return _Motion(children[0].start, children[-1].end, str(children[-1].value), n)

    def spread_of(self, children: list[Token]) -> _Motion:
        n, stitch, spread = children
        return _Motion(n.start, spread.end, str(spread.value), None, parts=(str(stitch.value), _number(n)))

    def picot(self, children: list[Token]) -> _Motion:
        return _Motion(children[0].start, children[-1].end, "picot", None)

    def motion(self, children: list[Any]) -> Any:
        return children[0]

    # --- places ---

    def unit(self, children: list[Token]) -> Token:
        return children[0]

    @staticmethod
    def _spot(children: list[Any], kind: str, n: int | None = 1, text: str = "") -> _Spot:
        given = [t for t in children if t is not None]
        return _Spot(given[0].start, given[-1].end, kind, n, text)

    def every(self, c: list[Any]) -> _Spot:
        return self._spot(c, "each", None)

    def every_other(self, c: list[Any]) -> _Spot:
        return self._spot(c, "every_other", None)

    def several(self, c: list[Any]) -> _Spot:
        return self._spot(c, "each", next(_number(t) for t in c if t is not None and t.type == "NUM"))

    def several_next(self, c: list[Any]) -> _Spot:
        return self._spot(c, "next", next(_number(t) for t in c if t is not None and t.type == "NUM"))

    def next_one(self, c: list[Any]) -> _Spot:
        return self._spot(c, "next", 1)

    def first_one(self, c: list[Any]) -> _Spot:
        return self._spot(c, "next", 1)

    def last_one(self, c: list[Any]) -> _Spot:
        return self._spot(c, "last", 1)

    def nth(self, c: list[Any]) -> _Spot:
        if c[1] is not None and c[1].type == "CH":
            return self._spot(c, "top", 1)
        return self._spot(c, "nth", _number(c[0]))

    def same_one(self, c: list[Any]) -> _Spot:
        return self._spot(c, "same", 1)

    def ring(self, c: list[Any]) -> _Spot:
        return self._spot(c, "ring", 1)

    def from_hook(self, c: list[Any]) -> _Spot:
        return self._spot(c, "from_hook", _number(c[0]))

    def space(self, c: list[Any]) -> _Spot:
        return self._spot(c, "space", 1)

    def same_space(self, c: list[Any]) -> _Spot:
        return self._spot(c, "same_space", 1)

    def each_space(self, c: list[Any]) -> _Spot:
        return self._spot(c, "space", None)

    def several_spaces(self, c: list[Any]) -> _Spot:
        return self._spot(c, "space", next(_number(t) for t in c if t.type == "NUM"))

    def row_ends(self, c: list[Any]) -> _Spot:
        n = next((_number(t) for t in c if t.type == "NUM"), None)
        return self._spot(c, "row_end", n)

    def top(self, c: list[Any]) -> _Spot:
        return self._spot(c, "top", 1)

    def spot_of(self, c: list[Any]) -> _Spot:
        spot, ref = c
        return spot._replace(text=str(ref.value), end=ref.end)

    def place_list(self, c: list[Any]) -> tuple[_Spot, ...]:
        return tuple(spot for spot in c if isinstance(spot, _Spot))

    def ref(self, c: list[Any]) -> _Place:
        token = c[0]
        return _Place((_Spot(token.start, token.end, "ref", None, str(token.value)),), None, token.end)

    def over(self, c: list[Any]) -> _Place:
        return _Place((c[1],), None, c[1].end, True)

    def extent(self, c: list[Token]) -> Fill:
        keep = next((_number(t) for t in c if t.type == "TO_LAST"), 0)
        return Fill(keep)

    def place(self, c: list[Any]) -> _Place:
        spots: tuple[_Spot, ...] = ()
        extent: Fill | None = None
        end = 0
        for child in c:
            if isinstance(child, _Place):
                return child
            if isinstance(child, Fill):
                extent = child
            elif isinstance(child, _Spot):
                spots, end = (child,), child.end
            elif not isinstance(child, Token):
                spots, end = child, child[-1].end
        return _Place(spots, extent, end)

    # --- work ---

    def work(self, c: list[Any]) -> tuple[Node, ...]:
        return _place(c[0], c[1] if len(c) > 1 else None)

    def work_often(self, c: list[Any]) -> tuple[Node, ...]:
        motion = c[0]
        place = next((x for x in c[1:] if isinstance(x, _Place)), None)
        often = next(x for x in c[1:] if isinstance(x, Token))
        nodes = _place(motion, place)
        times = _number(often)
        if len(nodes) == 1 and isinstance(nodes[0], WorkNode) and isinstance(nodes[0].count, int):
            node = nodes[0]
            return (_with_count(node, nodes[0].count * times, often.end),)
        return (RepeatNode(motion.start, often.end, nodes, Times(times, written=f"x {times}")),)

    def work_together(self, c: list[Any]) -> tuple[Node, ...]:
        motion, place, _ = c
        return _place(motion, place._replace(over=True, end=c[2].end))

    def work_repeat(self, c: list[Any]) -> tuple[Node, ...]:
        motion, rep, often = c
        return (RepeatNode(motion.start, rep.end, _place(motion, None), often),)

    def placed_first(self, c: list[Any]) -> tuple[Node, ...]:
        _, spots, motion = c
        return _place(motion, _Place(spots, None, motion.end))

    # --- groups ---

    def in_one(self, c: list[Any]) -> tuple[Node, ...]:
        body = next(
            x for x in c if isinstance(x, tuple) and not hasattr(x, "_fields") and x and not isinstance(x[0], _Spot)
        )
        spots = next((x for x in c if isinstance(x, tuple) and x and isinstance(x[0], _Spot)), None)
        if spots is None:
            spots = (next(x for x in c if isinstance(x, _Spot)),)
        extent = next((x for x in c if isinstance(x, Fill)), None)
        often = next((_number(x) for x in c if isinstance(x, Token) and x.type == "OFTEN"), None)
        end = max(spots[-1].end, c[-1].end if isinstance(c[-1], Token) else 0)
        nodes = tuple(_in_one(body, spot, extent, c[0].start, end) for spot in spots)
        if often is not None:
            return (RepeatNode(c[0].start, end, nodes, Times(often, written=f"x {often}")),)
        return nodes

    def in_one_placed_first(self, c: list[Any]) -> tuple[Node, ...]:
        _, spots, _, body, close = c
        return tuple(_in_one(body, spot, None, spots[0].start, close.end) for spot in spots)

    def group(self, c: list[Any]) -> tuple[Node, ...]:
        body = c[1]
        if len(c) == 3:
            return body  # type: ignore[no-any-return]
        return (RepeatNode(c[0].start, c[-1].end if isinstance(c[-1], Token) else c[2].end, body, c[-1]),)

    def group_times_first(self, c: list[Any]) -> tuple[Node, ...]:
        n, _, body, close = c
        return (RepeatNode(n.start, close.end, body, Times(_number(n), written=f"{_number(n)} x")),)

    def starred(self, c: list[Any]) -> tuple[Node, ...]:
        times = c[-1] if isinstance(c[-1], Times | Fill) else Fill()
        if isinstance(times, Times) and times.or_else is None and times.count:
            times = Times(times.count + 1, times.count, times.written)  # "rep from * 5 times": five more, or five
        elif isinstance(times, Times) and times.or_else == -1:
            times = Times(times.count, None, times.written)
        return (RepeatNode(c[0].start, c[2].end, c[1], times),)

    def starred_closed(self, c: list[Any]) -> tuple[Node, ...]:
        times = c[-1] if isinstance(c[-1], Times | Fill) else None
        if times is None:
            return c[1]  # type: ignore[no-any-return]
        if isinstance(times, Times) and times.or_else == -1:
            times = Times(times.count, None, times.written)
        return (RepeatNode(c[0].start, c[2].end, c[1], times),)

    def repeat_all(self, c: list[Any]) -> _RepeatAll:
        return _RepeatAll(c[0].start, c[0].end, c[1] if len(c) > 1 else Fill())

    def often(self, c: list[Token]) -> Times | Fill:
        keep = next((_number(t) for t in c if t.type == "TO_LAST"), None)
        for token in c:
            if token.type == "MORE":
                return Times(_number(token) + 1, -1, f"{_number(token)} more times")
            if token.type == "OFTEN_IN_ALL":
                return Times(_number(token), -1, f"{_number(token)} times in all")
            if token.type == "OFTEN":
                return Times(_number(token), None, f"x {_number(token)}")
        return Fill(keep or 0, "around" if not keep else f"to last {keep} sts")

    # --- chains and skips ---

    def chain(self, c: list[Token]) -> Node:
        n = next((_number(t) for t in c if t.type == "NUM"), 1)
        often = next((_number(t) for t in c if t.type == "OFTEN"), 1)
        return ChainNode(c[0].start, c[-1].end, n * often)

    def skip(self, c: list[Any]) -> Node:
        given = [t for t in c if t is not None]
        n = next((_number(t) for t in given if t.type == "NUM"), 1)
        over_chain = given[-1].type == "CH"
        return SkipNode(given[0].start, given[-1].end, n, "chain space" if over_chain else None)

    def skip_space(self, c: list[Token]) -> Node:
        n = next((_number(t) for t in c if t.type == "NUM"), 1)
        return SkipNode(c[0].start, c[-1].end, n, "chain space")


class _RepeatAll(NamedTuple):
    """ "…, repeat 6 times" with neither bracket nor star: everything so far in this round."""

    start: int
    end: int
    times: Times | Fill


def _fold_back(nodes: list[Node], all_of: _RepeatAll) -> list[Node]:
    """Wrap what came before a bare "repeat 6 times", but for starting chains, rings and other acts."""
    k = 0
    while k < len(nodes) and isinstance(nodes[k], ActNode | ChainNode | CountsNode | LoopsNode | TotalNode):
        k += 1
    body = tuple(nodes[k:])
    if not body:
        return [*nodes, UnreadNode(all_of.start, all_of.end, "")]
    times = all_of.times
    if isinstance(times, Times):
        if times.or_else == -1:
            times = Times(times.count, None, times.written)
        else:
            times = Times(times.count, times.count + 1, times.written)
    return [*nodes[:k], RepeatNode(body[0].start, all_of.end, body, times)]


def _tog(token: Token) -> tuple[str, int]:
    """The stitch and the number of "sc2tog"."""
    text = str(token.value)[:-3]
    word = text.rstrip("0123456789")
    digits = text[len(word) :]
    return word, int(digits) if len(digits) < 5 else 0


def _with_count(node: WorkNode, count: int, end: int) -> WorkNode:
    return WorkNode(
        node.start, end, node.word, count, node.in_one, node.together, node.invisible, node.loop, node.same,
        node.into, node.from_hook, node.doubtful, node.parts, node.shaping,
    )  # fmt: skip


def _with_loop(element: Any, loop: str) -> Any:
    """The element with every stitch in it worked into that loop."""
    if isinstance(element, tuple) and not hasattr(element, "_fields"):
        return tuple(_with_loop(node, loop) for node in element)
    if isinstance(element, WorkNode):
        return WorkNode(
            element.start, element.end, element.word, element.count, element.in_one, element.together,
            element.invisible, loop, element.same, element.into, element.from_hook, element.doubtful, element.parts,
            element.shaping,
        )  # fmt: skip
    if isinstance(element, InOneNode):
        body = _with_loop(element.body, loop)
        return InOneNode(
            element.start, element.end, body, element.count, element.same, element.into, element.from_hook, loop
        )
    if isinstance(element, RepeatNode):
        return RepeatNode(element.start, element.end, _with_loop(element.body, loop), element.times)
    return element


def _in_one(body: tuple[Node, ...], spot: _Spot, extent: Fill | None, start: int, end: int) -> Node:
    into = {"ring": "ring", "space": "chain space", "same_space": "chain space", "row_end": "row end"}.get(spot.kind)
    count: int | Fill = spot.n if spot.n is not None else (extent or Fill())
    if spot.kind == "from_hook":
        return InOneNode(start, end, body, 1, from_hook=spot.n or 0)
    return InOneNode(start, end, body, count, spot.kind in ("same", "same_space"), into)


def _place(motion: _Motion, place: _Place | None) -> tuple[Node, ...]:
    """The nodes of one motion at one or more places: the reading of "2 sc in next st" against "sc in next 2 sts"."""
    if place is None:
        return (_node(motion, motion.end, motion.n if motion.n is not None else 1),)
    if place.over:
        spot = place.spots[0]
        span = spot.n or 1
        if motion.together > 1 and span == motion.together:
            return (_node(motion, place.end, motion.n or 1),)
        if motion.together == 1 and motion.n and motion.n == span:
            return (_node(motion._replace(together=span, shaping=True), place.end, 1),)
        if motion.together == 1 and motion.n is None:
            return (_node(motion._replace(together=span, shaping=True), place.end, 1),)
        if motion.together > 1 and span % motion.together == 0:
            return (_node(motion, place.end, span // motion.together),)
        return (UnreadNode(motion.start, place.end, ""),)
    if not place.spots:
        if motion.n is not None and motion.n > 1 and not motion.shaping:
            # "6 sc around": six, spread over the round, is all that can be meant
            return (_node(motion, max(motion.end, place.end), motion.n),)
        return (_node(motion, max(motion.end, place.end), place.extent or Fill()),)
    nodes: list[Node] = []
    last = len(place.spots) - 1
    for k, spot in enumerate(place.spots):
        extent = place.extent if k == last else None
        nodes.extend(_at_spot(motion, spot, extent))
    return tuple(nodes)


def _at_spot(motion: _Motion, spot: _Spot, extent: Fill | None) -> tuple[Node, ...]:
    n, end = motion.n, spot.end
    several = motion._replace(in_one=n) if n is not None and n > 1 and not motion.shaping else motion
    kind = spot.kind
    if kind in ("ring", "space", "same_space", "row_end"):
        into = {"ring": "ring", "row_end": "row end"}.get(kind, "chain space")
        if spot.n is None:
            return (_node(several, end, extent or Fill(), into=into),)
        if spot.n == 1:
            return (_node(motion, end, n if n is not None else 1, into=into, same=kind == "same_space"),)
        return (_node(several, end, spot.n, into=into),)
    if kind == "ref":
        return (_node(motion, end, n if n is not None else Fill(), into=spot.text),)
    into = spot.text or None
    if kind == "from_hook":
        return (_node(several, end, 1, from_hook=spot.n or 1),)
    if kind == "same":
        return (_node(several, end, 1, same=True),)
    if kind == "every_other":
        body = (_node(several, end, 1), SkipNode(spot.start, end, 1))
        return (RepeatNode(motion.start, end, body, extent or Fill()),)
    if kind == "nth":
        skip = (spot.n or 1) - 1
        return (*((SkipNode(spot.start, end, skip),) if skip else ()), _node(several, end, 1))
    if spot.n is None:
        return (_node(several, end, extent or Fill(), into=into),)
    count = spot.n
    if motion.together > 1:
        if count % motion.together == 0:
            return (
                _node(
                    motion,
                    end,
                    n if n is not None and n * motion.together == count else count // motion.together,
                    into=into,
                ),
            )
        return (_node(motion, end, n or 1, into=into),) if count == 1 else (UnreadNode(motion.start, end, ""),)
    if kind == "next" and n is not None and n == count:
        return (_node(motion, end, count, into=into),)
    doubtful = kind == "next" and count > 1 and n is not None and n > 1
    if motion.shaping and n is not None and count == 1:
        return (_node(motion, end, n, into=into),)
    if extent is not None and count == 1:
        return (_node(several, end, extent, into=into),)
    return (_node(several, end, count, into=into, doubtful=doubtful),)


def _node(
    motion: _Motion,
    end: int,
    count: int | Fill,
    *,
    into: str | None = None,
    same: bool = False,
    from_hook: int = 0,
    doubtful: bool = False,
) -> WorkNode:
    return WorkNode(
        motion.start, max(end, motion.end), motion.word, count, motion.in_one, motion.together, motion.invisible, "",
        same, into, from_hook, doubtful, motion.parts, motion.shaping,
    )  # fmt: skip


class _Rows(Lexer):
    """Hands the arranged tokens to lark as they are."""

    def __init__(self, _: object) -> None:
        pass

    def lex(self, tokens: Any, _: Any = None) -> Iterator[Any]:  # type: ignore[override]
        return iter(tokens)


@cache
def _parser() -> Lark:
    grammar = files("companion.pattern").joinpath("grammar.lark").read_text(encoding="utf-8")
    return Lark(grammar, parser="lalr", start="round", lexer=_Rows, transformer=_Build())


_DELIMITERS: Final = frozenset("SEP GOPEN GCLOSE SOPEN SCLOSE REPSTAR TOTAL_OPEN TOTAL_CLOSE".split())


def parse(text: str, vocabulary: Phrases) -> tuple[Node, ...]:
    """The nodes of one round's instructions. Never raises; what the grammar does not take is an UnreadNode."""
    folded = fold(text)
    tokens = arrange(lex(folded, vocabulary), folded)
    for _ in range(MAX_REPAIRS):
        try:
            return _parser().parse(tokens)  # type: ignore[arg-type, return-value]
        except UnexpectedToken as error:
            tokens = _set_aside(tokens, error.token)
    start = tokens[0].start if tokens else 0
    return (UnreadNode(start, len(text.rstrip()), text[start:].strip()),)


def _set_aside(tokens: list[Token], culprit: Any) -> list[Token]:
    """The tokens with the clause that holds the unexpected one replaced by a single UNREAD."""
    k = len(tokens)
    if isinstance(culprit, Token):
        k = next(i for i, t in enumerate(tokens) if t is culprit)
        if tokens[k].type in _DELIMITERS and k:
            k -= 1
    else:
        k -= 1
    a = k
    while a > 0 and tokens[a - 1].type not in _DELIMITERS:
        a -= 1
    b = k
    while b < len(tokens) and tokens[b].type not in _DELIMITERS:
        b += 1
    if b <= a or (b - a == 1 and tokens[a].type == "UNREAD"):
        return [Token("UNREAD", "", tokens[0].start, tokens[-1].end)]
    row = [Token("UNREAD", "", tokens[a].start, tokens[b - 1].end)]
    if a and tokens[a - 1].type in ("GCLOSE", "SCLOSE", "TOTAL_CLOSE", "REPSTAR"):
        row.insert(0, Token("SEP", "", tokens[a].start, tokens[a].start))
    if b < len(tokens) and tokens[b].type in ("GOPEN", "SOPEN", "TOTAL_OPEN"):
        row.append(Token("SEP", "", tokens[b].start, tokens[b].start))
    return [*tokens[:a], *row, *tokens[b:]]
