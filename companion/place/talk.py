"""The talk as it stands: its state, the question that is left open, and what was answered last.

The states and what moves between them are the table in `conversation.py`; here it is kept with the time that an open
question has, so that one about losing work lapses after a while, as no.
"""

from __future__ import annotations

from companion.place.answers import Answer
from companion.place.conversation import Conversation, Signal, State
from companion.place.result import Question

COUNTING = frozenset({"count_with_me", "beat", "tempo"})
"""After these a beat may be spoken."""


class Talk:
    """The conversation of one session. Times are seconds of the caller's clock."""

    def __init__(self, question: Question | None) -> None:
        self.question = question
        self.answer: Answer | None = None
        self.again = 0
        self._conversation = Conversation()
        self._asked_at = 0.0
        self._command = ""

    @property
    def state(self) -> State:
        """The state when no reply sounds."""
        return self._conversation.settled

    @property
    def sounding(self) -> bool:
        """Whether a reply sounds."""
        return self._conversation.state is State.SPEAKING

    def contexts(self, *, held: bool) -> frozenset[str]:
        """What may be said now. `held`: a turning point waits."""
        choosing = self.question is not None and self.question.kind == "choice"
        return self._conversation.contexts(choosing=choosing, held=held, counting=self._command in COUNTING)

    def signal(self, signal: Signal) -> None:
        """Moves by the table."""
        self._conversation = self._conversation.after(signal)

    def speaking(self, sounds: bool, now: float) -> None:
        """A reply begins to sound, or is over; an open question has its time from then on."""
        if sounds != self.sounding:
            self.signal(Signal.SPEAK if sounds else Signal.SILENCE)
            self._asked_at = now

    def answered(self, command: str, answer: Answer) -> None:
        """What the last command was answered with, for "say that again"."""
        self.answer, self.again, self._command = answer, 0, command

    def settle(self, now: float, *, held: bool, question: Question | None = None) -> None:
        """The state after a command: the question it left open, else the hold that waits, else listening."""
        self.question = question
        self._asked_at = now
        self.signal(Signal.HOLD if held else Signal.ANSWER)
        if question is not None:
            self.signal(Signal.ASK)

    def leave(self, signal: Signal, *, held: bool) -> None:
        """A pause or the end, which drops an open question."""
        self.question = None
        if signal is Signal.PAUSE:
            self.signal(Signal.HOLD if held else Signal.ANSWER)
        self.signal(signal)

    def ask_anew(self, now: float) -> None:
        """An open question has its whole time again: what was said since left it open."""
        if self.question is not None:
            self._asked_at = now

    def lapse(self, now: float) -> bool:
        """Ends the open question where its time is up; whether it did."""
        question = self.question
        if self.sounding or question is None or question.lapses is None or now - self._asked_at <= question.lapses:
            return False
        self.question = None
        self.signal(Signal.LAPSE)
        return True
