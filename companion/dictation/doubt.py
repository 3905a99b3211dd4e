"""What the ear was not sure of, and what the designer's answer to its question makes of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from companion.dictation.corrections import Corrected, corrected
from companion.dictation.result import Slots
from companion.ear.decide import Verdict
from companion.phrases.command import Command

_TELLS = frozenset(["read_back", "read_all", "what_have_i_got", "say_again", "help"])
"""Questions: they change nothing and end nothing, and their answer shows what was understood."""

Commands = tuple[Command, ...]


def may_be_done_unasked(verdict: Verdict) -> bool:
    """True where the ear need not ask, though it is not sure: one meaning, and one that only tells something."""
    return (
        len(verdict.alternatives) < 2
        and bool(verdict.commands)
        and all(command.name in _TELLS for command in verdict.commands)
    )


@dataclass(frozen=True, slots=True)
class Doubt:
    """The meanings that are asked about: one for a yes or a no, two for the first or the second; none if none is."""

    meanings: tuple[Commands, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.meanings)

    @property
    def context(self) -> frozenset[str]:
        """What may be said besides while it is asked: a yes or no, or which."""
        return frozenset({"asking"} if len(self.meanings) == 1 else {"choosing"} if self.meanings else ())

    def answered(self, commands: Sequence[Command]) -> Commands | None:
        """What is to be done after this answer: nothing for a "no", None where the answer is not clear.

        "Yes", "the second", "no, twelve" and "no, single crochet four" answer the question; whatever else is said
        stands for itself, and what was asked about is forgotten.
        """
        if not self:
            return tuple(commands)
        name, slots = commands[0].name, commands[0].slots
        match name:
            case "no":
                return ()
            case "yes" if len(self.meanings) == 1:
                return self.meanings[0]
            case "yes":
                return None
            case "choose_all" | "choose_last" if len(self.meanings) > 1:
                return self.meanings[0 if name == "choose_all" else -1]
            case "stitches_instead":
                return (Command("stitches", slots), *commands[1:])
            case "correct":
                return self._meant(slots)
        return tuple(commands)

    def _meant(self, change: Slots) -> Commands | None:
        """ "No, twelve": the one meaning that has it, else the one that it can be changed into."""
        if len(self.meanings) > 1:
            having = [meaning for meaning in self.meanings if _has(meaning, change["new"])]
            if len(having) == 1:
                return having[0]
        changed = {found for meaning in self.meanings if (found := _changed(meaning, change)) is not None}
        return changed.pop() if len(changed) == 1 else None


def _has(meaning: Commands, value: int | str) -> bool:
    """True where the value stands in what was said: changing it into itself is clear."""
    return any(isinstance(corrected(c.name, c.slots, {"new": value, "old": value}), Corrected) for c in meaning)


def _changed(meaning: Commands, change: Slots) -> Commands | None:
    """The meaning with one value changed, None where it is not clear which."""
    found = [corrected(command.name, command.slots, change) for command in meaning]
    clear = [at for at, result in enumerate(found) if isinstance(result, Corrected)]
    if len(clear) != 1:
        return None
    return tuple(
        Command(command.name, result.slots) if isinstance(result, Corrected) else command
        for command, result in zip(meaning, found, strict=True)
    )
