"""The conversation as a state machine: its states, what moves it between them, and what may be said in each.

`TRANSITIONS` is the whole of it. The code moves by this table and by nothing else, and the drawing in the documents is
made from it: `conversation.md` beside this file.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class State(StrEnum):
    """What the conversation is doing."""

    LISTENING = "listening"
    SPEAKING = "speaking"
    ASKING = "asking"
    HELD = "held"
    PAUSED = "paused"
    OFF = "off"


class Signal(StrEnum):
    """What happened."""

    ANSWER = "a command was answered, and nothing is open"
    HOLD = "a turning point waits"
    ASK = "the companion asked a question"
    LAPSE = "the question lapsed, as no"
    PAUSE = "pause"
    RESUME = "resume"
    END = "that's all for today"
    SPEAK = "a reply begins to sound"
    SILENCE = "the reply is over or was cut off"


BACK = None
"""As a target: back to the state that the reply, the question or the pause interrupted.

A command that cuts in while a reply sounds silences it first. A command that comes while a question is open answers or
cancels it first, so that questions and pauses begin from listening or held only.
"""

_L, _S, _A, _H, _P, _OFF = State
_OPEN = (_L, _A, _H)
_INTERRUPTING = (_S, _A, _P)

TRANSITIONS: dict[tuple[State, Signal], State | None] = {
    **{(state, Signal.ANSWER): _L for state in _OPEN},
    **{(state, Signal.HOLD): _H for state in _OPEN},
    **{(state, Signal.ASK): _A for state in (_L, _H)},
    **{(state, Signal.PAUSE): _P for state in (_L, _H)},
    **{(state, Signal.END): _OFF for state in (*_OPEN, _P)},
    **{(state, Signal.SPEAK): _S for state in (*_OPEN, _P, _OFF)},
    (_A, Signal.LAPSE): BACK,
    (_P, Signal.RESUME): BACK,
    (_S, Signal.SILENCE): BACK,
}

CONTEXTS: dict[State, frozenset[str]] = {
    State.LISTENING: frozenset({"idle"}),
    State.ASKING: frozenset({"idle", "asking"}),
    State.HELD: frozenset({"idle", "held"}),
    State.PAUSED: frozenset({"paused"}),
    State.OFF: frozenset(),
}
"""What may be said in each state; while speaking, what may be said in the state beneath."""

THROUGH_A_PAUSE: frozenset[str] = frozenset({"resume", "where_am_i", "goodbye"})
"""The only commands let through while the work is paused."""

KEEPS_THE_QUESTION: frozenset[str] = frozenset(
    {
        *("say_again", "say_slowly", "spell", "slower", "faster", "louder", "softer", "another_voice"),
        "attention_off",
        *("tones_on", "tones_off", "beeps_only", "print_only", "speak_aloud", "stop", "wait", "quiet", "help"),
    }
)
"""Talk that leaves an open question open; every other command cancels it."""


class ImpossibleTransitionError(Exception):
    """The table has no such transition: a fault of the program."""


@dataclass(frozen=True, slots=True)
class Conversation:
    """The state now, and those beneath it: what a reply, a question or a pause interrupted, the latest last."""

    state: State = State.LISTENING
    beneath: tuple[State, ...] = ()

    @property
    def settled(self) -> State:
        """The state when no reply sounds: what the outcome of a command reports."""
        return self.beneath[-1] if self.state is State.SPEAKING else self.state

    def after(self, signal: Signal) -> Conversation:
        """The conversation after that signal. Raises `ImpossibleTransitionError` for one the table does not have."""
        key = (self.state, signal)
        if key not in TRANSITIONS:
            raise ImpossibleTransitionError(f"{self.state}: {signal}")
        to = TRANSITIONS[key]
        if to is BACK:
            return Conversation(self.beneath[-1], self.beneath[:-1])
        return Conversation(to, (*self.beneath, self.state) if to in _INTERRUPTING else ())

    def contexts(self, *, choosing: bool = False, held: bool = False, counting: bool = False) -> frozenset[str]:
        """What may be said now. The flags add what goes with a question of two totals, a hold beneath, a count."""
        found = CONTEXTS[self.settled]
        if choosing:
            found -= {"asking"}  # one of two is to be named; yes and no would say nothing
        if self.settled in _OPEN:
            extra = {"choosing": choosing, "held": held, "counting": counting}
            found |= {name for name, wanted in extra.items() if wanted}
        return found


BACK_IN_WORDS = "back to what it was"


def as_rows() -> list[tuple[str, str, str]]:
    """The table as rows of words: from, what happened, to."""
    return [(a.value, s.value, b.value if b else BACK_IN_WORDS) for (a, s), b in TRANSITIONS.items()]


def as_markdown() -> str:
    """The page of the documents: the table, and the same as a diagram."""
    rows = [f"| {a} | {s} | {b} |" for a, s, b in as_rows()]
    contexts = [f"| {state} | {', '.join(sorted(names)) or 'nothing'} |" for state, names in CONTEXTS.items()]
    return "\n".join(
        [
            "# The conversation",
            "",
            "Made from `conversation.py` by `python -m companion.place.conversation`. Do not edit it by hand.",
            "",
            "| state | what happens | next state |",
            "| --- | --- | --- |",
            *rows,
            "",
            "What may be said in each state (the contexts of the phrases); while speaking, that of the state beneath:",
            "",
            "| state | contexts |",
            "| --- | --- |",
            *contexts,
            "",
            "```mermaid",
            *_diagram(),
            "```",
            "",
        ]
    )


def _diagram() -> list[str]:
    lines = ["stateDiagram-v2", "  [*] --> listening"]
    for a, signal, b in as_rows():
        to = "beneath" if b == BACK_IN_WORDS else b
        lines.append(f"  {a} --> {to}: {signal}")
    return [*lines, f"  beneath: {BACK_IN_WORDS}", "  off --> [*]"]


if __name__ == "__main__":
    print(as_markdown(), end="")
