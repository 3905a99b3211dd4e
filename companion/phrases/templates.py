"""Reads the files of sentence templates and checks them as they are loaded.

The files are in hassil's format (intents, lists, expansion rules), with a few fields of our own beside each intent:
what it does, examples, when it may be said. hassil parses the templates; the tree it returns is laid into the net.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import yaml
from hassil.intents import Intents
from pydantic import BaseModel, ConfigDict, Field

LISTENING = ("idle", "asking", "choosing", "held")
"""The contexts in which an ordinary command may be said: everything but paused."""


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class _Block(_Strict):
    sentences: list[str] = Field(min_length=1)
    slots: dict[str, int | str] = {}
    waits: bool = True
    second: bool = True


class _Intent(_Strict):
    """One command. See the head of commands.yaml for what each field means."""

    group: str
    description: str = ""
    examples: list[str] = []
    contexts: list[str] = list(LISTENING)
    tail: str = ""
    decoy: bool = False
    line: bool = False
    unaddressed: bool = False
    data: list[_Block] = Field(min_length=1)


class _Alike(_Strict):
    """The command that another one means too, and which of its slots is which of the other's."""

    command: str
    slots: dict[str, str] = {}


class _File(_Strict):
    language: str
    openings: str = ""
    closings: str = ""
    pairs: dict[str, list[str]] = {}
    borrowed: list[str] = []
    alike: dict[str, _Alike] = {}
    expansion_rules: dict[str, str] = {}
    lists: dict[str, dict[str, Any]] = {}
    intents: dict[str, _Intent]


@dataclass(frozen=True, slots=True)
class Block:
    """Sentences of one command that share fixed slots.

    `waits` is False where they make no shorter sentence wait, `second` where they follow no other command.
    """

    sentences: tuple[str, ...]
    slots: tuple[tuple[str, int | str], ...]
    waits: bool
    second: bool


@dataclass(frozen=True, slots=True)
class Phrase:
    """One command as the template file describes it."""

    name: str
    group: str
    description: str
    examples: tuple[str, ...]
    contexts: frozenset[str]
    tail: str
    decoy: bool
    line: bool
    unaddressed: bool
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Templates:
    """A whole template file. `intents` is hassil's view of it: the lists and rules.

    `borrowed` are names of commands of commands.yaml that may be said with these. `alike` gives for a command the name
    of the one that it means too, and for its slots the slots of that one.
    """

    phrases: tuple[Phrase, ...]
    openings: str
    closings: str
    pairs: dict[str, tuple[str, ...]]
    borrowed: tuple[str, ...]
    alike: dict[str, tuple[str, dict[str, str]]]
    intents: Intents


@cache
def load(name: str) -> Templates:
    """The template file of that name in this package: "commands" or "dictation"."""
    path = Path(__file__).with_name(f"{name}.yaml")
    data = yaml.load(path.read_text(encoding="utf-8"), getattr(yaml, "CSafeLoader", yaml.SafeLoader))
    checked = _File.model_validate(data)
    phrases = tuple(
        Phrase(
            name,
            intent.group,
            intent.description,
            tuple(intent.examples),
            frozenset(intent.contexts),
            intent.tail,
            intent.decoy,
            intent.line,
            intent.unaddressed,
            tuple(Block(tuple(b.sentences), tuple(b.slots.items()), b.waits, b.second) for b in intent.data),
        )
        for name, intent in checked.intents.items()
    )
    pairs = {first: tuple(seconds) for first, seconds in checked.pairs.items()}
    alike = {name: (other.command, other.slots) for name, other in checked.alike.items()}
    return Templates(
        phrases, checked.openings, checked.closings, pairs, tuple(checked.borrowed), alike, Intents.from_dict(data)
    )
