"""The grammar of one moment: what may be said now, as a deterministic graph of characters that grows as it is walked.

A node is a set of states of the net (the subset construction, done lazily and remembered). The characters are those of
normalised text: a to z, apostrophe and space, and digits and hyphens as other ways of writing a number.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property

from .net import Event, Net

ALPHABET = frozenset("abcdefghijklmnopqrstuvwxyz0123456789'- ")

_MOST_READINGS = 64  # of one text, kept while parsing; templates are written so that there is nearly always one


class Node:
    """Where one is after some characters. The same object for the same state, so it may key caches by `id`."""

    def __init__(self, grammar: Grammar, states: frozenset[int], after_space: bool) -> None:
        self._grammar = grammar
        self._states = states
        self._next: dict[str, Node | None] = {}
        self._moves = grammar.moves(states)
        if after_space:
            self._moves.pop(" ", None)

    @cached_property
    def chars(self) -> frozenset[str]:
        """The characters that may follow."""
        return ALPHABET if self.free else frozenset(char for char in self._moves if self.follow(char) is not None)

    @cached_property
    def ends(self) -> bool:
        """A whole sentence ends here."""
        return self._grammar.ends(self._states)

    @cached_property
    def goes_on(self) -> bool:
        """After more words a longer single sentence may end that means something else than what ends here.

        Politeness, decoys and second commands do not count.
        """
        return self._grammar.goes_on(self._states)

    @cached_property
    def second(self) -> bool:
        """Another command may follow in the same breath."""
        return self._grammar.second(self._states)

    @cached_property
    def free(self) -> bool:
        """From here on any words, as after "note"."""
        return self._grammar.free(self._states)

    def follow(self, char: str) -> Node | None:
        """The node after one more character, None where no sentence has it."""
        if char not in self._next:
            moves = self._moves.get(char)
            if moves is None and self.free:
                moves = self._moves[" " if char == " " else ANY]
            self._next[char] = self._grammar.node(moves, char == " ") if moves else None
        return self._next[char]

    def walk(self, text: str) -> Node | None:
        """The node after all the characters of `text`."""
        node: Node | None = self
        for char in text:
            if node is None:
                return None
            node = node.follow(char)
        return node


ANY = "any"
"""Stands for the characters that a node names no edge for, where free words are said."""


class Grammar:
    """What may be said in one moment, over a net that all moments share.

    Sentences begin in state `start` and end in one of `ends`; `links` says for an end where a second command begins. A
    state of the net is written n while it is part of the first command, ~n while it is part of the second.
    """

    def __init__(self, net: Net, start: int, ends: frozenset[int], links: Mapping[int, int] | None = None) -> None:
        self._net = net
        self._start = start
        self._ends = ends
        self._links = dict(links or {})
        self._link_states = frozenset(self._links.values())
        self._nodes: dict[tuple[frozenset[int], bool], Node | None] = {}
        self._memo: dict[tuple[int, bool], tuple[tuple[int, tuple[Event, ...]], ...]] = {}
        node = self.node([start], after_space=True)
        if node is None:
            raise ValueError("there is nothing to say in this grammar")
        self.start: Node = node

    def accepts(self, text: str) -> bool:
        """True if the normalised text is a sentence of this grammar, a decoy or not."""
        node = self.start.walk(text)
        return node is not None and node.ends

    def readings(self, text: str) -> list[list[tuple[Event, int]]]:
        """Every way the normalised text can be read: events in order, each with the place in the text where it is."""
        here: dict[int, list[_Trace]] = {}
        for index, char in enumerate(text):
            moved = (
                self._traced_start.get(char, [])
                if index == 0
                else [
                    (t, trace) for state, traces in here.items() for t in self._targets(state, char) for trace in traces
                ]
            )
            here = self._traced(moved, char == " ", index + 1)
        return [_unroll(trace) for s, traces in here.items() if _inner(s) in self._ends for trace in traces]

    # --- what a node asks ----------------------------------------------------------------------------------------

    def node(self, seeds: Iterable[int], after_space: bool) -> Node | None:
        """The node of the states reached from `seeds` without a character; None if nothing can follow or end there."""
        states = self._closed(seeds, after_space)
        key = (states, after_space)
        if key not in self._nodes:
            self._nodes[key] = Node(self, states, after_space) if states else None
        return self._nodes[key]

    def moves(self, states: frozenset[int]) -> dict[str, list[int]]:
        """For each character the states it leads to; ANY where free words are said."""
        found: dict[str, list[int]] = {}
        free: list[int] = []
        for state in states:
            inner = _inner(state)
            for char, targets in self._net.edges(inner).items():
                found.setdefault(char, []).extend(targets if state >= 0 else [~t for t in targets])
            if inner in self._net.free:
                free.append(state)
        if free:
            on = [self._targets(state, ANY)[0] for state in free]
            for char in found:
                found[char] += free if char == " " else on
            found.setdefault(" ", free)
            found[ANY] = on
        return found

    def ends(self, states: frozenset[int]) -> bool:
        """True if a sentence ends in one of the states."""
        return any(_inner(state) in self._ends for state in states)

    def goes_on(self, states: frozenset[int]) -> bool:
        """See `Node.goes_on`."""
        net = self._net
        if self.free(states):
            return True
        ended = {(state < 0, net.owner(_inner(state))) for state in states if _inner(state) in self._ends}
        spoken = [state for state in states if _inner(state) not in self._link_states]
        second = any(in_second for in_second, _ in ended)
        further = self._closed([t for state in spoken for joint in " -" for t in self._targets(state, joint)], True)
        return any(
            net.onward(inner := _inner(state)) and (net.eventful(inner) or (state < 0, net.owner(inner)) not in ended)
            for state in further
            if second or state >= 0
        )

    def second(self, states: frozenset[int]) -> bool:
        """True if a second command may follow."""
        return any(state < 0 and ~state in self._link_states for state in states)

    def free(self, states: frozenset[int]) -> bool:
        """True if any words may follow."""
        return any(_inner(state) in self._net.free for state in states)

    # --- steps through the net -----------------------------------------------------------------------------------

    def _targets(self, state: int, char: str) -> list[int]:
        inner = _inner(state)
        found = self._net.edges(inner).get(char, [])
        if inner in self._net.free:
            found = [*found, inner if char == " " else self._net.free[inner]]
        return found if state >= 0 else [~target for target in found]

    def _closed(self, seeds: Iterable[int], after_space: bool) -> frozenset[int]:
        return frozenset(target for seed in seeds for target, _ in self._reached(seed, after_space))

    def _reached(self, state: int, after_space: bool) -> tuple[tuple[int, tuple[Event, ...]], ...]:
        """The states that matter among those reached without a character, each with the events on the way."""
        key = (state, after_space)
        if key not in self._memo:
            found: dict[tuple[int, tuple[Event, ...]], None] = {}
            waiting: list[tuple[int, tuple[Event, ...]]] = [(state, ())]
            while waiting:
                reached = waiting.pop()
                if reached not in found:
                    found[reached] = None
                    here, events = reached
                    for target, event in self._skips(here, after_space):
                        waiting.append((target, events if event is None else (*events, event)))
            self._memo[key] = tuple(reached for reached in found if self._matters(_inner(reached[0]), after_space))
        return self._memo[key]

    def _skips(self, state: int, after_space: bool) -> list[tuple[int, Event | None]]:
        """States reached without a character. After a space, further spaces cost nothing: "go [now] on"."""
        inner = _inner(state)
        skips = self._net.skips(inner)
        if after_space and inner not in self._net.free:
            skips = skips + [(target, None) for target in self._net.edges(inner).get(" ", ())]
        if state < 0:
            return [(~target, event) for target, event in skips]
        if inner in self._links:
            return [*skips, (~self._links[inner], ("second",))]
        return skips

    def _matters(self, state: int, after_space: bool) -> bool:
        if state in self._ends:
            return not after_space
        edges = self._net.edges(state)
        return state in self._net.free or (bool(edges) and not (after_space and len(edges) == 1 and " " in edges))

    # --- the same walk, with the events remembered ---------------------------------------------------------------

    @cached_property
    def _traced_start(self) -> dict[str, list[tuple[int, _Trace]]]:
        """For each first character the states it leads to, with the events so far."""
        found: dict[str, list[tuple[int, _Trace]]] = {}
        for state, traces in self._traced([(self._start, None)], True, 0).items():
            for char, targets in self.moves(frozenset([state])).items():
                found.setdefault(char, []).extend((target, trace) for target in targets for trace in traces)
        return found

    def _traced(self, seeds: list[tuple[int, _Trace]], after_space: bool, index: int) -> dict[int, list[_Trace]]:
        found: dict[int, list[_Trace]] = {}
        for seed, trace in seeds:
            for state, events in self._reached(seed, after_space):
                longer = (trace, events, index) if events else trace
                traces = found.setdefault(state, [])
                if longer not in traces and len(traces) < _MOST_READINGS:
                    traces.append(longer)
        return found


_Trace = tuple["_Trace", tuple[Event, ...], int] | None


def _inner(state: int) -> int:
    """The state of the net, whether it is passed in the first command (n) or in the second (~n)."""
    return state if state >= 0 else ~state


def _unroll(trace: _Trace) -> list[tuple[Event, int]]:
    found: list[tuple[Event, int]] = []
    while trace is not None:
        trace, events, index = trace
        found += [(event, index) for event in reversed(events)]
    return found[::-1]
