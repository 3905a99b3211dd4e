"""The one door of the wording room: an answer in, what is said out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from companion.pattern.model import Pattern, Terms
from companion.place.answers import Answer, Notice
from companion.place.where import Where
from companion.wording import counting, facts, moves, questions, talk  # their handlers register themselves
from companion.wording.dispatch import say
from companion.wording.notices import notice
from companion.wording.numbers import cardinal
from companion.wording.sentences import VERBOSITIES, Verbosity
from companion.wording.tools import Tools, joined

__all__ = ["VERBOSITIES", "Verbosity", "Wording"]

_REGISTERED = (counting, facts, moves, questions, talk)

Said = tuple[str, Mapping[str, int | str]]
"""A command by name, with its slots, as the phrase book hands it over."""


class Wording:
    """Turns answers about one pattern into sentences.

    `terms` are the maker's, the pattern's own where not given. `verbosity` may be changed at any time.
    """

    def __init__(self, pattern: Pattern, terms: Terms | None = None, verbosity: Verbosity = "full") -> None:
        self._tools = Tools(pattern, terms, verbosity)

    @property
    def verbosity(self) -> Verbosity:
        """How much is said: "full", "brief" or "numbers"."""
        return self._tools.verbosity

    @verbosity.setter
    def verbosity(self, verbosity: Verbosity) -> None:
        self._tools.verbosity = verbosity

    @property
    def terms(self) -> Terms:
        """The set of terms spoken."""
        return self._tools.terms

    def say(self, answer: Answer) -> str:
        """The reply to be spoken for that answer; "" where silence is the answer."""
        self._tools.about(_place_of(answer))
        return say(answer, self._tools)

    def notice(self, item: Notice, now: Where) -> str:
        """A notice by itself: a word about resting the hands."""
        self._tools.about(now)
        return notice(item, now, self._tools)

    def line(self, name: str, **slots: str) -> str:
        """A line that is no answer of the place: devices, practice, the ear. `name` is an entry of session.yaml."""
        return self._tools.text(f"session.{name}", **slots)

    def place(self, now: Where) -> str:
        """A place with its count, to fill the slot `place` of a line: "round five, twelve made, eighteen left"."""
        self._tools.about(now)
        return moves.count(now, self._tools)

    def not_understood(self, in_a_row: int = 1) -> str:
        """Said when nothing was understood, the `in_a_row`-th time."""
        return self.line("not_understood" if in_a_row < 2 else "not_understood_again")

    def ask_back(self, commands: Sequence[Said]) -> str:
        """The question which of up to three commands was meant: "Sixteen or sixty?".

        Commands that differ in their number alone are told apart by the number alone.
        """
        told = self._numbers_alone(commands) or [self.command(name, slots) for name, slots in commands]
        told = list(dict.fromkeys(told))
        if len(told) == 1:
            return self.line("did_you_say", what=self.command(*commands[0]))
        if len(told) == 2:
            return self.line("which_of_two", first=told[0], second=told[1])
        return self.line("which_of_three", first=told[0], second=told[1], third=told[2])

    def command(self, name: str, slots: Mapping[str, int | str]) -> str:
        """A command as the maker would say it: ("have_done", {"stitches": 16}) -> "I have done sixteen"."""
        numbers = {slot: value for slot, value in slots.items() if isinstance(value, int)}
        number = next(iter(numbers.values()), None)
        written = next((value for value in slots.values() if isinstance(value, str)), "")
        return self._tools.command(name, number, written, numbers)

    def speakable(self, text: str) -> str:
        """Any written text made speakable, in the maker's terms."""
        return self._tools.speak(text)

    @staticmethod
    def _numbers_alone(commands: Sequence[Said]) -> list[str]:
        names = {name for name, _ in commands}
        numbers = [[value for value in slots.values() if isinstance(value, int)] for _, slots in commands]
        texts = {tuple(value for value in slots.values() if isinstance(value, str)) for _, slots in commands}
        if len(names) > 1 or len(texts) > 1 or any(len(found) != 1 for found in numbers):
            return []
        return [cardinal(found[0]) for found in numbers]


def _place_of(answer: object) -> Where | None:
    """The place that an answer is about, also of one that holds another answer; None where it is about none."""
    inner = getattr(answer, "answer", None) or getattr(answer, "then", None)
    now = getattr(answer, "now", None)
    return now if isinstance(now, Where) else _place_of(inner) if inner is not None else None


def together(*replies: str) -> str:
    """Several replies said in one breath; silent ones fall away."""
    return joined(*replies)
