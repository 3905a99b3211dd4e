"""What a sentence means: the name of a command and its slots."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Command:
    """One thing the maker asked for or reported.

    `name` is a key of `commands.yaml` or `dictation.yaml`. `slots` hold numbers as integers, names of pieces as
    printed and free words as they were said. Two commands are equal when they mean the same, however they were said.
    """

    name: str
    slots: Mapping[str, int | str] = field(default_factory=dict)

    def __hash__(self) -> int:
        return hash((self.name, frozenset(self.slots.items())))

    def __str__(self) -> str:
        return f"{self.name}({', '.join(f'{key}={value!r}' for key, value in self.slots.items())})"
