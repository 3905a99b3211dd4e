"""Other readings of words that have two. The usual one comes first; these are tried only where it does not add up.

- "sc, inc x 6" can mean six increases, or the whole six times.
- "3 sc, inc around" can mean increases all around where the whole of it, which comes first, does not come out even.
- "rep from * 5 times" is five times more, but some writers mean five in all.
- "2 sc inc" can mean two increases, or two stitches and then an increase.
- "sc2inc" is two in one stitch, but some writers leave out the comma of "sc 2, inc".
- "(2 sc, inc) x 6. 24 sc" can end with stitches, or with the total.
- "24 sc, sl st" can end with a stitch, or with the join.
- "sc (24)" and "(2 sc, inc) [32]" leave out "around".
- "2 sc in same st" can mean the next one.
- "*sk 2, sc, sk 2, 5 dc in next st; rep from *, ending with 3 dc in last st" can mean in place of the last five.
- "*2 dc in next st; rep from * around, omitting 1 dc at end of last rep" leaves out a part of the last repeat.
- "*sk 1, dc in next st, ch 2; rep from * around, join" can leave the stitch before the join to be skipped, too.
- "*ch 5, sk 2, sc in next st; rep from * to last 2 sts, ch 5, join" can leave those two to be skipped.
- "2 sc in every 3rd st" can leave out the stitches between, or have one stitch in each.
- "ch 3, sk 1 st" can mean the stitch that the chain stands on, and "sk 2 sts" that one and the next.
- "dc in 6th ch from hook (skipped chs count as ch-1 sp)" can mean beside the stitch that they are tall enough for.
- "ch 4, sk 3 sts" can be a starting chain, or lead over the stitches that are skipped.
- "inc 6 (30)" can be six increases side by side, or anywhere in the round.
- "inc 6 evenly: (3 sc, inc) x 6" says the same thing twice.
"""

from __future__ import annotations

from collections.abc import Callable

from companion.pattern.edges import first_from_hook, skipped_after
from companion.pattern.lexer import MAX_NUMBER
from companion.pattern.omitting import without_omitted
from companion.pattern.said import SLIP
from companion.pattern.syntax import (
    ASIDES,
    ONCE,
    ActNode,
    ChainNode,
    CountsNode,
    Fill,
    InOneNode,
    Node,
    Reading,
    RepeatNode,
    SkipNode,
    Times,
    TotalNode,
    WorkNode,
)


def usual_reading(nodes: tuple[Node, ...]) -> tuple[Node, ...]:
    """The nodes as they are meant first: after "around", a last slip stitch has only the start left to go into; when
    the yarn is cut, "24 sc" is the total.
    """
    if _cut_before_the_last(nodes) and (totalled := _ends_with_total(nodes)) is not None:
        nodes = totalled
    joined = _ends_with_join(nodes)
    if joined is not None and any(_goes_around(node) for node in nodes):
        return joined
    return nodes


def _cut_before_the_last(nodes: tuple[Node, ...]) -> bool:
    """Whether all that stands behind "fasten off" is one count."""
    worked = [k for k, node in enumerate(nodes) if not isinstance(node, ASIDES)]
    cut = [k for k, node in enumerate(nodes) if isinstance(node, ActNode) and node.kind == "fasten_off"]
    return len(worked) > 1 and any(worked[-2] < k < worked[-1] for k in cut)


def _goes_around(node: Node) -> bool:
    amount = node.times if isinstance(node, RepeatNode) else node.n if isinstance(node, WorkNode | InOneNode) else 0
    return isinstance(amount, Fill) and not amount.keep


