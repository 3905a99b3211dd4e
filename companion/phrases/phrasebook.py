"""What may be said about one pattern: sentences to commands, and the grammar that a recogniser listens with."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from contextlib import nullcontext
from dataclasses import dataclass, field

from hassil.intents import TextSlotList

from . import numbers, templates
from .command import Command
from .compiler import Compiler
from .graph import Grammar
from .names import spoken_forms
from .net import Event, Net
from .normal import Normal, normalise, plain
from .templates import Block, Phrase, Templates

Contexts = Iterable[str]
EVERYTHING = "everything"  # the key of the grammar in which all contexts hold at once


@dataclass(slots=True)
class _Meaning:
    """A phrase with the slots that some of its blocks fix, and where it lies in the net."""

    phrase: Phrase
    slots: dict[str, int | str]
    end: int
    starts: list[tuple[Block, int]] = field(default_factory=list)


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
        self._templates: Templates = templates.load("commands")
        lists = dict(self._templates.intents.slot_lists)
        lists["piece"] = TextSlotList.from_tuples(spoken_forms(pieces))
        lists["project"] = TextSlotList.from_tuples(spoken_forms(projects))
        if stitches is not None:
            names = [(plain(name), key) for key, spoken in stitches.items() for name in spoken]
            lists["stitch"] = TextSlotList.from_tuples(names)
        self._net = Net()
        self._compiler = Compiler(self._net, lists, self._templates.intents.expansion_rules)
        self._meanings: list[_Meaning] = []
        for phrase in self._templates.phrases:
            self._lay(phrase)
        self._ends = frozenset(meaning.end for meaning in self._meanings)
        self._net.finish(set(self._ends))
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

    def _lay(self, phrase: Phrase) -> None:
        for fixed in dict.fromkeys(block.slots for block in phrase.blocks):
            with self._net.owned_by(len(self._meanings)):
                meaning = _Meaning(phrase, dict(fixed), self._net.state())
                self._meanings.append(meaning)
                self._lay_blocks(meaning, [block for block in phrase.blocks if block.slots == fixed])

    def _lay_blocks(self, meaning: _Meaning, blocks: list[Block]) -> None:
        net, phrase = self._net, meaning.phrase
        body = net.state()
        for block in blocks:
            start = net.state()
            meaning.starts.append((block, start))
            with net.decoys() if phrase.decoy or not block.waits else nullcontext():
                for sentence in block.sentences:
                    net.skip(self._compiler.template(sentence, start), body)
        net.skip(body, meaning.end)
        spaced = net.state()
        net.edge(body, " ", spaced)
        for tail in (phrase.tail, "" if phrase.decoy else self._templates.closings):
            if tail:
                net.skip(self._compiler.template(tail, spaced), meaning.end)

    def _grammar(self, contexts: frozenset[str]) -> Grammar:
        net = self._net
        allowed = {
            index: meaning
            for index, meaning in enumerate(self._meanings)
            if EVERYTHING in contexts or meaning.phrase.contexts & contexts
        }
        start, opened = net.state(), net.state()
        net.edge(self._compiler.template(self._templates.openings, start), " ", opened)
        net.skip(start, opened)
        for index, meaning in allowed.items():
            for _, begin in meaning.starts:
                net.skip(start if meaning.phrase.decoy else opened, begin, ("command", index))
        return Grammar(net, start, self._ends, self._links(allowed))

    def _links(self, allowed: Mapping[int, _Meaning]) -> dict[int, int]:
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

    def _second(self, seconds: tuple[str, ...], allowed: Mapping[int, _Meaning]) -> int:
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
