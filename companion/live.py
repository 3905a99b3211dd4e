"""The session aloud: the microphone listens, the loudspeaker answers."""

from __future__ import annotations

import time
from contextlib import ExitStack

from companion.ear.choose import choose
from companion.ear.microphone import Microphone
from companion.ear.stream import Listener, Utterance
from companion.ear.voice import SileroVoiceActivity
from companion.mouth.player import Player
from companion.mouth.voice import Voice
from companion.session import Session, Turn


class Conversation:
    """Microphone, ear, session, voice and loudspeaker, tied together for one evening."""

    def __init__(
        self, session: Session, microphone: Microphone, listener: Listener, voice: Voice, player: Player
    ) -> None:
        self._session = session
        self._microphone = microphone
        self._listener = listener
        self._voice = voice
        self._player = player

    def run(self, *, as_json: bool) -> None:
        """Talks until goodbye."""
        self._say(self._session.opening(), as_json, None)
        while self._session.state != "off":
            self._listener.contexts = self._session.contexts
            frame = self._microphone.read(timeout=0.5)
            if frame is None:
                continue
            for utterance in self._listener.feed(frame.samples):
                self._react(utterance, as_json)
            lapsed = self._session.lapse()
            if lapsed:
                self._say(lapsed, as_json, None)
        self._player.wait()

    def _react(self, utterance: Utterance, as_json: bool) -> None:
        ended = time.monotonic()
        if utterance.takes_back is not None:
            self._player.stop()
            self._session.take_back()
        for turn in self._session.heard(utterance.verdict):
            self._say(turn, as_json, ended)

    def _say(self, turn: Turn, as_json: bool, since: float | None) -> None:
        self._player.stop()
        rate = self._session.settings.speed / 100
        playback = self._player.play(self._voice.render(turn.reply, rate=rate))
        playback.started.wait(1.0)
        latency = None if since is None else round((time.monotonic() - since) * 1000)
        print(turn.as_json(latency_ms=latency) if as_json else turn.reply, flush=True)


def converse_aloud(session: Session, *, ear: str, as_json: bool) -> None:
    """The hands-free session. Raises `MakerError`: no microphone, no loudspeaker, no voice, no speech model."""
    with ExitStack() as stack:
        name, recogniser = choose(ear)
        player = stack.enter_context(Player())
        microphone = stack.enter_context(Microphone())
        voice = stack.enter_context(Voice())
        activity = SileroVoiceActivity()
        listener = stack.enter_context(Listener(recogniser, session.phrasebook, activity, session.contexts, name))
        Conversation(session, microphone, listener, voice, player).run(as_json=as_json)
