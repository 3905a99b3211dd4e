"""A net of characters: every sentence that may be said, as paths through states that share what they can.

The net is nondeterministic: a state may have several edges for one character, and "skips" that cost no character and
may carry an event ("here a slot begins", "add twenty to it"). `compiler.py` lays templates in, `graph.py` walks it.

A list, such as the numbers, is a net of its own that is laid out once and *called* from wherever a template names it.
A state within a call is a number from `CALLS` up, made of the number of the call and the state in the called net; so
fifty templates with a number, or two numbers in one template, cost no more than one, and the pieces of a pattern can be
put in later (`with_lists`).
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator
from contextlib import contextmanager
from copy import copy
from functools import cached_property
from typing import Any

Event = tuple[Any, ...]
"""What happens on the way through a sentence: its kind and its values.

("command", index); ("slot", slot) before ("add", amount) or ("value", value); ("open", slot) and ("close", slot) around
free words; ("second",) where a second command begins; ("attention",) where the attention word does.
"""

CALLS = 1 << 24
_STRIDE = 1 << 16
START, END = 0, 1  # the first two states of a called net

_NO_EDGES: dict[str, list[int]] = {}


class Net:
    """States are numbers; their edges and skips are asked for with `edges` and `skips`.

    `owner[n]` tells whose sentence state n is part of. `decoy[n]` marks states on no sentence that anybody should wait
    for. `free[n]` is, for a state of free words, the state that any character but a space leads to.
    """

    def __init__(self) -> None:
        self._edges: list[dict[str, list[int]]] = []
        self._skips: list[list[tuple[int, Event | None]]] = []
        self._calls: list[tuple[str, int]] = []
        self._lists: dict[str, Net] = {}
        self._owner: list[int] = []
        self._decoy: list[bool] = []
        self.free: dict[int, int] = {}
        self._dead_ends = False  # an empty list was called
        self._laying_decoys = False
        self._laying_for = -1
        self._onward: set[int] = set()
        self._eventful: set[int] = set()

    # --- laying in -----------------------------------------------------------------------------------------------

    def state(self) -> int:
        """A new state."""
        self._edges.append({})
        self._skips.append([])
        self._owner.append(self._laying_for)
        self._decoy.append(self._laying_decoys)
        return len(self._edges) - 1

    def edge(self, start: int, char: str, end: int) -> None:
        """`char` leads from `start` to `end`."""
        self._edges[start].setdefault(char, []).append(end)

    def skip(self, start: int, end: int, event: Event | None = None) -> None:
        """`start` leads to `end` without a character."""
        self._skips[start].append((end, event))

    def path(self, start: int, text: str, end: int) -> None:
        """The characters of `text` lead from `start` to `end`. An apostrophe may be left out: "im" is "i'm"."""
        here = start
        for index, char in enumerate(text):
            there = end if index == len(text) - 1 else self.state()
            self.edge(here, char, there)
            if char == "'":
                self.skip(here, there)
            here = there
        if not text:
            self.skip(start, end)

    def free_words(self, start: int, slot: str) -> int:
        """Any words at all, at least one character that is no space; returns the state after them."""
        before, within, after = self.state(), self.state(), self.state()
        self.skip(start, before, ("open", slot))
        self.free |= {before: within, within: within}
        self.skip(within, after, ("close", slot))
        return after

    def call(self, name: str, called: Net, start: int, event: Event) -> int:
        """Everything in the list of that name, a net from its state START to its END; returns the state after it."""
        self._lists[name] = called
        after = self.state()
        if called.empty:
            self._dead_ends = True
        else:
            self._calls.append((name, after))
            self.skip(start, CALLS + (len(self._calls) - 1) * _STRIDE + START, event)
        return after

    def with_lists(self, lists: dict[str, Net]) -> Net:
        """A copy that can be laid on, with these lists in the place of those of the same name, none of them empty."""
        net = copy(self)
        net._lists = self._lists | lists
        net._edges, net._skips = self._edges.copy(), self._skips.copy()
        net._owner, net._decoy = self._owner.copy(), self._decoy.copy()
        return net

    def leads_on(self, state: int) -> bool:
        """True if characters or events follow the state, as far as laid in yet."""
        found, waiting = {state}, [state]
        while waiting:
            here = waiting.pop()
            if here >= CALLS or self._edges[here] or any(event for _, event in self._skips[here]):
                return True
            new = [target for target, _ in self._skips[here] if target not in found]
            found.update(new)
            waiting += new
        return False

    @contextmanager
    def decoys(self) -> Iterator[None]:
        """States made inside are decoys: a longer sentence through them is nothing to wait for."""
        was, self._laying_decoys = self._laying_decoys, True
        try:
            yield
        finally:
            self._laying_decoys = was

    @contextmanager
    def owned_by(self, owner: int) -> Iterator[None]:
        """States made inside are part of the sentences of `owner`."""
        was, self._laying_for = self._laying_for, owner
        try:
            yield
        finally:
            self._laying_for = was

    # --- walking -------------------------------------------------------------------------------------------------

    def edges(self, state: int) -> dict[str, list[int]]:
        """For each character the states it leads to."""
        if state < CALLS:
            return self._edges[state]
        call, inner = divmod(state - CALLS, _STRIDE)
        base = state - inner
        edges = self._lists[self._calls[call][0]]._edges[inner]
        return {char: [base + target for target in targets] for char, targets in edges.items()} if edges else _NO_EDGES

    def skips(self, state: int) -> list[tuple[int, Event | None]]:
        """The states reached without a character, each with the event on the way."""
        if state < CALLS:
            return self._skips[state]
        call, inner = divmod(state - CALLS, _STRIDE)
        name, after = self._calls[call]
        if inner == END:
            return [(after, None)]
        base = state - inner
        return [(base + target, event) for target, event in self._lists[name]._skips[inner]]

    def owner(self, state: int) -> int:
        """Whose sentence the state is part of, -1 for nobody's."""
        return self._owner[self._after_call(state)]

    def onward(self, state: int) -> bool:
        """True if from here a sentence that is no decoy goes on with at least one more character, not a space."""
        if state < CALLS:
            return state in self._onward
        called, inner, after = self._within(state)
        return (
            not self._decoy[after] and not called._decoy[inner] and (inner in called._onward or after in self._onward)
        )

    def eventful(self, state: int) -> bool:
        """True if what may come from here on would say more: another slot, or more of the same number."""
        if state < CALLS:
            return state in self._eventful
        called, inner, after = self._within(state)
        return inner in called._eventful or after in self._eventful

    def _within(self, state: int) -> tuple[Net, int, int]:
        call, inner = divmod(state - CALLS, _STRIDE)
        name, after = self._calls[call]
        return self._lists[name], inner, after

    def _after_call(self, state: int) -> int:
        return state if state < CALLS else self._within(state)[2]

    # --- when everything is laid in ------------------------------------------------------------------------------

    @cached_property
    def empty(self) -> bool:
        """True for a called net with nothing in it, such as the pieces of no pattern."""
        return START not in self._before(lambda *_: True, {END})

    def finish(self, ends: set[int], stops: Iterable[int] = ()) -> dict[int, int]:
        """Cut what reaches none of `ends`, let sentences end before trailing spaces, work out what goes on where.

        `stops` are states that, like ends, no space needs to come before: "puff [stitch]" stops after "puff". Returns,
        for the states that are no more because another is just like them, that other.
        """
        if self._dead_ends:
            good = self._before(lambda *_: True, ends)
            for state, edges in enumerate(self._edges):
                cut = {char: [target for target in targets if target in good] for char, targets in edges.items()}
                self._edges[state] = {char: targets for char, targets in cut.items() if targets}
                self._skips[state] = [(t, event) for t, event in self._skips[state] if self._after_call(t) in good]
        same = self._share_endings({*ends, *stops})
        self._end_before_spaces({*ends, *stops})
        self._work_out_onward()
        return same

    def _end_before_spaces(self, ends: set[int]) -> None:
        """From each state that reaches an end by spaces alone, a skip to it: "next [one]" ends after "next"."""
        before = self._backwards(lambda _, char, end, event: char in ("", " ") and end < CALLS and event is None)
        for end in ends:
            for state in _reached(before, {end}):
                if " " in self._edges[state]:
                    self.skip(state, end)

    def _share_endings(self, ends: set[int]) -> dict[int, int]:
        """Make one of all states from which the same may follow, so that sentences that end alike share their ends.

        States are taken with what follows them first. Where a loop (a repetition) makes that impossible, the state that
        was needed too early stays as it is.
        """
        same: dict[int, int] = {}  # for a state that goes, the one that stands for it
        known: dict[Hashable, int] = {}
        calls: dict[tuple[str, int], int] = {}
        taken: set[int] = set()
        stay = set(ends)

        def standing_for(target: int) -> int:
            if target < CALLS:
                if target not in taken:
                    stay.add(target)
                return same.get(target, target)
            name, after = self._calls[(target - CALLS) // _STRIDE]
            return calls.setdefault((name, standing_for(after)), target)

        for state in self._what_follows_first():
            edges = {c: sorted({standing_for(t) for t in targets}) for c, targets in self._edges[state].items()}
            skips = list(dict.fromkeys((standing_for(t), event) for t, event in self._skips[state]))
            self._edges[state], self._skips[state] = edges, skips
            taken.add(state)
            if state in stay:
                continue
            if not edges and state not in self.free and len(skips) == 1 and skips[0][1] is None:
                other = skips[0][0]
            else:
                told = (self._owner[state], self._decoy[state], self.free.get(state), frozenset(skips))
                other = known.setdefault((told, frozenset((c, *targets) for c, targets in edges.items())), state)
            if other != state:
                same[state] = other
                self._edges[state], self._skips[state] = {}, []
        self._calls = [(name, same.get(after, after)) for name, after in self._calls]
        return same

    def _what_follows_first(self) -> Iterator[int]:
        """Every state, those it leads to before it, as far as there are no loops."""
        seen: set[int] = set()
        for first in range(len(self._edges)):
            stack = [(first, False)]
            while stack:
                state, followed = stack.pop()
                if followed:
                    yield state
                elif state not in seen:
                    seen.add(state)
                    stack.append((state, True))
                    targets = [t for ts in self._edges[state].values() for t in ts] + [t for t, _ in self._skips[state]]
                    stack += [(self._after_call(target), False) for target in targets]

    def _work_out_onward(self) -> None:
        def plain(start: int, end: int) -> bool:
            return not self._decoy[start] and not self._decoy[self._after_call(end)]

        steps = [(s, c, t, e) for s, c, t, e in self._steps() if plain(s, t)]
        spoken = {s for s, char, t, _ in steps if char not in ("", " ") or t >= CALLS}
        self._onward = self._before(lambda s, char, t, _: char in ("", " ") and plain(s, t), spoken)
        telling = {
            s for s, _, _, event in self._steps() if event is not None and event[0] in ("slot", "add", "value", "open")
        }
        self._eventful = self._before(lambda *_: True, telling)

    def _steps(self) -> Iterator[tuple[int, str, int, Event | None]]:
        """All edges and skips: from, character ("" for none), to, event."""
        for state, edges in enumerate(self._edges):
            for char, targets in edges.items():
                for target in targets:
                    yield state, char, target, None
            for target, event in self._skips[state]:
                yield state, "", target, event
        for state, target in self.free.items():
            yield state, "?", target, None

    def _before(self, allowed: _Step, seeds: set[int]) -> set[int]:
        """All states from which the seeds are reached by allowed steps; a call is one step."""
        return _reached(self._backwards(allowed), seeds)

    def _backwards(self, allowed: _Step) -> dict[int, list[int]]:
        before: dict[int, list[int]] = {}
        for start, char, end, event in self._steps():
            if allowed(start, char, end, event):
                before.setdefault(self._after_call(end), []).append(start)
        return before


_Step = Callable[[int, str, int, Event | None], bool]


def _reached(before: dict[int, list[int]], seeds: set[int]) -> set[int]:
    found, waiting = set(seeds), list(seeds)
    while waiting:
        for state in before.get(waiting.pop(), ()):
            if state not in found:
                found.add(state)
                waiting.append(state)
    return found
