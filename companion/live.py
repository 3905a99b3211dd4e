"""The session aloud: the microphone listens, the loudspeaker answers, and either may break in on the other.

The loop does one thing after the other, a frame of 32 ms at a time. When the maker begins to speak while the companion
does, speech is held within that frame. If it was meant for the companion, the held reply is dropped; a cough or a word
to somebody else lets it go on from a little before.
"""

from __future__ import annotations

import contextlib
import math
import os
import signal
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack

from companion.audio import Audio
from companion.ear.choose import choose
from companion.ear.recordings import keep_recording
from companion.ear.stream import Listener, Utterance
from companion.ear.voice import FRAME_SECONDS, SileroVoiceActivity
from companion.keys import Keys
from companion.mouth.replies import Replies
from companion.mouth.tones import Tone, tone
from companion.mouth.voice import MouthError, Voice
from companion.screen import Screen, choose_screen
from companion.session import Session, Turn
from companion.settings import Settings, recordings_folder

_LONGEST_REPLY = 60.0  # seconds waited for the last words before the devices are given back


class Conversation:
    """Everything that hears, answers and shows, tied together for one evening."""

    def __init__(
        self,
        session: Session,
        audio: Audio,
        listener: Listener,
        replies: Replies,
        screen: Screen,
        keys: Keys,
        settings: Settings,
    ) -> None:
        self._session = session
        self._audio = audio
        self._listener = listener
        self._replies = replies
        self._screen = screen
        self._keys = keys
        self._settings = settings
        self._state = session.state
        self._sounding = False
        self._ready = True

    def run(self) -> None:
        """Talks until goodbye."""
        self._answer(self._session.opening(), None)
        while not self._session.over:
            self._step()
        self._finish()

    def _step(self) -> None:
        """One frame: what was pressed, what was heard, what happened to the devices, whose time is up, the beat."""
        self._note_sounding()
        self._listener.contexts = self._session.contexts
        for words in self._keys.pressed():
            self._audio.stop()
            for turn in self._session.pressed(words):
                self._answer(turn, time.monotonic())
        frame = self._audio.read()
        for happened in self._audio.news():
            self._tell(self._session.wording.line(happened, place=self._where()))
        if frame is not None:
            for utterance in self._listener.feed(frame):
                self._react(utterance)
            self._break_in()
        news = None if self._listener.notices_voice else self._session.due()
        if news:
            self._answer(news, None)
        self._make_ready()

    def _break_in(self) -> None:
        """Holds the reply while the maker speaks, and goes on with it where it was not cut off."""
        if self._listener.notices_voice:
            if self._audio.playing:
                self._audio.hold()
        elif self._audio.holding:
            self._audio.go_on()

    def _react(self, utterance: Utterance) -> None:
        # By the time of the frame that decided, not by the clock: decoding may have taken long since.
        ended = self._audio.heard_at - (utterance.decided - utterance.ended) * FRAME_SECONDS
        if utterance.takes_back is not None:
            self._replies.stop()
            self._session.take_back()
        if self._settings.keep_recordings and utterance.verdict.decision == "refuse":
            keep_recording(utterance.sound, recordings_folder())
        for turn in self._session.heard(utterance.verdict):
            self._answer(turn, ended)

    def _answer(self, turn: Turn, since: float | None) -> None:
        """Says a turn's reply, or beeps it, and shows it. since: when the maker's last word ended."""
        started: float | None = None
        signal_tone = self._tone_for(turn)
        self._replies.stop()
        if turn.reply and self._settings.answers == "voice":
            started = self._say(turn.reply, signal_tone)
        elif signal_tone and self._settings.answers != "print":
            playback = self._audio.play(tone(signal_tone))
            playback.started.wait(1.0)
            started = playback.started_at
        latency = None if since is None or started is None else round((started - since) * 1000)
        self._screen.turn(turn, self._where(), latency)
        self._ready = False

    def _say(self, text: str, before: Tone | None = None) -> float | None:
        """When the first sample went to the loudspeaker; None where the voice failed, which is shown."""
        settings = self._session.settings
        self._audio.volume = decibels(settings.volume)
        try:
            playback = self._replies.say(text, rate=settings.speed / 100, before=tone(before) if before else None)
        except MouthError as error:
            self._screen.tell(str(error))
            return None
        playback.started.wait(1.0)
        return playback.started_at

    def _tell(self, sentence: str) -> None:
        """News of the devices: shown, and said where that is possible."""
        self._screen.tell(sentence)
        if self._settings.answers == "voice":
            self._say(sentence)

    def _tone_for(self, turn: Turn) -> Tone | None:
        """The tone that goes with a turn: of all in the quiet mode, else only those that a reply does not replace."""
        if not self._settings.tones:
            return None
        before, self._state = self._state, turn.state
        if turn.state != before and turn.state in ("paused", "held"):
            return "paused" if turn.state == "paused" else "turning_point"
        if self._settings.answers == "voice" or turn.heard is None:
            return None
        return "heard" if turn.accepted else "not_understood"

    def _note_sounding(self) -> None:
        sounding = self._audio.playing or self._audio.holding or self._replies.unfinished
        if sounding != self._sounding:
            self._sounding = sounding
            self._session.work.speaking(sounding)

    def _make_ready(self) -> None:
        """In the quiet after a reply, renders what may be asked for next."""
        if not self._ready and not self._sounding and self._settings.answers == "voice":
            self._replies.expect(self._session.likely(), rate=self._session.settings.speed / 100)
            self._ready = True

    def _where(self) -> str:
        return self._session.wording.place(self._session.work.view.here)

    def _finish(self) -> None:
        """Lets the last words be heard, whoever speaks over them."""
        self._audio.go_on()
        end = time.monotonic() + _LONGEST_REPLY
        while self._replies.unfinished and time.monotonic() < end:
            time.sleep(0.05)
        self._audio.wait(max(0.0, end - time.monotonic()))


