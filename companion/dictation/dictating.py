"""One dictation: what the designer says goes into the draft, and what becomes of it is answered.

Sound stays outside, as in `session.py`: the same dictation serves typed words, recordings and the microphone.
"""

from __future__ import annotations

import json
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from types import TracebackType
from typing import Literal

from companion import resources
from companion.dictation.draft import Draft
from companion.dictation.log import open_log
from companion.dictation.output import put
from companion.dictation.result import Result
from companion.dictation.script import Worked, last_round, pattern_of, word_of
from companion.dictation.story import Story
from companion.dictation.tidy import tidied
from companion.ear.decide import Verdict
from companion.errors import MakerError
from companion.pattern.model import Pattern, Terms
from companion.pattern.stitches import table
from companion.phrases.command import Command
from companion.phrases.dictation import Dictation
from companion.place.journal import Journal
from companion.wording.dictation import DictationWording
from companion.wording.numbers import listed
from companion.wording.tools import joined

_NO_SLOTS: Mapping[str, int | str] = {}
_SILENT = ("stop", "wait", "quiet")
_ALOUD = ("slower", "faster", "louder", "softer")
_DONE_UNASKED = ("new_piece", "read_back", "read_all", "what_have_i_got", "say_again", "help", "finish")
"""Done also where the ear would ask: the answer says what was understood, and nothing can be lost by it."""


@dataclass(frozen=True, slots=True)
class Turn:
    """One turn of the dictation.

    `heard` is what was said, None for news that nobody asked for. `piece` and `round` are the present ones, `stitches`
    the worked-out total of the round so far: 0 where it is empty, None where it is not known.
    """

    heard: str | None
    command: str | None
    slots: Mapping[str, int | str]
    accepted: bool
    reply: str
    piece: str | None
    round: int | None
    stitches: int | None

    def as_json(self) -> str:
        """The line that `write-down --json` prints. News has no `heard`."""
        line: dict[str, object] = {} if self.heard is None else {"heard": self.heard}
        line |= {
            "command": self.command,
            "slots": dict(self.slots),
            "accepted": self.accepted,
            "reply": self.reply,
            "piece": self.piece,
            "round": self.round,
            "stitches": self.stitches,
        }
        return json.dumps(line, ensure_ascii=False)


