"""One session: what was said goes to the place, and what the place answers becomes a sentence.

Sound stays outside: the same session serves typed words, the rehearsal and the microphone. An utterance makes one turn
for each command in it, and no turn where it was not meant for us.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import TracebackType

from companion import resources, turn
from companion.attention import AttentionError, listening_for, weighed
from companion.beating import Beating
from companion.ear.decide import Verdict
from companion.pattern.model import Pattern, Terms
from companion.pattern.reader import read_file
from companion.phrases.attention import ATTENTION, without_attention
from companion.phrases.command import Command
from companion.phrases.phrasebook import Phrasebook
from companion.place.answers import Beat, OpenProject, SettingChanged, WhereAmI
from companion.place.commands import COMMANDS
from companion.place.projects import listed
from companion.place.settings import Settings
from companion.place.where import PlaceView
from companion.place.work import Outcome, Work
from companion.sums import words as _words_of_the_sums  # its words register themselves
from companion.sums.asked import questions
from companion.sums.measures import NOTHING_MEASURED, Measures
from companion.wording.speaker import Wording, together

_REGISTERED = (_words_of_the_sums,)
_NO_SLOTS: Mapping[str, int | str] = {}
_LIKELY = ("next", "stitches_left", "finished_repeat", "what_next", "rounds_left", "read_round", "which_repeat")


@dataclass(frozen=True, slots=True)
class Turn(turn.Turn):
    """A turn, and the maker's place after it."""

    place: PlaceView | None

    def stand(self) -> dict[str, object]:
        """The place, and the state of the conversation."""
        return {"place": self.place.as_json() if self.place else None, "state": self.state}


@dataclass(slots=True)
class _Unsure:
    """The ear asked which of these was meant; the next words may say."""

    meanings: tuple[tuple[Command, ...], ...]

    def chosen(self, command: Command) -> tuple[Command, ...]:
        """What was meant, if `command` tells: the number that one of them carries, or yes where there is but one."""
        if command.name == "yes" and len(self.meanings) == 1:
            return self.meanings[0]
        if command.name == "choose":
            number = command.slots["number"]
            for meaning in self.meanings:
                if number in meaning[0].slots.values():
                    return meaning
        return ()


@dataclass(slots=True)
class _Before:
    """How things stood before the last utterance, so that it can be taken back unspoken."""

    depth: int = 0
    unsure: _Unsure | None = None