def decibels(percent: int) -> float:
    """The change of level for a volume in per cent: 100 is none, 200 six decibels more, 20 sixteen less.

    Half as loud to the ear is ten decibels (common practice after Stevens' sone scale), a third of it is spread over
    the range that a maker can set.
    """
    return 20.0 * math.log10(percent / 100) if percent >= 100 else 23.0 * math.log10(percent / 100)


def converse_aloud(session: Session, *, ear: str, as_json: bool, settings: Settings | None = None) -> None:
    """The hands-free session. Raises `MakerError`: no microphone, no loudspeaker, no voice, no speech model."""
    chosen = settings or Settings()
    with ExitStack() as stack:
        stack.enter_context(_ended_by_the_system())
        stack.enter_context(_quiet_libraries())
        # The loudspeaker's callback must not wait long for a decoder that is written in Python.
        stack.callback(sys.setswitchinterval, sys.getswitchinterval())
        sys.setswitchinterval(0.001)
        name, recogniser = choose(ear)
        voice = stack.enter_context(Voice(chosen.voice))
        audio = stack.enter_context(
            Audio(
                microphone=chosen.microphone,
                loudspeaker=chosen.loudspeaker,
                headphones=bool(chosen.headphones),
            )
        )
        activity = SileroVoiceActivity()
        listener = stack.enter_context(Listener(recogniser, session.phrasebook, activity, session.contexts, name))
        screen = stack.enter_context(choose_screen(as_json=as_json, plain=chosen.plain or chosen.answers == "print"))
        replies = stack.enter_context(Replies(voice, audio, trouble=screen.tell))
        keys = stack.enter_context(Keys(chosen.keys))
        Conversation(session, audio, listener, replies, screen, keys, chosen).run()


@contextlib.contextmanager
def _ended_by_the_system() -> Iterator[None]:
    """Inside, closing the terminal or shutting down ends the session in its own order, like Ctrl-C."""

    def end(number: int, frame: object) -> None:
        sys.exit(0)

    before = {}
    for name in ("SIGTERM", "SIGHUP"):
        if hasattr(signal, name):
            number = getattr(signal, name)
            before[number] = signal.signal(number, end)
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


@contextlib.contextmanager
def _quiet_libraries() -> Iterator[None]:
    """Inside, what sound libraries print about themselves goes nowhere; the program's own errors still come through.

    PortAudio and ALSA write straight to file descriptor 2, into the picture and into what a screen reader reads.
    """
    real = os.dup(2)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    python, sys.stderr = sys.stderr, os.fdopen(real, "w", buffering=1, encoding="utf-8", errors="replace")
    os.dup2(nowhere, 2)
    try:
        yield
    finally:
        os.dup2(real, 2)
        sys.stderr.flush()
        sys.stderr = python
        os.close(nowhere)
