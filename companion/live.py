"""Any talk aloud: the microphone listens, the loudspeaker answers, and either may break in on the other.

The loop does one thing after the other, a frame of 32 ms at a time. When the maker begins to speak while the companion
does, speech is held within that frame, before it is sure that it is a voice. If it was meant for the companion, the
held reply is dropped; a knock, a cough or a word to somebody else lets it go on from a little before.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from dataclasses import replace
from typing import Protocol

from companion import settings as machine
from companion.aloud import Aloud, opened_aloud
from companion.ear.decide import Verdict
from companion.ear.recordings import keep_recording
from companion.ear.stream import Listener, Utterance
from companion.ear.voice import FRAME_SECONDS
from companion.errors import MakerError
from companion.garbage import collect
from companion.mouth.tones import Tone, tone
from companion.mouth.voice import MouthError, next_voice
from companion.phrases.attention import ATTENTION
from companion.phrases.book import Book
from companion.place.settings import Settings as TalkSettings
from companion.screen import Screen, choose_screen
from companion.session import Session
from companion.settings import Settings, SettingsError, recordings_folder
from companion.turn import Turn
from companion.wording.speaker import together

_LONGEST_REPLY = 60.0  # seconds waited for the last words before the devices are given back
_STARTS_WITHIN = 0.3  # seconds in which a reply begins to sound; one that does not is shown all the same
_SLOWLY = 0.7  # of the usual speed, for what is said again slowly


class Talk(Protocol):
    """What is talked about: the work on a pattern, or a pattern being taken down."""

    @property
    def phrasebook(self) -> Book:
        """What may be said at all. Where it becomes another, a new listener is needed."""
        ...

    @property
    def called(self) -> Book:
        """The same with the maker's attention word, where there is one; what the ear listens with."""
        ...

    @property
    def contexts(self) -> frozenset[str]:
        """What may be said now."""
        ...

    @property
    def settings(self) -> TalkSettings:
        """How fast and how loud it is spoken."""
        ...

    @property
    def state(self) -> str:
        """The state of the talk; "paused" and "held" have a tone of their own."""
        ...

    @property
    def over(self) -> bool:
        """Whether nothing more is to be heard."""
        ...

    @property
    def where(self) -> str:
        """Where the talk stands, in words, for the screen."""
        ...

    def heard(self, verdict: Verdict) -> Sequence[Turn]:
        """The turns of an utterance that the ear judged; none where it was not meant for us."""
        ...

    def pressed(self, words: str) -> Sequence[Turn]:
        """The turns of a key that stands for these words."""
        ...

    def take_back(self) -> None:
        """Undoes what the last utterance did, unspoken."""
        ...

    def due(self) -> Turn | None:
        """News that nobody asked for, else None."""
        ...

    def speaking(self, sounds: bool) -> None:
        """To be told when a reply begins to sound and when it is over."""
        ...

    def news(self, happened: str) -> str:
        """What to say of something that happened to the sound, such as "microphone_lost"."""
        ...

    def likely(self) -> Sequence[str]:
        """Replies to what may well be said next."""
        ...


