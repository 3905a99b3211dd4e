"""One dictation: what the designer says goes into the draft, and what becomes of it is answered.

Sound stays outside, as in `session.py`: the same dictation serves typed words, recordings and the microphone.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from types import TracebackType
from typing import Literal

from companion.attention import listening_for
from companion.dictation.chains import asked_about
from companion.dictation.doubt import Doubt, may_be_done_unasked
from companion.dictation.draft import Draft
from companion.dictation.output import put
from companion.dictation.replies import Replies
from companion.dictation.script import last_round, pattern_of
from companion.dictation.spoken import called_in, phrasebook_in
from companion.dictation.story import Story
from companion.dictation.tidy import tidied
from companion.dictation.turn import Turn
from companion.ear.decide import Verdict
from companion.phrases.attention import ATTENTION, without_attention
from companion.phrases.command import Command
from companion.phrases.dictation import Dictation
from companion.place import settings
from companion.place.journal import Journal
from companion.wording.dictation import DictationWording
from companion.wording.tools import joined

_NO_SLOTS: Mapping[str, int | str] = {}
_SILENT = ("stop", "wait", "quiet")
_LAPSES_AFTER = 8.0  # seconds that a question of the ear waits for its answer
_KEYS = {
    "next": "next round",
    "back": "read it back",
    "how many are left": "what have i got",
    "done that": "that's the round",
}
"""What keys say here that stand for words of the work on a pattern. None of them takes anything back."""


class Dictating:
    """A pattern being taken down into the file `out`. Make it with `open_dictation`, use it as a context manager.

    `settings` are how fast, how loud and how much is said, shared with the work on patterns. `clock` is in seconds.
    """

    def __init__(
        self,
        out: Path,
        log: Journal,
        story: Story,
        written: frozenset[str],
        opening: str,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self.out = out
        self.state: Literal["writing", "paused", "off"] = "writing"
        self._log = log
        self._story = story
        self._written = written
        self._opening = opening
        self._folder = log.path.parent
        self.settings = settings.load(self._folder)
        self._wording = DictationWording(story.draft.terms, self.settings.verbosity)
        self._clock = clock
        self._doubt = Doubt()
        self._asked_at = 0.0
        self._sounding = False
        self._before = 0
        self._last = opening
        self._attention = ""

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
    def called(self) -> Dictation:
        """The same with the designer's attention word, where there is one; what the ear listens with."""
        return called_in(self.draft.terms, self._attention)

    def listen_for(self, word: str) -> str:
        """From now on listens for that attention word; "" for none. Gives what to tell the designer of it.

        Raises `AttentionError` where the word cannot serve.
        """
        self._attention, told = listening_for(word, self.phrasebook, self._wording.of_every_talk)
        return told

    @property
    def contexts(self) -> frozenset[str]:
        """What may be said now, for the grammar the ear listens with."""
        if self.state == "paused":
            return frozenset({"paused"})
        open_questions = self._doubt.context
        if self.draft.question:
            open_questions |= {"choosing"}
        elif not self._doubt and asked_about(self.draft) is not None:
            open_questions |= {"chain"}
        return frozenset({"writing"}) | open_questions

    @property
    def unsure(self) -> bool:
        """True while the ear has asked what was said."""
        return bool(self._doubt)

    @property
    def asked(self) -> tuple[tuple[Command, ...], ...]:
        """What the ear asks about: each meaning that the words may have; none while it has asked nothing."""
        return self._doubt.meanings

    @property
    def _replies(self) -> Replies:
        return Replies(self._wording)

    def opening(self) -> Turn:
        """What is said at the start."""
        question = self._replies.question(self.draft) if self.draft.question else ""
        return self.plain(joined(self._opening, question))

    @property
    def over(self) -> bool:
        """Whether the designer has finished or said goodbye."""
        return self.state == "off"

    @property
    def where(self) -> str:
        """The piece, the round and its total so far, in words."""
        return self._replies.where(self.draft)

    def news(self, happened: str) -> str:
        """What to say of something that happened to the sound: "microphone_lost" and the like."""
        return self._wording.news(happened, self.where)

    def likely(self) -> tuple[str, ...]:
        """Replies to what may well be said next, so that a voice can make them ready."""
        return tuple(filter(None, (self._last, self.where, self._replies.round(self.draft))))

    def plain(self, reply: str) -> Turn:
        """A turn that nobody asked for."""
        return self._turn(None, None, _NO_SLOTS, True, reply)

    # --- what the designer says

    def typed(self, text: str) -> tuple[Turn, ...]:
        """The turns of one typed utterance, one for each command in it."""
        commands = self.called.parse(text, self.contexts) or self.called.parse(text)
        if not commands:
            return (self._not_understood(text),)
        return self._do(text, without_attention(commands))

    def heard(self, verdict: Verdict) -> tuple[Turn, ...]:
        """The turns of an utterance that the ear judged. One that was not meant for us is answered with silence."""
        match verdict.decision:
            case "act":
                return self._do(verdict.text, verdict.commands)
            case "ask" if may_be_done_unasked(verdict):
                return self._do(verdict.text, verdict.commands)
            case "ask":
                return self._ask(verdict)
            case "refuse":
                return (self._not_understood(verdict.text or verdict.free),)
            case _:
                return ()

    def not_for_us(self, text: str) -> Turn:
        """The turn of a recording that was not meant for us, where every recording has its turn."""
        return self._turn(text, None, _NO_SLOTS, False, "")

    def pressed(self, words: str) -> tuple[Turn, ...]:
        """The turns of a key that stands for these words, which are mostly those of the work on a pattern."""
        words = _KEYS.get(words, words)
        if self.phrasebook.parse(words):
            return self.typed(words)
        return (self._turn(words, None, _NO_SLOTS, False, self._wording.text("key_unused", {"words": words})),)

    def take_back(self) -> None:
        """Undoes what the last utterance did, unspoken: the designer had not finished speaking."""
        while len(self._story.steps) != self._before:
            self._tell("scratch" if len(self._story.steps) > self._before else "redo", _NO_SLOTS)
        self._doubt = Doubt()

    def speaking(self, sounds: bool) -> None:
        """To be told when a reply begins to sound and when it is over; the ear's question has its time from then on."""
        if sounds != self._sounding:
            self._sounding, self._asked_at = sounds, self._clock()

    def due(self) -> Turn | None:
        """To be asked now and then: a question of the ear that was not answered in time, which is a no."""
        if not self._doubt or self._sounding or self._clock() - self._asked_at <= _LAPSES_AFTER:
            return None
        self._doubt = Doubt()
        return self.plain(self._wording.text("lapsed"))

    def end(self) -> None:
        """Writes the file at the end of what is said, where something was worked and it is not written yet."""
        if self.state != "off" and pattern_of(self.draft).pieces:
            self._write()
        self.state = "off"

    # --- what comes of it

    def _ask(self, verdict: Verdict) -> tuple[Turn, ...]:
        """Asks what was said, where the ear is not sure; nothing is written.

        Of an answer to its own question it asks what that answer would come to, so that a "yes" to it is enough.
        """
        heard = [(meaning.text, meaning.commands) for meaning in verdict.alternatives[:2]]
        heard = heard if len(heard) == 2 else [(verdict.text, verdict.commands)]
        meant = [(text, found) for text, commands in heard if (found := self._doubt.answered(commands))]
        if not meant:  # a "no", or an answer that is not clear
            return self._do(verdict.text, heard[0][1])
        self._before = len(self._story.steps)
        self._doubt = Doubt(tuple(commands for _, commands in meant))
        self._asked_at = self._clock()
        one = self._wording.text("did_you_say", {"text": meant[0][0]})
        reply = self._which(*meant) if len(meant) == 2 else one
        first = meant[0][1][0]
        return (self._turn(verdict.text, first.name, first.slots, False, reply),)

    def _which(self, *meant: tuple[str, Sequence[Command]]) -> str:
        """Which of two was said. Lines of stitches are told by what they come to: their words may sound alike."""
        rounds = [self._replies.shown(self._story.told(found[0].name, found[0].slots)[1]) for _, found in meant]
        first, second = rounds if all(rounds) and rounds[0] != rounds[1] else [f"{text}." for text, _ in meant]
        return self._wording.text("which_was_said", {"first": first, "second": second})

    def _do(self, said: str, commands: Sequence[Command]) -> tuple[Turn, ...]:
        if commands[0] == ATTENTION:  # the word alone: an open question stays open
            return (self._turn(said, ATTENTION.name, _NO_SLOTS, True, ""),)
        self._before = len(self._story.steps)
        doubt, self._doubt = self._doubt, Doubt()
        name, slots = commands[0].name, commands[0].slots
        meant = doubt.answered(commands)
        if not meant:
            return (self._turn(said, name, slots, True, self._wording.text("lapsed")),)
        if meant[0].name in ("yes", "no"):
            if asked_about(self.draft) is None:
                return (self._turn(said, name, slots, False, self._wording.text("nothing_asked")),)
            meant = (Command("chain_counts", {"counts": meant[0].name}),)
        return tuple(self._one(said, command) for command in meant)

    def _one(self, said: str, command: Command) -> Turn:
        accepted, reply = self._answer(command.name, command.slots)
        if reply and accepted and command.name not in ("say_again", "say_slowly"):
            self._last = reply
        return self._turn(said, command.name, command.slots, accepted, reply)

    def _answer(self, name: str, slots: Mapping[str, int | str]) -> tuple[bool, str]:
        say = self._wording.text
        if self.state == "paused" and name not in ("resume", "goodbye", *_SILENT):
            return False, say("paused")
        match name:
            case "read_back":
                return True, self._replies.round(self.draft) or say("nothing_yet")
            case "read_all":
                pattern = pattern_of(self.draft)
                whole = self._wording.whole(pattern) if pattern.pieces else say("nothing_yet")
                return True, joined(whole, self._replies.unfitting(pattern))
            case "what_have_i_got":
                return True, self._replies.where(self.draft)
            case "finish":
                return self._finish()
            case "goodbye":
                self.end()
                return True, say("goodbye")
            case "say_again" | "say_slowly":
                return True, self._last
            case "pause" | "resume":
                self.state = "paused" if name == "pause" else "writing"
                return True, say(name)
            case "help":
                return True, say("help")
        if name in _SILENT:
            return True, ""
        if name in settings.COMMANDS:
            return self._set(name, slots)
        return self._tell(name, slots)

    def _set(self, name: str, slots: Mapping[str, int | str]) -> tuple[bool, str]:
        """Changes how it is spoken, and keeps that beside the journal."""
        changed, answer = settings.changed(self.settings, name, slots)
        try:
            settings.save(self._folder, changed)
        except OSError:
            return False, self._wording.text("not_kept")
        self.settings = changed
        self._wording.verbosity = changed.verbosity
        if name == "attention_off":
            self.listen_for("")
        return True, self._wording.setting(answer)

    def _tell(self, name: str, slots: Mapping[str, int | str]) -> tuple[bool, str]:
        """Puts a command into the draft. What is answered is on the disk before."""
        before = self.draft
        story, result = self._story.told(name, slots)
        if story != self._story:
            self._log.append(time.time(), "did", name, slots)
            self._story = story
        if result.draft is None:
            return False, self._wording.text(result.say, result.slots)
        if result.draft.terms != self._wording.terms:
            self._wording = DictationWording(result.draft.terms, self._wording.verbosity)
        return True, self._replies.to(name, slots, before, result, self.draft)

    def _finish(self) -> tuple[bool, str]:
        if self.draft.question:
            return False, self._replies.question(self.draft)
        pattern = pattern_of(self.draft)
        if not pattern.pieces:
            return False, self._wording.text("finished_empty")
        moved = self._write()
        self.state = "off"
        rounds = sum(entry.times for piece in pattern.pieces for entry in piece.rounds)
        said = self._wording.text("finished", {"pieces": len(pattern.pieces), "rounds": rounds})
        kept = self._wording.text("moved", {"file": moved}) if moved else ""
        return True, joined(said, self._replies.unfitting(pattern), self._replies.assumed(pattern), kept)

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
            return Turn(heard, command, slots, accepted, reply, self.state, None, None, None)
        counts = last_round(self.draft) if piece.round.has_work else None
        total = counts.gives if counts else 0
        return Turn(heard, command, slots, accepted, reply, self.state, piece.name, piece.number, total)