def other_readings(nodes: tuple[Node, ...]) -> tuple[Reading, ...]:
    """The readings beside the usual one, best first. `doubtful` ones are said to the maker when they are taken."""
    found: list[Reading] = []

    def add(reading: tuple[Node, ...] | None, *, doubtful: bool = True) -> None:
        if reading is not None and reading != nodes:
            found.append(Reading(reading, doubtful))

    totalled = any(isinstance(node, TotalNode) for node in nodes)
    joined = _ends_with_join(nodes)
    add(joined, doubtful=False)
    add(_ends_with_total(nodes), doubtful=False)
    add(_begins_by_slipping(nodes), doubtful=not totalled)
    add(_mapped(nodes, _evenly_as_a_note), doubtful=False)
    apart = _mapped(nodes, _apart)
    add(apart, doubtful=False)
    add(_whole_repeated(nodes))
    add(_mapped(nodes, _other_times))
    add(_whole_repeated(apart))
    add(_mapped(nodes, _decrease_ends_at_the_nth), doubtful=not totalled)
    add(_loops_closed(nodes), doubtful=not totalled)
    add(_mapped(nodes, _same_as_next))
    add(_mapped(nodes, _worked_between), doubtful=not totalled)
    add(_skips_the_base(nodes, 2))
    for bridges in (True, False):
        add(_chain_that_bridges(nodes, bridges=bridges), doubtful=not totalled)
    add(_skips_the_base(nodes, MAX_NUMBER))
    add(_space_and_stitch(nodes), doubtful=not totalled)
    add(_ends_otherwise(nodes))
    add(without_omitted(nodes), doubtful=False)
    add(_skips_before_the_join(nodes), doubtful=not totalled)
    add(_bridges_the_rest(nodes), doubtful=not totalled)
    add(bare_around(nodes), doubtful=not totalled)
    add(_group_around(nodes))
    if totalled:
        add(_alone_and_spread(nodes), doubtful=False)
    return tuple(found)


def _mapped(nodes: tuple[Node, ...], change: Callable[[Node], tuple[Node, ...]]) -> tuple[Node, ...]:
    """The nodes with a change made to each of them, also within brackets."""
    out: list[Node] = []
    for node in nodes:
        if isinstance(node, RepeatNode | InOneNode):
            node = node._replace(body=_mapped(node.body, change))
        out.extend(change(node))
    return tuple(out)


def _other_times(node: Node) -> tuple[Node, ...]:
    if isinstance(node, RepeatNode) and isinstance(node.times, Times) and node.times.or_else is not None:
        return (node._replace(times=Times(node.times.or_else, node.times.written)),)
    return (node,)


