"""What may be said while a pattern is taken down: the spoken stitch language, and what steers the taking down."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from . import line_build, line_text
from .book import Book, Contexts, Token
from .command import Command
from .layout import Meaning
from .names import other_number
from .normal import plain

_OWN_WORDS = frozenset(["inc", "dec", "invdec", "ch", "sk", "ring"])
"""Stitches that the template file has words of its own for."""


class Dictation(Book):
    """Sentences of a designer who says a pattern while making it.

    `stitches` maps the key of each stitch to the names it is spoken by, in US or in UK terms; without it the few names
    in the template file serve, which are US.

    A sentence of stitches is the command "stitches" (or "stitches_instead") with the slot `line`, made by
    `line_text.write`: all readings of its words that make sense, but where counts can all come on one side of their
    stitches only those in which they do. The contexts are "writing", and "asking" or "choosing" while a question is
    open.
    """

    def __init__(self, stitches: Mapping[str, Sequence[str]] | None = None) -> None:
        lists = {}
        if stitches is not None:
            named = {key: names for key, names in stitches.items() if key not in _OWN_WORDS}
            lists["stitch"] = [(form, key) for key, names in named.items() for form in _forms(names)]
        super().__init__("dictation", lists)

    def meanings(self, text: str, contexts: Contexts | None = None) -> list[tuple[Command, ...]]:
        """Every different meaning of the sentence; readings that differ only in a line are one."""
        found: dict[tuple[object, ...], list[tuple[Command, ...]]] = {}
        for commands in super().meanings(text, contexts):
            apart = tuple((c.name, tuple((s, v) for s, v in c.slots.items() if s not in _READING)) for c in commands)
            found.setdefault(apart, []).append(commands)
        return [_merged(same) for same in found.values()]

    def _slots(self, meaning: Meaning, said: list[Token]) -> dict[str, int | str] | None:
        if not meaning.phrase.line:
            return super()._slots(meaning, said)
        line = line_build.build(said)
        if line is None:
            return None
        return {"line": line_text.write([line.elements]), **line.slots, _DOUBTS: line.doubts}


_DOUBTS = "doubts"  # a slot that no command leaves this module with
_READING = ("line", _DOUBTS)


def _merged(same: list[tuple[Command, ...]]) -> tuple[Command, ...]:
    """One reading of all: with the lines of all of them that have the fewest doubts."""
    merged = []
    for commands in zip(*same, strict=True):
        lines = {str(command.slots["line"]): command.slots[_DOUBTS] for command in commands if "line" in command.slots}
        kept = [line for line, doubts in lines.items() if doubts == min(lines.values())]
        slots = {slot: value for slot, value in commands[0].slots.items() if slot != _DOUBTS}
        merged.append(Command(commands[0].name, slots | ({"line": " | ".join(kept)} if kept else {})))
    return tuple(merged)


def _forms(names: Sequence[str]) -> list[str]:
    """A stitch's names in the singular and the plural, with and without the word "stitch"."""
    found: dict[str, None] = {}
    for name in map(plain, names):
        found |= dict.fromkeys([name, *other_number(name)])
        if "stitch" not in name:
            found |= dict.fromkeys([f"{name} stitch", f"{name} stitches"])
    return list(found)
