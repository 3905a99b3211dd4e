"""Grammar rules to syntax nodes: what each rule of `grammar.lark` means. One method a rule, children in order."""

from __future__ import annotations

from typing import Any, Final, NamedTuple

from companion.pattern.build_motions import Motions, number, number_in
from companion.pattern.build_places import Places, reach_among
from companion.pattern.edges import has_fill
from companion.pattern.lexer import Token
from companion.pattern.placing import EVENLY, Motion, Place, Spot, placed, placed_in_one
from companion.pattern.placing import node as placed_node
from companion.pattern.rest import with_the_rest
from companion.pattern.starts import put_first
from companion.pattern.syntax import (
    ASIDES,
    ONCE,
    ActNode,
    AsRoundNode,
    ChainNode,
    CountsNode,
    Fill,
    InOneNode,
    LoopsNode,
    Node,
    OmittedNode,
    Repeated,
    RepeatNode,
    RoundCountNode,
    SkipNode,
    Times,
    TotalNode,
    UnreadNode,
    WorkNode,
)


class RepeatAll(NamedTuple):
    """ "…, repeat 6 times" with neither bracket nor star: all so far in this round, or the last `steps` of it.

    `last` is what is said in the same clause, "sk 1 st around".
    """

    start: int
    end: int
    times: Times | Fill
    steps: int = 0
    last: tuple[Node, ...] = ()


class StartAt(NamedTuple):
    """ "in 2nd ch from hook: 3 sc": where the next stitch goes."""

    start: int
    end: int
    n: int


_MOST_REPEATED: Final = 2
"""How often one stretch says that all so far is repeated; beyond that, the words are not read."""

_MOTIONS: Final = frozenset({"INC", "DEC", "TOG", "SPREAD"})


def with_loop(element: Any, loop: str) -> Any:
    """The element with every stitch in it worked into that loop, or through both layers."""
    if type(element) is tuple:
        return tuple(with_loop(node, loop) for node in element)
    if isinstance(element, WorkNode):
        if loop == "layers":
            return element._replace(together=2 * element.together, into="both layers")
        return element._replace(loop=loop)
    if isinstance(element, InOneNode | RepeatNode):
        element = element._replace(body=with_loop(element.body, loop))
        return element._replace(loop=loop) if isinstance(element, InOneNode) and loop != "layers" else element
    return element


def with_target(element: Any, into: str) -> Any:
    """The element with every stitch in it that goes nowhere in particular worked into that."""
    if isinstance(element, RepeatNode):
        return element._replace(body=tuple(with_target(node, into) for node in element.body))
    if isinstance(element, WorkNode | InOneNode) and element.into is None and not element.same:
        return element._replace(into=into)
    return element


def fold_back(nodes: list[Node], all_of: RepeatAll) -> list[Node]:
    """Wrap what came before a bare "repeat 6 times", but for starting chains, rings and other acts."""
    k = 0
    while k < len(nodes) and isinstance(nodes[k], ASIDES):
        k += 1
    k = max(k, len(nodes) - all_of.steps) if all_of.steps else k
    body = tuple(nodes[k:])
    if not body or len(body) < all_of.steps:
        return [*nodes, UnreadNode(all_of.start, all_of.end)]
    return [*nodes[:k], RepeatNode(body[0].start, all_of.end, body, all_of.times)]


def _in_the_other_reading(times: Times | Fill) -> Times | Fill:
    """ "rep from * 5 times" is five more, six in all; where that does not add up, five in all is tried."""
    if isinstance(times, Times) and not times.total:
        return Times(times.n + 1, times.written, or_else=times.n)
    return times


def begins_at(child: Any, begin: StartAt) -> tuple[Node, ...]:
    """The nodes of what follows "starting in 2nd ch from hook", its first stitch put there; none where it has none."""
    nodes = child if type(child) is tuple else (child,)
    first = put_first(nodes[0], begin.n) if nodes else None
    if first is None:
        return ()
    return (first._replace(start=min(begin.start, first.start), end=max(begin.end, first.end)), *nodes[1:])