class Conversation:
    """Everything that hears, answers and shows, tied together for one evening."""

    def __init__(self, session: Talk, aloud: Aloud, listener: Listener, screen: Screen) -> None:
        self._session = session
        self._aloud = aloud
        self._audio = aloud.audio
        self._replies = aloud.replies
        self._keys = aloud.keys
        self._listener = listener
        self._screen = screen
        self._state = session.state
        self._heard: Verdict | None = None
        self._sounding = False
        self._ready = True
        self._collected = False

    def run(self, opening: Turn | None = None) -> None:
        """Talks until it is over, or needs a listener for other phrases. `opening` is said first."""
        self._aloud.settle(self._listener)
        if opening is not None:
            self._answer(opening, None)
        book = self._session.phrasebook
        while not self._session.over and self._session.phrasebook is book:
            self._step()
        self._finish()

    def _step(self) -> None:
        """One frame: what was pressed, what was heard, what happened to the devices, whose time is up, the beat."""
        self._note_sounding()
        self._listener.contexts, self._listener.phrasebook = self._session.contexts, self._session.called
        self._listener.prepare()
        for words in self._keys.pressed():
            self._audio.stop()
            for turn in self._session.pressed(words):
                self._answer(turn, time.monotonic())
        frame = self._audio.read()
        # Of a reply that is held because somebody may have begun to speak, they speak beside it all the same.
        self._listener.beside_own_voice = self._audio.playing or self._audio.holding
        for happened in self._audio.news():
            self._tell(self._session.news(happened))
        if frame is not None:
            joined = self._listener.joining is not None
            for utterance in self._listener.feed(frame):
                self._react(utterance, joined)
            self._break_in()
        news = None if self._listener.notices_voice else self._session.due()
        if news:
            self._answer(news, None)
        self._make_ready()
        self._free_memory()

    def _break_in(self) -> None:
        """Holds the reply while the maker speaks or may begin to, and goes on with it where it was not cut off."""
        if self._listener.notices_voice or self._aloud.activity.may_begin:
            if self._audio.playing:
                self._audio.hold()
        elif self._audio.holding:
            self._audio.go_on()

    def _react(self, utterance: Utterance, joined: bool) -> None:
        """joined: the utterance holds the one before it, which is being answered, and what was said after that."""
        before, self._heard = self._heard, utterance.verdict
        self._collected = False
        if joined and before is not None and _same(before, utterance.verdict):
            return  # nothing was added to it but a breath or a noise; the answer goes on
        # By the time of the frame that decided, not by the clock: decoding may have taken long since.
        ended = self._audio.heard_at - (utterance.decided - utterance.ended) * FRAME_SECONDS
        if joined:
            self._replies.stop()
        if utterance.takes_back is not None:
            self._session.take_back()
        if self._aloud.settings.keep_recordings and utterance.verdict.decision == "refuse":
            keep_recording(utterance.sound, recordings_folder())
        for turn in self._session.heard(utterance.verdict):
            self._answer(turn, ended)

    def _answer(self, turn: Turn, since: float | None) -> None:
        """Says a turn's reply, or beeps it, and shows it. since: when the maker's last word ended."""
        started: float | None = None
        last_words = self._aloud.settings.answers  # of a maker who wants to hear no more, the answer is still spoken
        turn = self._changed_by(turn)
        signal_tone = self._tone_for(turn)
        self._replies.stop()
        if turn.reply and "voice" in (last_words, self._aloud.settings.answers):
            started = self._say(turn.reply, signal_tone, slowly=turn.command == "say_slowly")
        elif signal_tone and self._aloud.settings.answers != "print":
            playback = self._audio.play(tone(signal_tone))
            playback.started.wait(_STARTS_WITHIN)
            started = playback.started_at
        latency = None if since is None or started is None else round((started - since) * 1000)
        self._screen.turn(turn, self._session.where, latency)
        self._ready = self._collected = False

    def _changed_by(self, turn: Turn) -> Turn:
        """Does what a turn asks of voice, tones and answers, and keeps it; the turn as it is to be answered then."""
        if turn.command is None or not turn.accepted:
            return turn
        changes = machine.spoken(turn.command, turn.slots)
        try:
            if turn.command == "another_voice":
                voice = next_voice(self._aloud.voice.names(), self._aloud.settings.voice)
                if voice is None:
                    return replace(turn, accepted=False, reply=self._session.news("no_other_voice"))
                changes["voice"] = self._aloud.voice.name = voice
            if changes:
                self._aloud.settings = self._aloud.settings.model_copy(update=changes)
                machine.remember(changes)
        except (MouthError, SettingsError) as error:
            self._screen.tell(str(error))
        return turn

    def _say(self, text: str, before: Tone | None = None, *, slowly: bool = False) -> float | None:
        """When the first sample went to the loudspeaker; None where the voice failed, which is shown."""
        self._audio.volume = decibels(self._session.settings.volume)
        rate = self._rate * (_SLOWLY if slowly else 1.0)
        try:
            playback = self._replies.say(text, rate=rate, before=tone(before) if before else None)
        except MouthError as error:
            self._screen.tell(str(error))
            return None
        playback.started.wait(_STARTS_WITHIN)
        return playback.started_at

    def _tell(self, sentence: str) -> None:
        """News of the devices: shown, and said where that is possible."""
        self._screen.tell(sentence)
        if self._aloud.settings.answers == "voice":
            self._say(sentence)

    def _tone_for(self, turn: Turn) -> Tone | None:
        """The tone that goes with a turn: of all in the quiet mode, else only those that a reply does not replace."""
        if not self._aloud.settings.tones:
            return None
        before, self._state = self._state, turn.state
        if turn.state != before and turn.state in ("paused", "held"):
            return "paused" if turn.state == "paused" else "turning_point"
        if turn.command == ATTENTION.name:
            return "heard"
        if self._aloud.settings.answers == "voice" or turn.heard is None:
            return None
        return "heard" if turn.accepted else "not_understood"

    @property
    def _sounds(self) -> bool:
        return self._audio.playing or self._audio.holding or self._replies.unfinished

    def _note_sounding(self) -> None:
        sounding = self._sounds
        if sounding != self._sounding:
            self._sounding = sounding
            self._session.speaking(sounding)

    def _make_ready(self) -> None:
        """Renders what may be asked for next while the reply is heard; not while the one before goes on."""
        if not self._ready and not self._sounding and self._aloud.settings.answers == "voice":
            self._replies.expect(self._session.likely(), rate=self._rate)
            self._ready = True

    def _free_memory(self) -> None:
        """Once after every utterance and reply, where nobody speaks."""
        if not self._collected and not self._sounds and not self._listener.notices_voice:
            collect()
            self._collected = True

    @property
    def _rate(self) -> float:
        return self._session.settings.speed / 100

    def _finish(self) -> None:
        """Lets the last words be heard, whoever speaks over them."""
        self._audio.go_on()
        end = time.monotonic() + _LONGEST_REPLY
        while (self._replies.unfinished or self._audio.playing) and time.monotonic() < end:
            self._audio.read(0.05)  # which also notices that the loudspeaker is gone
        self._audio.wait(0.0)  # the last of it is still on its way to the loudspeaker


