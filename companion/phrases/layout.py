"""A whole template file laid into a net, once for all phrasebooks."""

from __future__ import annotations

import re
from contextlib import nullcontext
from dataclasses import dataclass, field, replace
from functools import cache

from hassil.intents import TextSlotList

from . import templates
from .compiler import Compiler
from .net import Net
from .templates import Block, Phrase, Templates


@dataclass(slots=True)
class Meaning:
    """A phrase with the slots that some of its blocks fix, and where it lies in the net."""

    phrase: Phrase
    slots: dict[str, int | str]
    end: int
    starts: list[tuple[Block, int]] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Layout:
    """The net, what its sentences mean by number, and the states in which they end. Not to be changed: it is shared."""

    templates: Templates
    net: Net
    meanings: tuple[Meaning, ...]
    ends: frozenset[int]


@cache
def laid_out(name: str, filled: frozenset[str]) -> Layout:
    """The template file of that name, with the lists named in `filled` to be filled later, by `Net.with_lists`.

    Lists that are empty in the file and not named in `filled` stay empty: what needs them cannot be said.
    """
    loaded = templates.load(name)
    stand_in = TextSlotList.from_strings(["filled in later"])
    net = Net()
    meanings: list[Meaning] = []
    for source, phrases in ((loaded, list(loaded.phrases)), *_borrowed(loaded)):
        lists = source.intents.slot_lists | dict.fromkeys(filled, stand_in)
        compiler = Compiler(net, lists, source.intents.expansion_rules)
        for phrase in phrases:
            for fixed in dict.fromkeys(block.slots for block in phrase.blocks):
                with net.owned_by(len(meanings)):
                    meaning = Meaning(phrase, dict(fixed), net.state())
                    meanings.append(meaning)
                    _lay(net, compiler, meaning, fixed, loaded.closings)
    ends = frozenset(meaning.end for meaning in meanings)
    same = net.finish(set(ends))
    for meaning in meanings:
        meaning.starts = [(block, same.get(start, start)) for block, start in meaning.starts]
    return Layout(loaded, net, tuple(meanings), ends)


def _borrowed(loaded: Templates) -> list[tuple[Templates, list[Phrase]]]:
    """The borrowed commands with the file they are from. What may be said when idle there may be said when writing."""
    if not loaded.borrowed:
        return []
    source = templates.load("commands")
    kept = [phrase for phrase in source.phrases if phrase.name in loaded.borrowed]
    idle = [replace(p, contexts=p.contexts | {"writing"}) if "idle" in p.contexts else p for p in kept]
    return [(source, idle)]


def _lay(
    net: Net, compiler: Compiler, meaning: Meaning, fixed: tuple[tuple[str, int | str], ...], closings: str
) -> None:
    """All the sentences of one meaning, with what may follow them without changing it."""
    phrase = meaning.phrase
    body = net.state()
    for block in phrase.blocks:
        if block.slots == fixed:
            start = net.state()
            meaning.starts.append((block, start))
            with net.decoys() if phrase.decoy or not block.waits else nullcontext():
                for sentence in block.sentences:
                    net.skip(compiler.template(sentence, start), body)
    net.skip(body, meaning.end)
    spaced = net.state()
    net.edge(body, " ", spaced)
    open_ended = any(re.search(r"\{words[^}]*\}$", text) for block in phrase.blocks for text in block.sentences)
    for tail in (
        phrase.tail,
        "" if phrase.decoy or open_ended else closings,
    ):  # "now" is part of a note that ends in it
        if tail:
            net.skip(compiler.template(tail, spaced), meaning.end)
