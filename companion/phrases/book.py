"""Sentences to commands, and the grammar that a recogniser listens with: what all books of phrases have in common."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from typing import Any, Self

from hassil.intents import TextSlotList

from . import numbers
from .attention import ANSWERING, ATTENTION
from .command import Command
from .compiler import Compiler, values_net
from .graph import Grammar
from .layout import Meaning, laid_out
from .net import Event
from .normal import Normal, normalise
from .templates import Phrase

Contexts = Iterable[str]
Token = tuple[str, Any]  # a slot and its value, a number or words
_CALLED: Event = ("attention",)  # the attention word begins here
EVERYTHING = "everything"  # the key of the grammar in which all contexts hold at once


class Book:
    """What may be said, from the template file of that name.

    `lists` fill lists of the file: for each the templates of its values and what they stand for. `attention` is the
    word by which a sentence may be said to be for the companion, "" for none; see `called`.
    """

    def __init__(self, name: str, lists: Mapping[str, Sequence[tuple[str, str]]]) -> None:
        filled = {name: TextSlotList.from_tuples(values) for name, values in lists.items() if values}
        laid = laid_out(name, frozenset(filled))
        self._templates = laid.templates
        self._meanings = laid.meanings
        self._ends = laid.ends
        self._net = laid.net.with_lists({name: values_net(values) for name, values in filled.items()})
        self._compiler = Compiler(self._net, {}, {})
        self._grammars: dict[frozenset[str], Grammar] = {}
        self.attention = ""

    # --- what others ask ------------------------------------------------------------------------------------------

    @property
    def phrases(self) -> tuple[Phrase, ...]:
        """Every command as the template file describes it, decoys too."""
        return tuple(dict.fromkeys(meaning.phrase for meaning in self._meanings))

    @property
    def unaddressed(self) -> frozenset[str]:
        """The commands that are taken without the attention word too: silence, its own end, answers to a question."""
        return frozenset(p.name for p in self.phrases if p.unaddressed or p.contexts <= ANSWERING)

    def called(self, word: str) -> Self:
        """The same book with that attention word, as `attention.chosen` gives it.

        Every sentence may be said as before. One that begins with the word is read as the command "attention" and those
        that follow; the word alone as that command. So an ear that hears both can tell which of them it was.
        """
        book = copy(self)
        book._grammars = {}
        book.attention = word
        return book

    def grammar(self, contexts: Contexts | None = None) -> Grammar:
        """What may be said in these contexts; None for all of them. The same object for the same contexts."""
        key = frozenset([EVERYTHING]) if contexts is None else frozenset(contexts)
        if key not in self._grammars:
            self._grammars[key] = self._grammar(key)
        return self._grammars[key]

    def parse(self, text: str, contexts: Contexts | None = None) -> tuple[Command, ...]:
        """The commands a sentence stands for: one, two said in one breath, or none where it is not understood.

        The text may be typed or heard: capitals, punctuation, hesitations, digits or words make no difference.
        """
        return next(iter(self.meanings(text, contexts)), ())

    def meanings(self, text: str, contexts: Contexts | None = None) -> list[tuple[Command, ...]]:
        """Every different meaning of the sentence, nearly always one.

        One command comes before two, then what stands earlier in the template file, then what has fewer free words.
        """
        said = normalise(text)
        found: dict[tuple[Command, ...], tuple[int, ...]] = {}
        for events in self.grammar(contexts).readings(said.text):
            order = tuple(event[1] for event, _ in events if event[0] == "command")
            commands = self._commands(order, self._tokens(events, said))
            if commands is not None and any(event == _CALLED for event, _ in events):
                commands = (ATTENTION, *commands)
            if commands:
                found.setdefault(commands, order)
        return sorted(found, key=lambda commands: (len(commands), found[commands], _length(commands)))

    # --- building -------------------------------------------------------------------------------------------------

    def _grammar(self, contexts: frozenset[str]) -> Grammar:
        net = self._net
        allowed = {
            index: meaning
            for index, meaning in enumerate(self._meanings)
            if EVERYTHING in contexts or meaning.phrase.contexts & contexts
        }
        start, opened = net.state(), net.state()
        if not allowed:
            return Grammar(net, start, self._ends)
        net.edge(self._compiler.template(self._templates.openings, start), " ", opened)
        net.skip(start, opened)
        begins = [start]
        ends = self._ends
        if self.attention:
            called, addressed = net.state(), net.state()
            net.skip(start, called, _CALLED)
            said = self._compiler.template(self.attention, called)
            net.edge(said, " ", addressed)
            net.skip(addressed, opened)
            begins.append(addressed)
            ends |= {said}
        for index, meaning in allowed.items():
            for _, begin in meaning.starts:
                for before in begins if meaning.phrase.decoy else [opened]:
                    net.skip(before, begin, ("command", index))
        return Grammar(net, start, ends, self._links(allowed))

    def _links(self, allowed: Mapping[int, Meaning]) -> dict[int, int]:
        """For the end of each meaning that may be followed by another: the state in which the second begins."""
        links: dict[int, int] = {}
        begun: dict[tuple[str, ...], int] = {}
        for first in allowed.values():
            seconds = self._templates.pairs.get(first.phrase.group, ())
            if seconds and seconds not in begun:
                begun[seconds] = self._second(seconds, allowed)
            if seconds:
                links[first.end] = begun[seconds]
        return links

    def _second(self, seconds: tuple[str, ...], allowed: Mapping[int, Meaning]) -> int:
        start, spaced, begun = self._net.state(), self._net.state(), self._net.state()
        self._net.edge(start, " ", spaced)
        self._net.edge(self._compiler.template("[and] [then]", spaced), " ", begun)
        self._net.skip(spaced, begun)
        for index, meaning in allowed.items():
            if not {meaning.phrase.group, meaning.phrase.name}.isdisjoint(seconds):
                for block, begin in meaning.starts:
                    if block.second:
                        self._net.skip(begun, begin, ("command", index))
        return start

    # --- from events to commands ----------------------------------------------------------------------------------

    def _tokens(self, events: list[tuple[Event, int]], said: Normal) -> list[list[Token]]:
        """For each command of a reading its slots and their values, in the order they were said."""
        found: list[list[Token]] = []
        name, opened = "", 0
        for event, place in events:
            match event:
                case ("command", _):
                    found.append([])
                case ("slot", slot):
                    found[-1].append((slot, 0))
                case ("value", value):
                    found[-1][-1] = (found[-1][-1][0], value)
                case ("add", amount):
                    slot, so_far = found[-1][-1]
                    found[-1][-1] = (slot, so_far + amount)
                case ("open", slot):
                    name, opened = slot, place
                case ("close", slot):
                    found[-1].append((name, said.original(opened, place)))
        return found

    def _commands(self, order: tuple[int, ...], tokens: list[list[Token]]) -> tuple[Command, ...] | None:
        """The commands of one reading; None for a decoy, and where a number is out of range."""
        commands = []
        for index, said in zip(order, tokens, strict=True):
            meaning = self._meanings[index]
            beyond = any(isinstance(value, int) and value not in numbers.RANGE for _, value in said)
            slots = None if meaning.phrase.decoy or beyond else self._slots(meaning, said)
            if slots is None:
                return None
            commands.append(Command(meaning.phrase.name, slots))
        return tuple(commands)

    def _slots(self, meaning: Meaning, said: list[Token]) -> dict[str, int | str] | None:
        """The slots of one command, None where what was said makes no sense."""
        return meaning.slots | dict(said)


def _length(commands: tuple[Command, ...]) -> int:
    return sum(len(value) for command in commands for value in command.slots.values() if isinstance(value, str))