class Dictating:
    """A pattern being taken down into the file `out`. Make it with `open_dictation`, use it as a context manager."""

    def __init__(self, out: Path, log: Journal, story: Story, written: frozenset[str], opening: str) -> None:
        self.out = out
        self.state: Literal["writing", "paused", "off"] = "writing"
        self._log = log
        self._story = story
        self._written = written
        self._opening = opening
        self._wording = DictationWording(story.draft.terms)
        self._unsure: tuple[tuple[Command, ...], ...] = ()
        self._before = 0
        self._last = opening

    def __enter__(self) -> Dictating:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Lets go of the journal; all that was said is on disk already."""
        self._log.close()

    @property
    def draft(self) -> Draft:
        """The pattern as it was said so far."""
        return self._story.draft

    @property
    def phrasebook(self) -> Dictation:
        """What may be said, in the designer's terms."""
        return phrasebook_in(self.draft.terms)

    @property
    def contexts(self) -> frozenset[str]:
        """What may be said now, for the grammar the ear listens with."""
        if self.state == "paused":
            return frozenset({"paused"})
        choosing = {"choosing"} if self.draft.question or len(self._unsure) > 1 else set()
        return frozenset({"writing"} | choosing | ({"asking"} if len(self._unsure) == 1 else set()))

    def opening(self) -> Turn:
        """What is said at the start."""
        question = self._question() if self.draft.question else ""
        return self.plain(joined(self._opening, question))

    def news(self, happened: str) -> Turn:
        """Something happened to the sound: "microphone_lost" and the like, as the wording room has them."""
        return self.plain(self._wording.news(happened, self._where()))

    def plain(self, reply: str) -> Turn:
        """A turn that nobody asked for."""
        return self._turn(None, None, _NO_SLOTS, True, reply)

    # --- what the designer says

    def typed(self, text: str) -> tuple[Turn, ...]:
        """The turns of one typed utterance, one for each command in it."""
        commands = self.phrasebook.parse(text, self.contexts) or self.phrasebook.parse(text)
        if not commands:
            return (self._not_understood(text),)
        return self._do(text, commands)

    def heard(self, verdict: Verdict) -> tuple[Turn, ...]:
        """The turns of an utterance that the ear judged. One that was not meant for us is answered with silence."""
        first = verdict.commands[0] if verdict.commands else Command("")
        match verdict.decision:
            case "act":
                return self._do(verdict.text, verdict.commands)
            case "ask":
                if len(verdict.alternatives) < 2 and first.name in _DONE_UNASKED:
                    return self._do(verdict.text, verdict.commands)
                return (self._ask(verdict),)
            case "refuse":
                return (self._not_understood(verdict.text or verdict.free),)
            case _:
                return (self._turn(verdict.text, None, _NO_SLOTS, False, ""),)

    def take_back(self) -> None:
        """Undoes what the last utterance did, unspoken: the designer had not finished speaking."""
        while len(self._story.steps) != self._before:
            self._tell("scratch" if len(self._story.steps) > self._before else "redo", _NO_SLOTS)
        self._unsure = ()

    @property
    def unsure(self) -> bool:
        """True while the ear has asked what was said."""
        return bool(self._unsure)

    def lapse(self) -> Turn:
        """The ear's question was not answered in time, which is a no."""
        self._unsure = ()
        return self.plain(self._wording.text("lapsed"))

    def end(self) -> None:
        """Writes the file at the end of what is said, where something was worked and it is not written yet."""
        if self.state != "off" and pattern_of(self.draft).pieces:
            self._write()
        self.state = "off"

    # --- what comes of it

    def _ask(self, verdict: Verdict) -> Turn:
        """Asks what was said, where the ear is not sure; nothing is written."""
        self._before = len(self._story.steps)
        meanings = verdict.alternatives[:2]
        self._unsure = tuple(meaning.commands for meaning in meanings) or (verdict.commands,)
        if len(meanings) == 2:
            reply = self._wording.text("which_was_said", {"first": meanings[0].text, "second": meanings[1].text})
        else:
            reply = self._wording.text("did_you_say", {"text": verdict.text})
        first = self._unsure[0][0]
        return self._turn(verdict.text, first.name, first.slots, False, reply)

    def _do(self, said: str, commands: Sequence[Command]) -> tuple[Turn, ...]:
        self._before = len(self._story.steps)
        unsure, self._unsure = self._unsure, ()
        name = commands[0].name
        if len(unsure) == 1 and name == "yes":
            commands = unsure[0]
        elif len(unsure) > 1 and name in ("choose_all", "choose_last"):
            commands = unsure[0 if name == "choose_all" else 1]
        elif name in ("yes", "no"):
            reply = self._wording.text("lapsed" if unsure else "nothing_asked")
            return (self._turn(said, name, commands[0].slots, bool(unsure), reply),)
        return tuple(self._one(said, command) for command in commands)

    def _one(self, said: str, command: Command) -> Turn:
        accepted, reply = self._answer(command.name, command.slots)
        if reply and accepted and command.name != "say_again":
            self._last = reply
        return self._turn(said, command.name, command.slots, accepted, reply)

    def _answer(self, name: str, slots: Mapping[str, int | str]) -> tuple[bool, str]:
        say = self._wording.text
        if self.state == "paused" and name not in ("resume", "goodbye", *_SILENT):
            return False, say("paused")
        match name:
            case "read_back":
                return True, self._round() or say("nothing_yet")
            case "read_all":
                pattern = pattern_of(self.draft)
                whole = self._wording.whole(pattern) if pattern.pieces else say("nothing_yet")
                return True, joined(whole, self._unfitting(pattern))
            case "what_have_i_got":
                return True, self._where()
            case "finish":
                return self._finish()
            case "goodbye":
                self.end()
                return True, say("goodbye")
            case "say_again":
                return True, self._last
            case "brief" | "in_full":
                self._wording.verbosity = "brief" if name == "brief" else "full"
                return True, say(name)
            case "pause" | "resume":
                self.state = "paused" if name == "pause" else "writing"
                return True, say(name)
            case "help":
                return True, say("help")
        if name in _SILENT:
            return True, ""
        if name in _ALOUD:
            return False, say("only_working")
        return self._tell(name, slots)

    def _tell(self, name: str, slots: Mapping[str, int | str]) -> tuple[bool, str]:
        """Puts a command into the draft. What is answered is on the disk before."""
        story, result = self._story.told(name, slots)
        if story != self._story:
            self._log.append(time.time(), "did", name, slots)
            self._story = story
        if result.draft is None:
            return False, self._wording.text(result.say, result.slots)
        if result.draft.terms != self._wording.terms:
            self._wording = DictationWording(result.draft.terms, self._wording.verbosity)
        return True, self._reply(name, slots, result)

    def _reply(self, name: str, slots: Mapping[str, int | str], result: Result) -> str:
        if self.draft.question:
            return self._question()
        said = self._wording.text(result.say, result.slots) if result.say else ""
        if name in ("scratch", "redo"):
            return joined(said, self._where())
        if not result.reads:
            return said
        total = slots.get("total")
        counts = last_round(self.draft)
        if isinstance(total, int) and counts is not None and counts.gives not in (None, total):
            said = self._wording.text("total_disagrees", {"said": total, "total": counts.gives or 0})
            return joined(self._round(), said)
        return joined(said, self._round())

    def _question(self) -> str:
        first, second = (last_round(self.draft, piece) for piece in self.draft.question)
        return self._wording.two_ways(first.entry, second.entry) if first and second else ""

    def _round(self, counts: Worked | None = None) -> str:
        counts = counts or last_round(self.draft)
        if counts is None:
            return ""
        return self._wording.round(counts.entry, counts.takes, counts.below, counts.gives, fits=counts.fits)

    def _where(self) -> str:
        piece = self.draft.piece
        if piece is None:
            return self._wording.text("nothing_yet")
        counts = last_round(self.draft)
        slots: dict[str, int | str] = {"name": piece.name, "word": word_of(piece), "round": piece.number}
        if piece.round.has_work:
            return joined(self._wording.text("where", slots), self._round(counts))
        empty = self._wording.text("where_empty", slots)
        if counts is None or counts.gives is None:
            return empty
        return joined(empty, self._wording.text("before", {"stitches": counts.gives}))

    def _finish(self) -> tuple[bool, str]:
        if self.draft.question:
            return False, self._question()
        pattern = pattern_of(self.draft)
        if not pattern.pieces:
            return False, self._wording.text("finished_empty")
        moved = self._write()
        self.state = "off"
        rounds = sum(entry.times for piece in pattern.pieces for entry in piece.rounds)
        said = self._wording.text("finished", {"pieces": len(pattern.pieces), "rounds": rounds})
        return True, joined(
            said, self._unfitting(pattern), self._wording.text("moved", {"file": moved}) if moved else ""
        )

    def _unfitting(self, pattern: Pattern) -> str:
        """Which rounds do not add up, "" where all do."""
        wrong = {problem.line for problem in pattern.errors}
        names = [
            self._wording.name(entry) for piece in pattern.pieces for entry in piece.rounds if entry.span.line in wrong
        ]
        return self._wording.text("unfitting", {"names": listed(names)}) if names else ""

    def _write(self) -> str:
        """Writes the pattern. Returns the new name of a file that was there and is not ours, "" if there was none."""
        text = tidied(pattern_of(self.draft))
        written, moved = put(self.out, text, self._written)
        self._log.append(time.time(), "did", "written", {"digest": written})
        self._written |= {written}
        return moved

    def _not_understood(self, said: str) -> Turn:
        return self._turn(said, None, _NO_SLOTS, False, self._wording.text("not_understood"))

    def _turn(
        self, heard: str | None, command: str | None, slots: Mapping[str, int | str], accepted: bool, reply: str
    ) -> Turn:
        piece = self.draft.piece
        if piece is None:
            return Turn(heard, command, slots, accepted, reply, None, None, None)
        counts = last_round(self.draft) if piece.round.has_work else None
        total = counts.gives if counts else 0
        return Turn(heard, command, slots, accepted, reply, piece.name, piece.number, total)


