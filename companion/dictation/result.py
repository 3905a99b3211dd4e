"""What became of a command."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from companion.dictation.draft import Draft

Slots = Mapping[str, int | str]
Told = tuple[str, Slots]
"""The name of a sentence of the wording room's dictation file, and what fills its slots."""


@dataclass(frozen=True, slots=True)
class Result:
    """`draft` is the draft after the command; None where it was refused.

    `say` names a sentence of the wording room's dictation file, with its `slots`; "" for none. `reads` is True where
    the present round is read out after it. `more` is told then; `notes`, what became of notes, is told last.
    """

    draft: Draft | None
    say: str = ""
    slots: Slots = field(default_factory=dict)
    reads: bool = False
    more: tuple[Told, ...] = ()
    notes: tuple[Told, ...] = ()


def refused(say: str, **slots: int | str) -> Result:
    """Nothing is changed, for a reason that is said."""
    return Result(None, say, slots)