def _apart(node: Node) -> tuple[Node, ...]:
    """ "2 sc inc" as two stitches and an increase, and "sc2inc" as well."""
    if not isinstance(node, WorkNode) or not node.glued or not isinstance(node.n, int):
        return (node,)
    often = node.often or 1
    if node.apart and node.n != often:  # "6 sc2inc"
        return (node,)
    plain = WorkNode(node.start, node.glued, node.word, node.apart or node.n // often, loop=node.loop)
    shaped = node._replace(in_one=2) if node.apart else node
    return plain, shaped._replace(start=node.glued, n=often, glued=0, apart=0)


def _evenly_as_a_note(node: Node) -> tuple[Node, ...]:
    """ "inc 6 evenly: (3 sc, inc) x 6", where the places follow."""
    if isinstance(node, WorkNode) and node.evenly is not None:
        return (ActNode(node.start, node.end, "note", ""),)
    return (node,)


def _alone_and_spread(nodes: tuple[Node, ...]) -> tuple[Node, ...] | None:
    """ "inc 6 (30)" on 24: six increases, and their places are left open."""
    k = _first(nodes)
    if k is None or k != _last(nodes):
        return None
    node = nodes[k]
    if not isinstance(node, WorkNode) or not node.shaping or not (node.counted or node.often):
        return None
    if node.into is not None or node.same or node.from_hook or not isinstance(node.n, int):
        return None
    return (*nodes[:k], node._replace(n=Fill(), evenly=node.n, counted=False, often=0), *nodes[k + 1 :])


def _loops_closed(nodes: tuple[Node, ...]) -> tuple[Node, ...]:
    """ "Sc in next st, ch 10, sl st in same st": the slip stitch only closes the loop of chains."""
    out: list[Node] = []
    for node in nodes:
        if isinstance(node, RepeatNode | InOneNode):
            node = node._replace(body=_loops_closed(node.body))
        elif isinstance(node, WorkNode) and node.word in SLIP and node.same and out and isinstance(out[-1], ChainNode):
            node = ActNode(node.start, node.end, "note", "")
        out.append(node)
    return tuple(out)


def _decrease_ends_at_the_nth(node: Node) -> tuple[Node, ...]:
    """ "Dec every 6th st": five plain ones before it or, counted with the two it takes, four."""
    if not isinstance(node, RepeatNode) or [type(one) for one in node.body] != [WorkNode, WorkNode]:
        return (node,)
    plain, decrease = node.body
    if not (isinstance(plain, WorkNode) and isinstance(decrease, WorkNode) and isinstance(plain.n, int)):
        return (node,)
    fewer = plain.n + 1 - decrease.together
    if plain.start != decrease.start or decrease.together < 2 or fewer < 1:  # "5 sc, dec" begins apart
        return (node,)
    return (node._replace(body=(plain._replace(n=fewer), decrease)),)


def _same_as_next(node: Node) -> tuple[Node, ...]:
    if isinstance(node, WorkNode) and node.same and node.into is None and node.in_one > 1:
        return (node._replace(same=False),)
    return (node,)


def _worked_between(node: Node) -> tuple[Node, ...]:
    """ "2 sc in every 3rd st", with one stitch in each of those between."""
    if not isinstance(node, RepeatNode) or not node.spaced:
        return (node,)
    several, skip = node.body
    if not isinstance(several, WorkNode) or not isinstance(skip, SkipNode):
        return (node,)
    return (node._replace(body=(several._replace(n=skip.n, in_one=1), several), spaced=False),)


def _skips_the_base(nodes: tuple[Node, ...], most: int) -> tuple[Node, ...] | None:
    """ "ch 3, sk 1 st": the stitch that the chain stands on; of more, up to `most`, the first is that stitch."""
    k = _first(nodes)
    if k is None or not any(isinstance(node, ChainNode) for node in nodes[:k]):
        return None
    node = nodes[k]
    if isinstance(node, SkipNode) and 1 <= node.n <= most and node.into is None:
        return (*nodes[:k], node._replace(first=True), *nodes[k + 1 :])
    return None


def _chain_that_bridges(nodes: tuple[Node, ...], *, bridges: bool) -> tuple[Node, ...] | None:
    """ "ch 4, sk 3 sts": a space over the skipped stitches, or a starting chain, whichever is not common practice."""
    for k, node in enumerate(nodes[: _first(nodes)]):
        if isinstance(node, ChainNode) and not node.counts and skipped_after(nodes[k + 1 :]):
            return (*nodes[:k], node._replace(bridges=bridges), *nodes[k + 1 :])
    return None


def _space_and_stitch(nodes: tuple[Node, ...]) -> tuple[Node, ...] | None:
    """ "dc in 6th ch from hook (5 skipped chs count as ch-1 sp)": a stitch, and the space besides that is spoken of."""
    for k, node in enumerate(nodes):
        if isinstance(node, CountsNode) and node.space and not node.counts and first_from_hook(nodes):
            return (*nodes[:k], node._replace(counts=True), *nodes[k + 1 :])
    return None


def _ends_otherwise(nodes: tuple[Node, ...]) -> tuple[Node, ...] | None:
    """What follows a repeat to the end in place of the last thing in it."""
    k = _last(nodes)
    if k is None or not k:
        return None
    repeat, last = nodes[k - 1], nodes[k]
    if isinstance(repeat, RepeatNode) and isinstance(repeat.times, Fill) and isinstance(last, WorkNode | InOneNode):
        return (*nodes[:k], *repeat.body[:-1], *nodes[k:])
    return None


def _skips_before_the_join(nodes: tuple[Node, ...]) -> tuple[Node, ...] | None:
    """What a repeat all around skips before each stitch, skipped once more before the join to the first."""
    k = _last(nodes)
    if k is None or not any(isinstance(node, ActNode) and node.kind == "join" for node in nodes[k + 1 :]):
        return None
    repeat = nodes[k]
    if not isinstance(repeat, RepeatNode) or not isinstance(repeat.times, Fill) or not repeat.body:
        return None
    skip = repeat.body[0]
    if not isinstance(skip, SkipNode) or skip.into is not None or skip.to or skip.first:
        return None
    return (*nodes[: k + 1], skip, *nodes[k + 1 :])


def _bridges_the_rest(nodes: tuple[Node, ...]) -> tuple[Node, ...] | None:
    """The stitches that a repeat leaves, skipped where nothing but a chain is worked before the join to the first."""
    k = _last(nodes)
    if k is None or not isinstance(repeat := nodes[k], RepeatNode) or not isinstance(repeat.times, Fill):
        return None
    after = [node for node in nodes[k + 1 :] if isinstance(node, ChainNode | ActNode)]
    if len(after) < 2 or not isinstance(after[0], ChainNode) or not _joins(after[1]):
        return None
    end = after[0].end
    at = nodes.index(after[0]) + 1
    return (*nodes[:at], SkipNode(end, end, repeat.times.keep), *nodes[at:]) if repeat.times.keep else None


def _joins(node: Node) -> bool:
    return isinstance(node, ActNode) and node.kind == "join"


def _ends_with_join(nodes: tuple[Node, ...]) -> tuple[Node, ...] | None:
    """A last slip stitch as the join."""
    k = _last(nodes)
    if k is None or k == _first(nodes):
        return None
    node = nodes[k]
    if isinstance(node, WorkNode) and node.word in SLIP and node.n == 1 and node.in_one == 1:
        return (*nodes[:k], ActNode(node.start, node.end, "join", ""), *nodes[k + 1 :])
    return None


def _begins_by_slipping(nodes: tuple[Node, ...]) -> tuple[Node, ...] | None:
    """ "Sl st to next sc, (sk 2, 5 dc in sp, …) around": slip stitches that only lead to where the round begins."""
    k = _first(nodes)
    node = nodes[k] if k is not None else None
    if k is None or k == _last(nodes) or not isinstance(node, WorkNode) or node.word not in SLIP or node.in_one > 1:
        return None
    return (*nodes[:k], ActNode(node.start, node.end, "note", ""), *nodes[k + 1 :])


def closed_by_a_stitch(nodes: tuple[Node, ...]) -> tuple[Node, ...] | None:
    """ "…, ch 3, dc in first sc": a tall stitch into the start in place of the last chains, so that the next round
    begins in the middle of that space. It closes the round and is no stitch of it: common practice, no source.
    """
    k = _last(nodes)
    before = [node for node in nodes[:k] if not isinstance(node, SkipNode)]
    if k is None or _first(nodes) == k or not before or not isinstance(before[-1], ChainNode):
        return None
    node = nodes[k]
    if isinstance(node, WorkNode) and node.first and node.n == node.in_one == node.together == 1:
        return (*nodes[:k], ActNode(node.start, node.end, "join", ""), *nodes[k + 1 :])
    return None


def _ends_with_total(nodes: tuple[Node, ...]) -> tuple[Node, ...] | None:
    """ "(2 sc, inc) x 6. 24 sc": the last count as the total of the round, where it says no place to work into."""
    k = _last(nodes)
    if k is None or k == _first(nodes) or any(isinstance(node, TotalNode) for node in nodes):
        return None
    node = nodes[k]
    if not isinstance(node, WorkNode) or not node.counted or not isinstance(node.n, int) or not node.word:
        return None
    if node.shaping or node.parts or node.often or node.in_one > 1 or node.together > 1:
        return None
    return (*nodes[:k], TotalNode(node.start, node.end, node.n), *nodes[k + 1 :])


def _first(nodes: tuple[Node, ...]) -> int | None:
    return next((k for k, node in enumerate(nodes) if not isinstance(node, ASIDES)), None)


def _last(nodes: tuple[Node, ...]) -> int | None:
    return next((k for k in range(len(nodes) - 1, -1, -1) if not isinstance(nodes[k], ASIDES)), None)


def all_around(nodes: tuple[Node, ...]) -> tuple[Node, ...] | None:
    """ "sc, inc around", "sc in next st, 2 sc in next st around": all of it around, which comes before other readings.

    Not where the last of it goes "in each st around", nor together with what has a place that there is only once.
    """
    found = next(((k, fill) for k, node in enumerate(nodes) if (fill := _said_around(node)) is not None), None)
    if found is None:
        return None
    last, fill = found
    first = last
    while first and _goes_into_the_next(nodes[first - 1]):
        first -= 1
    final = nodes[last]
    if first == last or not isinstance(final, WorkNode | InOneNode) or not _goes_around_with_the_rest(final, fill):
        return None
    once = final._replace(n=1 if isinstance(final.n, Fill) else final.n, around=None)
    repeat = RepeatNode(nodes[first].start, final.end, (*nodes[first:last], once), fill)
    return (*nodes[:first], repeat, *nodes[last + 1 :])


def _said_around(node: Node) -> Fill | None:
    if not isinstance(node, WorkNode | InOneNode):
        return None
    return node.n if isinstance(node.n, Fill) else node.around


def _goes_into_the_next(node: Node) -> bool:
    """Whether stitches have no other place than the next ones."""
    if isinstance(node, SkipNode):
        return node.into is None and not node.first and not node.to
    if not isinstance(node, WorkNode):
        return False
    once = node.first or node.same or node.into or node.from_hook or node.chain_at
    return not once and isinstance(node.n, int) and not node.often


def _goes_around_with_the_rest(final: WorkNode | InOneNode, fill: Fill) -> bool:
    if fill.of == "each" or final.same or final.into or (isinstance(final, WorkNode) and final.evenly is not None):
        return False
    if isinstance(final, InOneNode) or final.around is not None or fill.of == "one":
        return True
    return final.shaping or final.in_one > 1


def _whole_repeated(nodes: tuple[Node, ...]) -> tuple[Node, ...] | None:
    """The last "x 6" or "around" taken to mean everything before it too."""
    first, last = _first(nodes), _last(nodes)
    if first is None or last is None or first == last:
        return None
    final = nodes[last]
    if not isinstance(final, WorkNode) or any(isinstance(n, RepeatNode) for n in nodes[first:last]):
        return None
    times: Times | Fill
    if final.often and isinstance(final.n, int):
        times = Times(final.often, f"x {final.often}")
        once = final._replace(n=final.n // final.often, often=0)
    elif isinstance(final.n, Fill) and final.shaping and final.n.keep == 0 and final.evenly is None:
        times = final.n
        once = final._replace(n=1)
    else:
        return None
    body = (*nodes[first:last], once)
    return (*nodes[:first], RepeatNode(nodes[first].start, final.end, body, times), *nodes[last + 1 :])


def bare_around(nodes: tuple[Node, ...]) -> tuple[Node, ...] | None:
    """ "sc [24]": one stitch named without a number or a place."""
    k = _first(nodes)
    if k is None or k != _last(nodes):
        return None
    node = nodes[k]
    if isinstance(node, WorkNode) and node.bare:
        return (*nodes[:k], node._replace(n=Fill(), bare=False), *nodes[k + 1 :])
    return None


def _group_around(nodes: tuple[Node, ...]) -> tuple[Node, ...] | None:
    """ "(2 sc, inc) [32]": a bracket that says nothing of how often, and a total beside it."""
    k = _first(nodes)
    if k is None or k != _last(nodes) or not any(isinstance(node, TotalNode) for node in nodes):
        return None
    node = nodes[k]
    if isinstance(node, RepeatNode) and node.times == ONCE:
        return (*nodes[:k], node._replace(times=Fill()), *nodes[k + 1 :])
    return None
