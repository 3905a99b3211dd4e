"""Everything that can be said, for people: the list of `companion phrases` and the one in shared/phrases."""

from __future__ import annotations

from dataclasses import dataclass

from . import templates

_HEADINGS = {
    "Moving": ("move", "change", "rip", "project"),
    "Saying what is made": ("report",),
    "Asking": ("question",),
    "Talking to the companion": ("say", "silence", "setting", "count", "pause", "resume", "end"),
    "Keeping notes": ("note",),
    "Answering": ("answer", "refuse"),
    "When the work is held": ("held",),
}
_ONLY = {
    "asking": "while a question is open",
    "choosing": "when asked which",
    "held": "while the work is held",
    "counting": "while counting together",
    "chain": "when asked about a chain",
}
_NUMBERS = "Numbers are 1 to 200, in words or digits. A row is a round. Say the name of any piece of your pattern."
_ATTENTION = 'With an attention word of your own, say it first: "clementine, next round".'
_NAMED = {
    "go_to_piece": ("go to the nut", "start the nut", "take me to the nut"),
    "open_project": ("open the mouse", "load the mouse", "switch to the mouse project"),
}
"""Examples of what takes a name that only an opened pattern gives; the nut and the mouse stand for any."""


@dataclass(frozen=True, slots=True)
class Listed:
    """One command for people: heading, name, description, examples, and when it may be said ("" for any time)."""

    heading: str
    name: str
    description: str
    examples: tuple[str, ...]
    when: str


def commands() -> tuple[Listed, ...]:
    """Every command under its heading, in the order in which they are listed."""
    said = templates.load("commands").phrases
    found = [(heading, phrase) for heading, groups in _HEADINGS.items() for phrase in said if phrase.group in groups]
    found += [("Writing a pattern down", phrase) for phrase in templates.load("dictation").phrases]
    return tuple(
        Listed(heading, p.name, p.description, _NAMED.get(p.name, p.examples), _when(p.contexts))
        for heading, p in found
    )


def as_lines() -> list[str]:
    """The whole list as plain lines that a screen reader follows."""
    lines = [_NUMBERS, _ATTENTION]
    heading = ""
    for command in commands():
        if command.heading != heading:
            heading = command.heading
            lines += ["", heading]
        when = f" (only {command.when})" if command.when else ""
        lines.append(f"  {command.description}{when}")
        lines.append("    " + "; ".join(f'"{example}"' for example in command.examples))
    return lines


def as_document() -> str:
    """The list as a Markdown document: a heading a group, an entry a command."""
    lines = ["# Everything you can say", "", _NUMBERS, "", _ATTENTION]
    heading = ""
    for command in commands():
        if command.heading != heading:
            heading = command.heading
            lines += ["", f"## {heading}", ""]
        said = ", ".join(f'"{example}"' for example in command.examples[:3])
        when = f" (only {command.when})" if command.when else ""
        lines.append(f"- {said}: {command.description}{when}")
    return "\n".join(lines) + "\n"


def _when(contexts: frozenset[str]) -> str:
    special = [words for context, words in _ONLY.items() if context in contexts]
    return "" if contexts & {"idle", "writing"} else " or ".join(special)
