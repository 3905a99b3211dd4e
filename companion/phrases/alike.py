"""Commands that mean the same place: "I am at stitch nine" is "I have done nine", each under a name of its own."""

from __future__ import annotations

from collections.abc import Iterable

from . import templates
from .command import Command


def pooled(commands: Iterable[Command]) -> tuple[Command, ...]:
    """The commands with each that means the same as another in the other's name, so that they compare as equal.

    The template file says under `alike` which those are.
    """
    return tuple(_pooled(command) for command in commands)


def _pooled(command: Command) -> Command:
    alike = templates.load("commands").alike.get(command.name)
    if alike is None:
        return command
    name, slots = alike
    return Command(name, {slots.get(slot, slot): value for slot, value in command.slots.items()})