class Session:
    """A pattern being worked. Make it with `open_session`, use it as a context manager.

    `opens` is the pattern file of another project that the maker asked for, "" as long as nobody did.
    """

    def __init__(
        self, pattern: Pattern, work: Work, phrasebook: Phrasebook, wording: Wording, beating: Beating | None = None
    ) -> None:
        self.pattern = pattern
        self.phrasebook = phrasebook
        self.wording = wording
        self.work = work
        self.settings: Settings = work.settings
        self.opens = ""
        self._unsure: _Unsure | None = None
        self._missed = 0
        self._before = _Before()
        self._beating = beating or Beating()
        self._called = phrasebook

    def __enter__(self) -> Session:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Lets go of the journal; all that was done is on disk already."""
        self.work.close()

    @property
    def state(self) -> str:
        """The state of the conversation; "off" once the maker said goodbye."""
        return str(self.work.state)

    @property
    def over(self) -> bool:
        """Whether the maker said goodbye or asked for another project."""
        return self.state == "off" or bool(self.opens)

    @property
    def contexts(self) -> frozenset[str]:
        """What may be said now, for the grammar the ear listens with."""
        if self._unsure is None:
            return self.work.contexts
        return self.work.contexts | {"choosing"} | ({"asking"} if len(self._unsure.meanings) == 1 else set())

    @property
    def called(self) -> Phrasebook:
        """What may be said, with the maker's attention word, where there is one; what the ear listens with."""
        return self._called

    def listen_for(self, word: str) -> str:
        """From now on listens for that attention word; "" for none. Gives what to tell the maker of it.

        Raises `AttentionError` where the word cannot serve.
        """
        word, told = listening_for(word, self.phrasebook, self.wording)
        self._called = self.phrasebook.called(word) if word else self.phrasebook
        return told

    def opening(self) -> Turn:
        """What is said at the start."""
        return self._news(self.work.opening())

    def due(self) -> Turn | None:
        """To be asked now and then: news that nobody asked for, else None.

        An open question whose time is up is over; a beat is counted while counting together at a tempo.
        """
        outcome = self.work.lapse()
        if outcome is None and self._beating.due(sounding=self.work.sounding):
            outcome = self.work.handle("beat")
            corner = not isinstance(outcome.answer, Beat) or outcome.answer.corner is not None
            self._beating.beaten(at_corner=corner)
        return self._news(outcome) if outcome else None

    def likely(self) -> tuple[str, ...]:
        """Replies to what may well be said next, so that a voice can make them ready. Nothing is done or kept."""
        view = self.work.view
        hold = view.held
        answers = [COMMANDS[name](view, _NO_SLOTS).answer for name in _LIKELY]
        answers.append(WhereAmI(view.here, self.state, hold.turning if hold else None))
        return tuple(self.wording.say(answer) for answer in answers)

    @property
    def where(self) -> str:
        """The place in words, with its count."""
        return self.wording.place(self.work.view.here)

    def news(self, happened: str) -> str:
        """What to say of something that happened to the sound, such as "microphone_lost"."""
        return self.wording.line(happened, place=self.where)

    def speaking(self, sounds: bool) -> None:
        """To be told when a reply begins to sound and when it is over."""
        self.work.speaking(sounds)

    # --- what the maker says

    def typed(self, text: str) -> tuple[Turn, ...]:
        """The turns of one typed utterance.

        What may not be said now is recognised all the same, so that it can be refused with its reason.
        """
        commands = self.called.parse(text, self.contexts) or self.called.parse(text)
        if not commands:
            return (self._not_understood(text),)
        return self._do(text, without_attention(commands))

    def pressed(self, words: str) -> tuple[Turn, ...]:
        """The turns of a key that stands for these words. While counting together the key for "next" is the beat."""
        return self.typed("tick" if words == "next" and "counting" in self.contexts else words)

    def heard(self, verdict: Verdict) -> tuple[Turn, ...]:
        """The turns of an utterance that the ear judged; none where it was not meant for us."""
        match verdict.decision:
            case "act" if verdict.commands[0].name == "attention_word":
                return (self._ask(verdict),)  # a word heard amiss would leave the maker unheard
            case "act":
                return self._do(verdict.text, verdict.commands)
            case "ask":
                return (self._ask(verdict),)
            case "refuse":
                return (self._not_understood(verdict.text or verdict.free),)
            case _:
                return ()

    def take_back(self) -> None:
        """Undoes what the last utterance did, unspoken: the maker had not finished speaking."""
        while self.work.depth > self._before.depth:
            self.work.handle("undo")
        while self.work.depth < self._before.depth:
            self.work.handle("redo")
        self._unsure = self._before.unsure

    # --- what comes of it

    def _do(self, said: str, commands: Sequence[Command]) -> tuple[Turn, ...]:
        self._before = _Before(self.work.depth, self._unsure)
        if commands[0] == ATTENTION:  # the word alone: an open question stays open
            return (self._plain(said, ATTENTION.name, accepted=True, reply=""),)
        unsure, self._unsure = self._unsure, None
        self._missed = 0
        turns = []
        for command in unsure.chosen(commands[0]) if unsure else ():
            turns.append(self._turn(said, command))
        if turns:
            return tuple(turns)
        if unsure and commands[0].name == "no":
            return (self._plain(said, "no", accepted=True, reply=self.wording.not_understood(self._missed)),)
        return tuple(self._turn(said, command) for command in commands)

    def _turn(self, said: str, command: Command) -> Turn:
        if command.name == "attention_word":
            return self._attention_chosen(said, str(command.slots["word"]))
        outcome = self.work.handle(command.name, command.slots)
        answer = outcome.answer
        self._beating.said(command.name, command.slots, accepted=outcome.accepted)
        if isinstance(answer, SettingChanged):
            self.settings = self.work.settings
            self.wording.verbosity = self.settings.verbosity
        if command.name == "attention_off":
            self.listen_for("")
        if isinstance(answer, OpenProject):
            self.opens = answer.path
        return Turn(
            heard=said,
            command=command.name,
            slots=command.slots,
            accepted=outcome.accepted,
            reply=self._reply(outcome),
            state=outcome.state,
            place=outcome.place,
        )

    def _attention_chosen(self, said: str, text: str) -> Turn:
        try:
            word, doubt = weighed(text, self.phrasebook, self.wording)
        except AttentionError as error:
            return self._plain(said, "attention_word", {"word": text}, accepted=False, reply=str(error))
        outcome = self.work.handle("attention_word", {"word": word})
        reply = self._reply(outcome)
        if outcome.accepted:
            self._called = self.phrasebook.called(word)
            reply = together(reply, doubt)
        return Turn(said, "attention_word", {"word": word}, outcome.accepted, reply, outcome.state, outcome.place)

    def _ask(self, verdict: Verdict) -> Turn:
        self._before = _Before(self.work.depth, self._unsure)
        meanings = tuple(m.commands for m in verdict.alternatives) or (verdict.commands,)
        self._unsure = _Unsure(meanings)
        reply = self.wording.ask_back([(meaning[0].name, meaning[0].slots) for meaning in meanings])
        first = verdict.commands[0]
        return self._plain(verdict.text, first.name, first.slots, accepted=False, reply=reply)

    def _not_understood(self, said: str) -> Turn:
        self._before = _Before(self.work.depth, self._unsure)
        self._missed += 1
        return self._plain(said, None, accepted=False, reply=self.wording.not_understood(self._missed))

    def _plain(
        self, said: str, command: str | None, slots: Mapping[str, int | str] = _NO_SLOTS, *, accepted: bool, reply: str
    ) -> Turn:
        """A turn that the place has no part in."""
        return Turn(said, command, slots, accepted, reply, self.state, self.work.place)

    def _news(self, outcome: Outcome) -> Turn:
        return Turn(None, None, _NO_SLOTS, outcome.accepted, self._reply(outcome), outcome.state, outcome.place)

    def _reply(self, outcome: Outcome) -> str:
        before = self.wording.say(outcome.first) if outcome.first else ""
        after = self.wording.notice(outcome.last, self.work.view.here) if outcome.last else ""
        return together(before, self.wording.say(outcome.answer), after)