def begun_at(nodes: list[Node], begin: StartAt) -> list[Node]:
    """The nodes with what is said after them of where they begin."""
    if begin.n == 2 and [type(node) for node in nodes] == [ChainNode]:
        # "ch 5, starting in 2nd ch from hook": the next round begins there
        return [*nodes, ActNode(begin.start, begin.end, "start_at", "")]
    works = [k for k, node in enumerate(nodes) if isinstance(node, WorkNode | InOneNode | RepeatNode | SkipNode)]
    if len(works) == 1 and (first := put_first(nodes[works[0]], begin.n)) is not None:
        # "sc in each ch across, starting in 2nd ch from hook"
        return [*nodes[: works[0]], first, *nodes[works[0] + 1 :]]
    return [*nodes, UnreadNode(begin.start, begin.end)]


def with_plain(nodes: list[Node]) -> list[Node]:
    """ "sc around, working 6 increases evenly": the plain stitches are those that the increases are spread over."""
    out: list[Node] = []
    for node in nodes:
        before = out[-1] if out else None
        if isinstance(node, WorkNode) and isinstance(before, WorkNode) and _spread_over(before, node):
            evenly, plain = (node, before) if node.evenly is not None else (before, node)
            keep = evenly.n if isinstance(evenly.n, Fill) and evenly.n.keep else plain.n
            stretch = keep if isinstance(keep, Fill) else Fill()
            start, end = min(before.start, node.start), max(before.end, node.end)
            word = evenly.word or plain.word
            loop = evenly.loop or plain.loop
            out[-1] = evenly._replace(start=start, end=end, word=word, loop=loop, n=stretch)
        else:
            out.append(node)
    return out


def _spread_over(before: WorkNode, node: WorkNode) -> bool:
    """Whether one of them is shaping spread evenly, and the other the plain stitches all around."""
    if (before.evenly is None) == (node.evenly is None):
        return False
    evenly, plain = (before, node) if before.evenly is not None else (node, before)
    goes_around = isinstance(plain.n, Fill) or (plain.bare and plain is before)
    simple = plain.in_one == plain.together == 1 and not (plain.same or plain.into or plain.from_hook)
    return isinstance(evenly.n, Fill) and goes_around and simple


def _so_often_until(motion: Motion, often: int, stretch: Fill) -> Node:
    """ "dec 6 times to last 3 sts", "dec 6 times until 18 sts remain": where they go is left open."""
    if not motion.shaping:
        return UnreadNode(motion.start, stretch.end)
    return placed_node(motion, stretch.end, stretch)._replace(evenly=often * (motion.n or 1))


def _end(close: Token, times: Times | Fill) -> int:
    """Where a repeat ends that is closed there, with its "around"."""
    return max(close.end, times.end) if isinstance(times, Fill) else close.end


def _said_again(times: Times | Fill) -> Times | Fill:
    """ "(…), repeat 6 times" is six in all, and six more where that does not add up. "Repeat once" is once more."""
    if not isinstance(times, Times) or times.total:
        return times
    return Times(2, times.written) if times.n == 1 else Times(times.n, times.written, or_else=times.n + 1)


