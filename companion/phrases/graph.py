"""The grammar of one moment: what may be said now, as a deterministic graph of characters that grows as it is walked.

A node is a set of states of the net (the subset construction, done lazily and remembered). The characters are those of
normalised text: a to z, apostrophe and space, and digits and hyphens as other ways of writing a number.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from .net import Event, Net

ALPHABET = frozenset("abcdefghijklmnopqrstuvwxyz0123456789'- ")

_MOST_READINGS = 64  # of one text, kept while parsing; templates are written so that there is nearly always one


class Node:
    """Where one is after some characters. The same object for the same state, so it may key caches by `id`.

    `ends`: a whole sentence ends here. `free`: from here on any words, as after "note".
    """

    __slots__ = ("_after_space", "_chars", "_grammar", "_next", "ends", "free", "states")

    def __init__(self, grammar: Grammar, states: frozenset[int], after_space: bool) -> None:
        self._grammar = grammar
        self.states = states
        self._after_space = after_space
        self._next: dict[str, Node | None] = {}
        self._chars: frozenset[str] | None = None
        self.ends: bool = grammar.ends(states)
        self.free: bool = grammar.free(states)

    @property
    def chars(self) -> frozenset[str]:
        """The characters that may follow."""
        if self._chars is None:
            chars = ALPHABET if self.free else self._grammar.chars(self.states)
            self._chars = chars - {" "} if self._after_space else chars
        return self._chars

    @property
    def goes_on(self) -> bool:
        """After more words a longer single sentence may end that means something else than what ends here.

        Politeness, decoys and second commands do not count.
        """
        return self._grammar.goes_on(self.states)

    @property
    def second(self) -> bool:
        """Another command may follow in the same breath."""
        return self._grammar.second(self.states)

    def follow(self, char: str) -> Node | None:
        """The node after one more character, None where no sentence has it."""
        if char not in self._next:
            twice = char == " " and self._after_space
            self._next[char] = None if twice else self._grammar.after(self.states, char)
        return self._next[char]

    def walk(self, text: str) -> Node | None:
        """The node after all the characters of `text`."""
        node: Node | None = self
        for char in text:
            if node is None:
                return None
            node = node.follow(char)
        return node


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
        self._nodes: dict[tuple[frozenset[int], bool], Node] = {}
        self._memo: dict[tuple[int, bool], tuple[_Reached, ...]] = {}
        self._steps: dict[tuple[int, str], frozenset[int]] = {}
        self.start = self._beginning()

    def _beginning(self) -> Node:
        return self._node(self._closed([self._start], True), after_space=True)

    @property
    def known_nodes(self) -> int:
        """How many nodes have been worked out so far: what the grammar takes of memory grows with them."""
        return len(self._nodes)

    def forget(self) -> None:
        """Begin anew with `start` alone. Nodes handed out before still serve, but new ones are other objects."""
        self._nodes.clear()
        self._memo.clear()
        self._steps.clear()
        self.start = self._beginning()

    def accepts(self, text: str) -> bool:
        """True if the normalised text is a sentence of this grammar, a decoy or not."""
        node = self.start.walk(text)
        return node is not None and node.ends

    def readings(self, text: str) -> list[list[tuple[Event, int]]]:
        """Every way the normalised text can be read: events in order, each with the place in the text where it is."""
        leading = self._leading_to_an_end(text)
        if leading is None:
            return []
        here = self._traced([(self._start, None)], True, 0, leading[0])
        for index, char in enumerate(text, 1):
            moved = [
                (t, trace) for state, traces in here.items() for t in self._targets(state, char) for trace in traces
            ]
            here = self._traced(moved, char == " ", index, leading[index])
        return [_unroll(trace) for traces in here.values() for trace in traces]

    # --- what a node asks ----------------------------------------------------------------------------------------

    def after(self, states: frozenset[int], char: str) -> Node | None:
        """The node after one more character, None where there is none."""
        found = frozenset().union(*(self._step(state, char) for state in states))
        return self._node(found, char == " ") if found else None

    def chars(self, states: frozenset[int]) -> frozenset[str]:
        """The characters that may follow, free words apart."""
        return frozenset(char for state in states for char in self._net.edges(_inner(state)) if self._step(state, char))

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

    def _node(self, states: frozenset[int], after_space: bool) -> Node:
        key = (states, after_space)
        node = self._nodes.get(key)
        if node is None:
            # Two threads may come here at once, and a place must be one object for both.
            node = self._nodes.setdefault(key, Node(self, states, after_space))
        return node

    def _step(self, state: int, char: str) -> frozenset[int]:
        """The states that matter after one more character."""
        key = (state, char)
        step = self._steps.get(key)
        if step is None:
            step = self._steps[key] = self._closed(self._targets(state, char), char == " ")
        return step

    def _targets(self, state: int, char: str) -> list[int]:
        inner = _inner(state)
        found = self._net.edges(inner).get(char, [])
        if inner in self._net.free:
            found = [*found, inner if char == " " else self._net.free[inner]]
        return found if state >= 0 else [~target for target in found]

    def _closed(self, seeds: Iterable[int], after_space: bool) -> frozenset[int]:
        return frozenset(target for seed in seeds for target, _ in self._reached(seed, after_space))

    def _reached(self, state: int, after_space: bool) -> tuple[_Reached, ...]:
        """The states that matter among those reached without a character, each with the events on the way."""
        key = (state, after_space)
        known = self._memo.get(key)
        if known is None:
            found: dict[_Reached, None] = {}
            waiting: list[_Reached] = [(state, ())]
            while waiting:
                reached = waiting.pop()
                if reached not in found:
                    found[reached] = None
                    here, events = reached
                    for target, event in self._skips(here, after_space):
                        waiting.append((target, events if event is None else (*events, event)))
            known = tuple(reached for reached in found if self._matters(_inner(reached[0]), after_space))
            self._memo[key] = known
        return known

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

    def _leading_to_an_end(self, text: str) -> list[set[int]] | None:
        """For each place in the text the states there from which the rest of it leads to an end; None if none do."""
        nodes: list[Node] = [self.start]
        for char in text:
            node = nodes[-1].follow(char)
            if node is None:
                return None
            nodes.append(node)
        leading = [{state for state in nodes[-1].states if _inner(state) in self._ends}]
        for node, char in zip(reversed(nodes[:-1]), reversed(text), strict=True):
            ahead = leading[-1]
            leading.append({state for state in node.states if not ahead.isdisjoint(self._step(state, char))})
        return leading[::-1] if leading[0] else None

    def _traced(
        self, seeds: list[tuple[int, _Trace]], after_space: bool, index: int, wanted: set[int]
    ) -> dict[int, list[_Trace]]:
        found: dict[int, list[_Trace]] = {}
        for seed, trace in seeds:
            for state, events in self._reached(seed, after_space):
                if state in wanted:
                    longer = (trace, events, index) if events else trace
                    traces = found.setdefault(state, [])
                    if longer not in traces and len(traces) < _MOST_READINGS:
                        traces.append(longer)
        return found


_Reached = tuple[int, tuple[Event, ...]]
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