def _same(one: Verdict, other: Verdict) -> bool:
    """Whether the same was understood, and the same is to be done about it."""
    return one.decision == other.decision and one.commands == other.commands and bool(one.commands)


def decibels(percent: int) -> float:
    """The change of level for a volume in per cent: 100 is none, 200 six decibels more, 20 sixteen less.

    Half as loud to the ear is ten decibels (common practice after Stevens' sone scale), a third of it is spread over
    the range that a maker can set.
    """
    return 20.0 * math.log10(percent / 100) if percent >= 100 else 23.0 * math.log10(percent / 100)


def work_aloud(
    path: str,
    open_project: Callable[[str], Session],
    *,
    ear: str = "auto",
    as_json: bool = False,
    settings: Settings | None = None,
) -> None:
    """The hands-free session: this pattern, and then whichever project the maker asks for, until goodbye.

    A project that cannot be opened is told aloud, and the one before goes on. Raises `MakerError` at the beginning: a
    pattern that cannot be worked, no microphone, no loudspeaker, no voice, no speech model.
    """
    chosen = settings or Settings()
    with ExitStack() as stack:
        session = stack.enter_context(open_project(path))
        screen = choose_screen(as_json=as_json, plain=chosen.plain or chosen.answers == "print")
        aloud = stack.enter_context(opened_aloud(chosen, ear, trouble=screen.tell))
        stack.enter_context(screen)
        trouble = ""
        while True:
            before = together(trouble, session.listen_for(aloud.settings.attention or ""))
            with aloud.listener(session.called, session.contexts) as listener:
                opening = session.opening()
                opening = replace(opening, reply=together(before, opening.reply))
                Conversation(session, aloud, listener, screen).run(opening)
            if not session.opens:
                return
            session.close()
            try:
                session, path, trouble = open_project(session.opens), session.opens, ""
            except MakerError as error:
                session, trouble = open_project(path), str(error)
            stack.enter_context(session)