def open_dictation(
    out: Path, *, state: Path | None = None, terms: Terms | None = None, title: str | None = None
) -> Dictating:
    """Goes on with what was said for this file, or begins. `state` is the journal's folder.

    Raises `MakerError`: the journal cannot be kept, the file cannot be written where it is to be.
    """
    if out.is_dir() or not out.resolve().parent.is_dir():
        raise MakerError(f"{out} cannot be written: name a file in a folder that is there.")
    log, aside = open_log(state or resources.state_folder(), out)
    events = log.events()
    begun = next((event for event in events if event.command == "begin"), None)
    if begun is None:
        slots: dict[str, int | str] = {"title": title or _title(out), "terms": terms or "US"}
        begun = log.append(time.time(), "did", "begin", slots)
    story = Story(_empty(begun.slots))
    written = set()
    for event in events:
        if event.command == "written":
            written.add(str(event.slots["digest"]))
        elif event.command != "begin":
            story, _ = story.told(event.command, event.slots)
    for name, value in (("title", title), ("terms", terms)):
        wanted = {"text" if name == "title" else name: value}
        if value and value != getattr(story.draft, name):
            log.append(time.time(), "did", name, {key: str(found) for key, found in wanted.items()})
            story, _ = story.told(name, {key: str(found) for key, found in wanted.items()})
    wording = DictationWording(story.draft.terms)
    said = wording.text("go_on", {"title": story.draft.title}) if story.steps else wording.text("begin")
    if aside:
        said = joined(wording.text("aside", {"file": aside}), said)
    dictating = Dictating(out, log, story, frozenset(written), said)
    return dictating


def _empty(slots: Mapping[str, int | str]) -> Draft:
    return replace(Draft(str(slots["title"])), terms="UK" if slots["terms"] == "UK" else "US")


def _title(out: Path) -> str:
    words = out.stem.replace("-", " ").replace("_", " ").strip()
    return words[:1].upper() + words[1:] or "Pattern"


@cache
def phrasebook_in(terms: Terms) -> Dictation:
    """What may be said, in these terms. Kept, since laying out all sentences takes about a second."""
    spoken = {}
    for key, stitch in table().items():
        names = stitch.names(terms)
        aliases = stitch.aliases_us if terms == "US" else stitch.aliases_uk
        spoken[key] = [names.name, names.plural, *(alias for alias in aliases if " " in alias)]
    return Dictation(spoken)
