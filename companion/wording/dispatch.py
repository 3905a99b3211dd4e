"""The table of handlers: one for each kind of answer. Handlers register themselves; see `moves`, `talk` and others."""

from __future__ import annotations

from functools import singledispatch

from companion.wording.tools import Tools


@singledispatch
def say(answer: object, tools: Tools) -> str:
    """The sentences for an answer. TypeError for one that has no wording: that is a fault of the program."""
    raise TypeError(f"no wording for {type(answer).__name__}")
