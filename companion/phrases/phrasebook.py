"""What may be said about one pattern: sentences to commands, and the grammar that a recogniser listens with."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from hassil.intents import TextSlotList

from . import numbers
from .command import Command
from .compiler import Compiler, values_net
from .graph import Grammar
from .layout import Meaning, laid_out
from .names import spoken_forms
from .net import Event
from .normal import Normal, normalise, plain
from .templates import Phrase

Contexts = Iterable[str]
EVERYTHING = "everything"  # the key of the grammar in which all contexts hold at once


class Phrasebook:
    """Sentences that may be said while a pattern with these pieces is open.

    `stitches` maps the key of each stitch to the names it is spoken by, in the terms of the maker; without it the names
    in the template file serve and stand for themselves. `projects` are the names of projects that may be opened.
    """

    def __init__(
        self,
        pieces: Sequence[str] = (),
        stitches: Mapping[str, Sequence[str]] | None = None,
        projects: Sequence[str] = (),
    ) -> None:
        lists = {"piece": spoken_forms(pieces), "project": spoken_forms(projects)}
        if stitches is not None:
            lists["stitch"] = [(plain(name), key) for key, spoken in stitches.items() for name in spoken]
        filled = {name: TextSlotList.from_tuples(values) for name, values in lists.items() if values}
        laid = laid_out("commands", frozenset(filled))
        self._templates = laid.templates
        self._meanings = laid.meanings
        self._ends = laid.ends
        self._net = laid.net.with_lists({name: values_net(values) for name, values in filled.items()})
        self._compiler = Compiler(self._net, {}, {})
        self._grammars: dict[frozenset[str], Grammar] = {}

    # --- what others ask ------------------------------------------------------------------------------------------

    @property
    def phrases(self) -> tuple[Phrase, ...]:
        """Every command as the template file describes it, decoys too."""
        return self._templates.phrases

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
            order, commands = self._understood(events, said)
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
        for index, meaning in allowed.items():
            for _, begin in meaning.starts:
                net.skip(start if meaning.phrase.decoy else opened, begin, ("command", index))
        return Grammar(net, start, self._ends, self._links(allowed))

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

    def _understood(
        self, events: list[tuple[Event, int]], said: Normal
    ) -> tuple[tuple[int, ...], tuple[Command, ...] | None]:
        """The commands of one reading, and their places in the template file; none for a decoy."""
        order: list[int] = []
        slots: list[dict[str, int | str]] = []
        name, opened = "", 0
        for event, place in events:
            match event:
                case ("command", index):
                    order.append(index)
                    slots.append(dict(self._meanings[index].slots))
                case ("slot", slot):
                    name = slot
                case ("value", value):
                    slots[-1][name] = value
                case ("add", amount):
                    slots[-1][name] = int(slots[-1].get(name, 0)) + amount
                case ("open", slot):
                    name, opened = slot, place
                case ("close", slot):
                    slots[-1][slot] = said.original(opened, place)
        phrases = [self._meanings[index].phrase for index in order]
        if any(phrase.decoy for phrase in phrases) or any(
            isinstance(value, int) and value not in numbers.RANGE for kept in slots for value in kept.values()
        ):
            return tuple(order), None
        commands = tuple(Command(phrase.name, kept) for phrase, kept in zip(phrases, slots, strict=True))
        return tuple(order), commands


def _length(commands: tuple[Command, ...]) -> int:
    return sum(len(value) for command in commands for value in command.slots.values() if isinstance(value, str))
