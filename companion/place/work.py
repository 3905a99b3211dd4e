"""One project being worked: commands come in, answers go out, and every accepted move is on disk before its answer.

This is the door of the room. `Work.handle` takes a command's name and slots, whoever heard them, and returns an
`Outcome`. The place itself is a fold over the journal; `Work` only routes, keeps and counts time.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType

from companion.pattern.model import Pattern
from companion.place import elsewhere
from companion.place import settings as settings_
from companion.place.answers import (
    Again,
    Answer,
    Hearsay,
    Helped,
    NotDone,
    NothingToRedo,
    NothingToUndo,
    Paused,
    Reason,
    Redone,
    RestHands,
    Resumed,
    Saved,
    SettingChanged,
    Silenced,
    Spelled,
    Undone,
    WhereAmI,
)
from companion.place.commands import COMMANDS
from companion.place.conversation import KEEPS_THE_QUESTION, THROUGH_A_PAUSE, Signal, State
from companion.place.journal import EventKind
from companion.place.journal_files import JournalError
from companion.place.layout import Layout
from companion.place.opening import Opening, open_project
from companion.place.result import Result, Slots, refused
from companion.place.story import Story
from companion.place.talk import Talk
from companion.place.timekeeper import Timekeeper
from companion.place.turning import TurningPoints
from companion.place.view import View
from companion.place.where import PlaceView

Asked = Callable[[View, Slots], Result]
"""A question answered from the project as it stands."""

SILENCERS = frozenset({"stop", "wait", "quiet"})

_GRAINS = {"grain_stitch": "stitch", "grain_repeat": "repeat", "grain_round": "round"}

WORK_COMMANDS = frozenset(
    {
        *("yes", "no", "undo", "redo", "pause", "resume", "goodbye", "where_am_i", "say_again", "help"),
        *("say_slowly", "spell"),
        *elsewhere.ELSEWHERE,
        *SILENCERS,
        *_GRAINS,
        *settings_.COMMANDS,
    }
)
"""Commands answered here; all others are in `commands.COMMANDS`."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a command came to.

    `place` is where the maker is after it; `state` the state of the conversation; `contexts` what may be said now.
    `first` is said before the answer (hearsay after a long silence), `last` after it (a word about resting the hands).
    """

    accepted: bool
    answer: Answer
    place: PlaceView | None
    state: str
    contexts: frozenset[str]
    first: Hearsay | None = None
    last: RestHands | None = None


class Work:
    """One project. Make it with `Work.open`; use it as a context manager, or call `close`."""

    def __init__(
        self,
        layout: Layout,
        opening: Opening,
        state_dir: Path,
        clock: Callable[[], float],
        beyond: Mapping[str, Asked] | None = None,
    ) -> None:
        self.layout = layout
        self._beyond = beyond or {}
        self.state_dir = state_dir
        self.journal = opening.journal
        self._opening = opening
        self._story: Story = opening.story
        self._clock = clock
        self._turning = TurningPoints(layout)
        self._talk = Talk(opening.question)
        self._time = Timekeeper(clock())
        self.settings = settings_.load(state_dir)
        if self.view.held is not None:
            self._talk.signal(Signal.HOLD)
        if self._story.paused:
            self._talk.signal(Signal.PAUSE)

    @classmethod
    def open(
        cls,
        pattern: Pattern,
        state_dir: Path,
        *,
        path: Path | None = None,
        clock: Callable[[], float] = time.time,
        beyond: Mapping[str, Asked] | None = None,
    ) -> Work:
        """Opens the project of that pattern, or begins it.

        `path` is the pattern's file, by which the project is known; without one it is known by its content. `clock`
        gives seconds since 1970. `beyond` answers commands that the place cannot answer by itself. Raises `MakerError`:
        nothing to work, a folder that cannot be written, a project that is open in another session.
        """
        layout = Layout(pattern)
        return cls(layout, open_project(layout, state_dir, path, clock()), state_dir, clock, beyond)

    # --- what others read

    @property
    def view(self) -> View:
        """The project as it stands."""
        return View(self.layout, self._turning, self._story.progress, self._story.grain, self._clock())

    @property
    def piece_names(self) -> tuple[str, ...]:
        """Names that "go to ..." takes."""
        return self.layout.names

    @property
    def place(self) -> PlaceView:
        """The place as JSON has it."""
        return self.view.here.view()

    @property
    def state(self) -> State:
        """The state of the conversation when no reply sounds."""
        return self._talk.state

    @property
    def contexts(self) -> frozenset[str]:
        """What may be said now."""
        return self._talk.contexts(held=self.view.held is not None)

    @property
    def depth(self) -> int:
        """How many entries can be undone: the measure by which the session takes back what was misheard."""
        return len(self._story.past)

    @property
    def sounding(self) -> bool:
        """Whether a reply sounds, as the session told."""
        return self._talk.sounding

    def speaking(self, sounds: bool) -> None:
        """Told by the session: a reply begins to sound, or is over."""
        self._talk.speaking(sounds, self._clock())

    def opening(self) -> Outcome:
        """What is said at the start."""
        answer = self._opening.answer(self.view, self._clock())
        self._talk.answer = answer
        if not self._story.paused:
            self._settle(self._opening)
        return self._outcome(True, answer)

    # --- commands

    def handle(self, name: str, slots: Mapping[str, int | str] | None = None) -> Outcome:
        """Does what was said. Nothing moves unless `accepted`; an accepted move is on disk when this returns."""
        slots = slots or {}
        now = self._clock()
        self.speaking(False)
        lapsed = self._talk.lapse(now)
        state = self.state
        if state is State.OFF:
            return self._outcome(False, refused(self.view, Reason.ENDED, name).answer)
        if state is State.PAUSED and name not in THROUGH_A_PAUSE:
            silent = name in SILENCERS
            return self._outcome(False, Silenced() if silent else refused(self.view, Reason.PAUSED, name).answer)
        first, last = self._time.heard(
            now, self.view.here, paused=state is State.PAUSED, rest_minutes=self.settings.rest_minutes
        )
        try:
            result = self._dispatch(name, slots, now, lapsed)
        except JournalError as error:
            result = refused(self.view, Reason.NOT_SAVED, name, name=str(error))
        if name not in KEEPS_THE_QUESTION:
            self._talk.answered(name, result.answer)
        return self._outcome(result.accepted, result.answer, first, last)

    def _dispatch(self, name: str, slots: Slots, now: float, lapsed: bool) -> Result:
        if name in ("yes", "no"):
            return self._reply(name, now, lapsed)
        if name in KEEPS_THE_QUESTION:
            return self._chat(name, now)
        if name not in WORK_COMMANDS and name not in COMMANDS and name not in self._beyond:
            return refused(self.view, Reason.UNKNOWN_COMMAND, name)
        match name:
            case "undo" | "redo":
                result = self._undo(now) if name == "undo" else self._redo(now)
                self._settle()
            case "pause" | "resume" | "goodbye":
                result = self._leave_or_return(name, now)
            case "where_am_i":
                result = Result(self._where())
                if self.state is not State.PAUSED:
                    self._settle()
            case _ if name in _GRAINS:
                result = self._set_grain(_GRAINS[name], name, now)
                self._settle()
            case _ if name in settings_.COMMANDS:
                result = self._set(name, slots)
                self._settle()
            case _ if name in elsewhere.ELSEWHERE:
                result = elsewhere.answer(
                    name,
                    slots,
                    self.view,
                    settings=self.settings,
                    tracks=self._story.tracks,
                    state_dir=self.state_dir,
                    journal=self.journal.path,
                )
                self._settle()
            case _ if name in self._beyond:
                result = self._beyond[name](self.view, slots)
                self._settle()
            case _:
                result = COMMANDS[name](self.view, slots)
                self._keep(result, name, slots, now)
                self._settle(result)
        return result

    def _keep(self, result: Result, name: str, slots: Slots, now: float) -> None:
        if result.change is not None:
            self._story.apply(self.journal.append(now, "did", name, slots, result.change))

    def _talk_event(self, kind: EventKind, name: str, now: float, slots: Slots | None = None) -> None:
        self._story.apply(self.journal.append(now, kind, name, slots or {}))

    # --- questions that stay open

    def _reply(self, name: str, now: float, lapsed: bool) -> Result:
        question = self._talk.question
        if question is None:
            if lapsed:
                return Result(NotDone(self.view.here, lapsed=True), accepted=False)
            return refused(self.view, Reason.NOTHING_ASKED, name)
        result = question.yes if name == "yes" else question.no
        if result is None:
            return Result(Again(self._talk.answer or self._where(), 1), accepted=False)
        self._keep(result, question.command, question.slots, now)
        self._settle(result)
        return result

    def lapse(self) -> Outcome | None:
        """Called by the session's own clock: the open question is over if its time is up, and the outcome says so."""
        if self._talk.lapse(self._clock()):
            return self._outcome(True, NotDone(self.view.here, lapsed=True))
        return None

    def _settle(self, left: Result | Opening | None = None) -> None:
        """The state after a command, with the question that it left open."""
        self._talk.settle(self._clock(), held=self.view.held is not None, question=left.question if left else None)

    # --- undo, talk, pauses

    def _undo(self, now: float) -> Result:
        before = self.view.here
        if not self._story.past:
            return Result(NothingToUndo(before), accepted=False)
        entry = self._story.past[-1]
        self._talk_event("undo", "undo", now)
        return Result(Undone(entry.command, entry.said, before, self.view.here, len(self._story.past)))

    def _redo(self, now: float) -> Result:
        before = self.view.here
        if not self._story.future:
            return Result(NothingToRedo(before), accepted=False)
        entry = self._story.future[-1]
        self._talk_event("redo", "redo", now)
        return Result(Redone(entry.command, entry.said, before, self.view.here, len(self._story.future)))

    def _chat(self, name: str, now: float) -> Result:
        self._talk.ask_anew(now)
        match name:
            case "say_again" | "say_slowly":
                self._talk.again += 1
                return Result(Again(self._talk.answer or self._where(), self._talk.again))
            case "spell":
                return Result(Spelled(self._talk.answer or self._where()))
            case _ if name in SILENCERS:
                return Result(Silenced())
            case "help":
                return Result(Helped(self.state, self.contexts))
            case _:
                return self._set(name, {})

    def _set(self, name: str, slots: Slots) -> Result:
        new, answer = settings_.changed(self.settings, name, slots)
        try:
            settings_.save(self.state_dir, new)
        except OSError as error:
            raise JournalError(f"The setting could not be saved ({error}).") from error
        self.settings = new
        return Result(answer)

    def _set_grain(self, grain: str, name: str, now: float) -> Result:
        self._talk_event("grain", name, now, {"grain": grain})
        view = self.view
        reading = None if view.here.full else view.reading(view.progress.place)
        return Result(SettingChanged("grain", grain, reading=reading))

    def _where(self) -> WhereAmI:
        hold = self.view.held
        return WhereAmI(self.view.here, self.state, hold.turning if hold else None)

    def _leave_or_return(self, name: str, now: float) -> Result:
        view = self.view
        hold = view.held
        turning = hold.turning if hold else None
        ahead = view.ahead(view.progress.place)
        if name == "resume" and self.state is not State.PAUSED:
            self._settle()
            return Result(Resumed(view.here, 0, ahead, turning))
        since = self._story.last_at
        if name == "goodbye":
            self._talk_event("ended", name, now)
            self._talk.leave(Signal.END, held=hold is not None)
            return Result(Saved(view.here))
        if name == "pause":
            self._talk_event("pause", name, now)
            self._talk.leave(Signal.PAUSE, held=hold is not None)
            return Result(Paused(view.here))
        self._talk_event("resume", name, now)
        self._talk.signal(Signal.RESUME)
        minutes = max(0, int((now - since) // 60)) if since is not None else 0
        return Result(Resumed(view.here, minutes, ahead, turning))

    def _outcome(
        self, accepted: bool, answer: Answer, first: Hearsay | None = None, last: RestHands | None = None
    ) -> Outcome:
        return Outcome(accepted, answer, self.place, self.state.value, self.contexts, first, last)

    def close(self) -> None:
        """Lets go of the journal. Everything is on disk already."""
        self.journal.close()

    def __enter__(self) -> Work:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()