class Build(Motions, Places):
    """Turns matched rules into nodes while the tables are followed."""

    # --- the round ---

    def round(self, c: list[Any]) -> tuple[Node, ...]:
        return c[0] if c else ()

    def sequence(self, c: list[Any]) -> tuple[Node, ...]:
        nodes: list[Node] = []
        begin: StartAt | None = None
        repeated = 0
        for child in c:
            kind = type(child)
            if kind is Token:
                continue
            if kind is StartAt:
                begin = child
            elif begin is not None and (begun := begins_at(child, begin)):
                nodes.extend(begun)
                begin = None
            elif kind is RepeatAll:
                nodes.extend(child.last)
                repeated += 1
                if repeated <= _MOST_REPEATED:
                    nodes = fold_back(nodes, child)
                else:
                    nodes.append(UnreadNode(child.start, child.end))
            elif kind is tuple:
                nodes.extend(child)
            else:
                nodes.append(child)
        if begin is not None:
            nodes = begun_at(nodes, begin)
        if any(isinstance(node, WorkNode) and node.evenly is not None for node in nodes):
            nodes = with_plain(nodes)
        nodes = with_the_rest(nodes)
        return tuple(nodes)

    def looped(self, c: list[Any]) -> Any:
        return with_loop(c[1], str(c[0].value))

    def loops_from_here(self, c: list[Token]) -> Node:
        return LoopsNode(c[0].start, c[0].end, str(c[0].value))

    def act(self, c: list[Token]) -> Node:
        return ActNode(c[0].start, c[0].end, str(c[0].value), "")

    def along_from_here(self, c: list[Token]) -> Node:
        return ActNode(c[0].start, c[0].end, "along", str(c[0].value))

    def start_at(self, c: list[Token]) -> StartAt:
        return StartAt(c[0].start, c[-1].end, number(c[-1]))

    def counts(self, c: list[Token]) -> Node:
        said = str(c[0].value).split()
        return CountsNode(c[0].start, c[0].end, "stitch" in said, "space" in said)

    def omitted(self, c: list[Token]) -> Node:
        n, kind, word = str(c[0].value).split("|")
        return OmittedNode(c[0].start, c[0].end, int(n), kind, word)

    def unread(self, c: list[Token]) -> Node:
        return UnreadNode(c[0].start, c[0].end)

    def as_round(self, c: list[Token]) -> Node:
        numbers, name = str(c[0].value).split("|", 1)
        first, last, back, times, rows, upto, unsure = map(int, numbers.split())
        far = Repeated(times, rows, upto, bool(unsure))
        return AsRoundNode(c[0].start, c[0].end, first, last, name, back, far)

    def count_of_rounds(self, c: list[Token]) -> Node:
        return RoundCountNode(c[0].start, c[0].end, number(c[0]))

    def total(self, c: list[Any]) -> Node:
        stitches: int | None = None
        spaces: list[tuple[int, int]] = []
        counts = [child for child in c if type(child) is not Token]
        each = tuple(n for n, _ in counts) if len(counts) > 1 and not any(unit for _, unit in counts[:-1]) else ()
        # "(18 sts, 6 incs)", "(12 sc, 6 hdc: 18 sts)"
        whole = next((n for n, unit in counts if unit is not None and unit.type == "ST"), None)
        for n, unit in counts:
            kind = unit.type if unit is not None else ""
            if kind in ("SPACE", "CH"):
                if unit.value != "corner":  # "4 corners" counts sides, not spaces
                    spaces.append((n, unit.value if isinstance(unit.value, int) else 0))
            elif kind != "PICOT":
                stitches = n if each else (stitches or 0) + n
        if whole is not None:
            stitches = whole
        elif any(unit is not None and unit.type in _MOTIONS for _, unit in counts):
            stitches = None  # "(6 sc, 6 inc)", "(6 shells, 7 sc)" count motions
        return TotalNode(c[0].start, c[-1].end, stitches, tuple(spaces), each)

    def quantity(self, c: list[Any]) -> tuple[int, Token | None]:
        return number(c[0]), c[1] if len(c) > 1 else None

    # --- work ---

    def work(self, c: list[Any]) -> tuple[Node, ...]:
        return placed(c[0], c[1] if len(c) > 1 else None)

    def work_even(self, c: list[Token]) -> tuple[Node, ...]:
        return (WorkNode(c[0].start, c[-1].end, "", Fill(reach=reach_among(c))),)

    def shaped_evenly(self, c: list[Any]) -> tuple[Node, ...]:
        motion, n = self.evenly_shaped(c[0])
        stretch: int | Fill = Fill()
        end = c[0].end
        for child in c[1:]:
            if type(child) is Spot:
                if child.kind not in ("each", "next") or child.n is None:
                    return (UnreadNode(motion.start, child.end),)
                stretch, end = child.n, child.end
            elif child.type == "TO_LAST":
                stretch, end = Fill(number(child), f"to last {number(child)} sts", child.end), child.end
        return (placed_node(motion, end, stretch)._replace(evenly=n),)

    def shaped_at_ends(self, c: list[Token]) -> tuple[Node, ...]:
        shaped, plain, ends = str(c[0].value).rsplit("|", 2)
        motion, of_row = self.evenly_shaped(c[0]._replace(value=shaped))
        end = placed_node(motion, motion.end, 1)._replace(at_end=bool(of_row))
        between = WorkNode(c[0].start, c[0].end, plain, Fill(), at_end=bool(of_row))
        if ends == "first":
            return end, between
        between = between._replace(n=Fill(motion.together))
        return (end, between, end) if ends == "both" else (between, end)

    def work_often(self, c: list[Any]) -> tuple[Node, ...]:
        place = next((x for x in c[1:] if type(x) is Place), None)
        often = next(x for x in c[1:] if type(x) is Token)
        if place is not None and place.extent is not None and place.extent.written == EVENLY and c[0].shaping:
            return (UnreadNode(c[0].start, place.end),)
        if place is not None and c[1] is not place and not place.spots:  # "inc x 6 around"
            if place.extent is not None and place.extent.keep:
                return (_so_often_until(c[0], number(often), place.extent),)
            place = None
        nodes, times = placed(c[0], place), number(often)
        if times > 1 and has_fill(nodes):  # "sc around twice": two rounds in one
            return (UnreadNode(c[0].start, max(nodes[-1].end, often.end)),)
        if len(nodes) == 1 and isinstance(nodes[0], WorkNode) and isinstance(nodes[0].n, int):
            return (nodes[0]._replace(n=nodes[0].n * times, end=often.end, often=times, bare=False),)
        return (RepeatNode(nodes[0].start, often.end, nodes, Times(times, f"x {times}")),)

    def work_repeat(self, c: list[Any]) -> tuple[Node, ...]:
        nodes = placed(c[0], None)
        return (RepeatNode(c[0].start, c[1].end, nodes, c[2]),)

    def work_together(self, c: list[Any]) -> tuple[Node, ...]:
        return placed(c[0], c[1]._replace(over=True, end=c[2].end))

    def placed_first(self, c: list[Any]) -> tuple[Node, ...]:
        return placed(c[2], Place(c[1], None, c[2].end))

    # --- groups ---

    def in_one(self, c: list[Any]) -> tuple[Node, ...]:
        body, end = c[1], 0
        spots: tuple[Spot, ...] = ()
        extent: Fill | None = None
        often: int | None = None
        for child in c[3:]:
            kind = type(child)
            if kind is tuple:
                spots, end = child, child[-1].end
            elif kind is Spot:
                spots, end = (child,), child.end
            elif kind is Fill:
                extent = child
                end = max(end, child.end)
            elif child.type == "OFTEN":
                often, end = number(child), child.end
        if often is not None and c[3].type == "OFTEN":  # "(dc, ch 1) 11 times in ring": all of them in one place
            body = (RepeatNode(c[0].start, c[3].end, body, Times(often, f"x {often}")),)
            if len(spots) == 1 and spots[0].kind == "ring":
                return (with_target(body[0], "ring"),)
            often = None
        nodes = tuple(placed_in_one(body, spot, extent, c[0].start, end) for spot in spots)
        if often is not None:
            return (RepeatNode(c[0].start, end, nodes, Times(often, f"x {often}")),)
        return nodes

    def in_one_placed_first(self, c: list[Any]) -> tuple[Node, ...]:
        _, spots, _, body, close = c
        return tuple(placed_in_one(body, spot, None, spots[0].start, close.end) for spot in spots)

    def group(self, c: list[Any]) -> tuple[Node, ...]:
        if len(c) == 3:
            return (RepeatNode(c[0].start, c[2].end, c[1], ONCE),)
        times = _said_again(c[-1]) if len(c) == 5 else c[-1]
        return (RepeatNode(c[0].start, _end(c[2], times), c[1], times),)

    def group_around(self, c: list[Any]) -> tuple[Node, ...]:
        return (RepeatNode(c[0].start, c[3].end, c[1], Fill()),)

    def group_times_first(self, c: list[Any]) -> tuple[Node, ...]:
        n, _, body, close = c
        return (RepeatNode(n.start, close.end, body, Times(number(n), f"{number(n)} x")),)

    def starred(self, c: list[Any]) -> tuple[Node, ...]:
        times = c[-1] if type(c[-1]) in (Times, Fill) else Fill()
        return (RepeatNode(c[0].start, _end(c[2], times), c[1], _in_the_other_reading(times)),)

    def starred_closed(self, c: list[Any]) -> tuple[Node, ...]:
        if type(c[-1]) in (Times, Fill):
            times = _said_again(c[-1]) if len(c) == 5 else c[-1]
            return (RepeatNode(c[0].start, _end(c[2], times), c[1], times),)
        if len(c) == 4:  # "*…* rep from * to *"
            return (RepeatNode(c[0].start, c[2].end, c[1], Fill()),)
        return c[1]  # type: ignore[no-any-return]

    def repeat_all(self, c: list[Any]) -> RepeatAll:
        if c[0].type in ("OFTEN", "OFTEN_IN_ALL"):
            return RepeatAll(c[0].start, c[0].end, Times(number(c[0]), f"x {number(c[0])}", total=True))
        times = _said_again(c[1]) if len(c) > 1 else Fill(reach=reach_among(c))  # "…, repeat", "…, around"
        steps = c[0].value if c[0].type == "REPEAT" else 0
        return RepeatAll(c[0].start, c[0].end, times, steps if isinstance(steps, int) else 0)

    def often(self, c: list[Token]) -> Times | Fill:
        keep = next((number(t) for t in c if t.type == "TO_LAST"), 0)
        for token in c:
            n = number(token) if token.type in ("MORE_TIMES", "OFTEN", "OFTEN_IN_ALL") else 0
            if token.type == "MORE_TIMES":
                return Times(n + 1, f"{n} more times", total=True)
            if token.type == "OFTEN_IN_ALL":
                return Times(n, f"{n} times in all", total=True)
            if token.type == "OFTEN":
                return Times(n, f"x {n}")
        return Fill(keep, f"to last {keep} sts" if keep else "around", c[-1].end, reach_among(c))

    # --- chains and skips ---

    def chain(self, c: list[Token]) -> Node:
        n = number_in(c)
        often = next((number(t) for t in c if t.type == "OFTEN"), 1)
        return ChainNode(c[0].start, c[-1].end, (1 if n is None else n) * often)

    def skip(self, c: list[Any]) -> Node:
        given = [t for t in c if t is not None]
        n = number_in(given)
        into = "chains" if given[-1].type == "CH" else None
        first = given[1].type in ("FIRST", "SAME") if len(given) > 1 else False
        return SkipNode(given[0].start, given[-1].end, 1 if n is None else n, into, first=first)

    def skip_around(self, c: list[Any]) -> RepeatAll:
        """ "dc in next st, ch 1, sk 1 st around"."""
        skipped = c[0] if type(c[0]) is tuple else (c[0],)
        return RepeatAll(c[1].start, c[1].end, Fill(reach=reach_among(c[1:])), last=skipped)

    def skip_with_space(self, c: list[Any]) -> tuple[Node, ...]:
        """ "sk first dc and ch-1 sp"."""
        k = next(k for k, token in enumerate(c) if token is not None and token.type == "ALSO")
        return self.skip(c[:k]), SkipNode(c[k].start, c[-1].end, 1, "chain space")

    def skip_space(self, c: list[Token]) -> Node:
        n = number_in(c)
        return SkipNode(c[0].start, c[-1].end, 1 if n is None else n, "chain space")