def open_session(
    path: str | Path,
    *,
    state: Path | None = None,
    terms: Terms | None = None,
    measures: Measures = NOTHING_MEASURED,
    beating: Beating | None = None,
) -> Session:
    """Opens the project of that pattern file, or begins it. `state` is the journal's folder.

    `measures` are the maker's own gauge, hook, yarn and swatch, for questions of size and yarn; `beating` tells when a
    beat is due while counting together.
    Raises `MakerError`: the file cannot be read or holds nothing to work, the journal cannot be kept, a measure that
    cannot be.
    """
    pattern = read_file(path, terms=terms)
    asked = questions(pattern, measures)
    folder = state or resources.state_folder()
    work = Work.open(pattern, folder, path=Path(path).resolve(), beyond=asked)
    titles = tuple(sorted(project.title for project in listed(folder, None)))
    wording = Wording(pattern, verbosity=work.settings.verbosity)
    return Session(pattern, work, phrasebook_for(work.piece_names, titles), wording, beating)


@cache
def phrasebook_for(pieces: tuple[str, ...], projects: tuple[str, ...]) -> Phrasebook:
    """What may be said of a pattern with these pieces, beside these projects.

    Kept, since laying out all sentences takes about a second.
    """
    return Phrasebook(pieces, projects=projects)
