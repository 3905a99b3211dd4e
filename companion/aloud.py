"""What every talk aloud is made of: voice, microphone, loudspeaker, keys and ear, opened and closed together.

Devices are opened before the ear, whose model takes a second or two to load. What the microphone hears meanwhile tells
the ear how loud the room is, so that the first words are not kept waiting for it.
"""

from __future__ import annotations

import contextlib
import signal
import sys
import time
from collections.abc import Callable, Collection, Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from typing import TYPE_CHECKING

from companion.audio import Audio
from companion.ear.choose import choose
from companion.ear.own_voice import OthersVoice
from companion.ear.recogniser import Recogniser
from companion.ear.stream import Listener
from companion.ear.voice import FRAME_SECONDS, SileroVoiceActivity
from companion.garbage import collected_in_the_quiet
from companion.keys import Keys
from companion.mouth.replies import Replies
from companion.mouth.voice import Voice
from companion.settings import Settings

if TYPE_CHECKING:
    from companion.phrases.book import Book

SETTLING = 1.0
"""Seconds in which a new listener learns how loud the room is."""


@dataclass(slots=True)
class Aloud:
    """The devices, the voice and the ear of one evening, and the machine's settings, which may change by voice."""

    settings: Settings
    voice: Voice
    audio: Audio
    replies: Replies
    keys: Keys
    ear: str
    recogniser: Recogniser
    activity: OthersVoice

    def listener(self, book: Book, contexts: Collection[str]) -> Listener:
        """A listener for the sentences of that book; close it. Run `settle` before anything is spoken."""
        self.activity.forget()
        return Listener(self.recogniser, book, self.activity, contexts, self.ear, settling=SETTLING)

    def settle(self, listener: Listener) -> None:
        """Lets the listener learn the room; takes no longer than that needs, and less where sound is waiting."""
        end = time.monotonic() + 1.5 * SETTLING
        for _ in range(round(SETTLING / FRAME_SECONDS)):
            frame = self.audio.read(0.1)
            if frame is not None:
                listener.feed(frame)
            if time.monotonic() > end:
                return


@contextlib.contextmanager
def opened_aloud(settings: Settings, ear: str, trouble: Callable[[str], None]) -> Iterator[Aloud]:
    """Opens all of it; closed at the end of the block, however that comes.

    trouble: told the one sentence of an error that happens while a reply is spoken. Raises `MakerError`: no microphone,
    no loudspeaker, no voice, no speech model.
    """
    with ExitStack() as stack:
        stack.enter_context(_ended_by_the_system())
        stack.enter_context(collected_in_the_quiet())
        # The loudspeaker's thread must not wait long for a decoder that is written in Python.
        stack.callback(sys.setswitchinterval, sys.getswitchinterval())
        sys.setswitchinterval(0.001)
        voice = stack.enter_context(Voice(settings.voice))
        audio = stack.enter_context(
            Audio(
                microphone=settings.microphone,
                loudspeaker=settings.loudspeaker,
                headphones=bool(settings.headphones),
            )
        )
        name, recogniser = choose(ear)
        activity = OthersVoice(SileroVoiceActivity(), lambda: audio.only_own)
        replies = stack.enter_context(Replies(voice, audio, trouble=trouble))
        keys = stack.enter_context(Keys(settings.keys))
        yield Aloud(settings, voice, audio, replies, keys, name, recogniser, activity)


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
