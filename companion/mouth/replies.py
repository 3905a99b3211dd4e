"""Replies spoken sentence by sentence, and those likely to be next made ready in quiet moments.

The first sentence of a reply is heard while the second is still being rendered. Between replies, sentences that may be
asked for next are rendered ahead, so that the answer starts at once.
"""

from __future__ import annotations

import re
import threading
from collections import deque
from collections.abc import Callable, Iterable
from typing import Protocol

from companion.mouth.line import Playback
from companion.mouth.sound import Sound, joined, silence
from companion.mouth.voice import MouthError, Voice

_PAUSE = 0.25  # seconds between two sentences
_SENTENCE_END = re.compile(r"(?<=[.!?])\s+(?=\S)")


class Out(Protocol):
    """Where replies are played: the loudspeaker."""

    def play(self, sound: Sound) -> Playback: ...

    def stop(self) -> None: ...


def sentences(text: str) -> tuple[str, ...]:
    """The text in its sentences: cut after a full stop, question mark or exclamation mark that a space follows."""
    return tuple(part for part in _SENTENCE_END.split(text.strip()) if part)


class Replies:
    """Speaks replies through one voice. Use as a context manager, or call `close`, to end its one thread.

    trouble: told the one sentence of an error that happens while the rest of a reply is rendered.
    """

    def __init__(self, voice: Voice, out: Out, trouble: Callable[[str], None] = lambda message: None) -> None:
        self._voice = voice
        self._out = out
        self._trouble = trouble
        self._rest: deque[tuple[str, float]] = deque()
        self._ahead: deque[tuple[str, float]] = deque()
        self._wake = threading.Condition()
        self._closed = False
        self._thread = threading.Thread(target=self._work, name="replies", daemon=True)
        self._thread.start()

    def __enter__(self) -> Replies:
        """Gives itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """Ends the thread."""
        self.close()

    def say(self, text: str, *, rate: float = 1.0, before: Sound | None = None) -> Playback:
        """Stops what is being said and says this; returns when its first sentence is on its way.

        rate: speed, 1.0 ordinary. before: a tone heard first. Raises MouthError where the first sentence fails.
        """
        first, *rest = sentences(text) or ("",)
        sound = self._voice.render(first, rate=rate)
        if before is not None:
            sound = joined([before.at_rate(sound.rate), sound])
        with self._wake:
            self._rest.clear()
            self._ahead.clear()
            self._out.stop()
            playback = self._out.play(sound)
            self._rest.extend((sentence, rate) for sentence in rest)
            self._wake.notify()
        return playback

    def stop(self) -> None:
        """Silence; the rest of the reply is dropped."""
        with self._wake:
            self._rest.clear()
            self._out.stop()

    @property
    def unfinished(self) -> bool:
        """Whether sentences of the reply have yet to be rendered."""
        with self._wake:
            return bool(self._rest)

    def expect(self, texts: Iterable[str], *, rate: float = 1.0) -> None:
        """These replies may be next: their first sentences are made ready, the likeliest first. Earlier ones lapse."""
        with self._wake:
            self._ahead = deque((sentences(text)[0], rate) for text in texts if text.strip())
            self._wake.notify()

    def close(self) -> None:
        """Ends the thread; what is being played plays on."""
        with self._wake:
            self._closed = True
            self._rest.clear()
            self._ahead.clear()
            self._wake.notify()
        self._thread.join()

    def _work(self) -> None:
        while True:
            with self._wake:
                while not (self._rest or self._ahead or self._closed):
                    self._wake.wait()
                if self._closed:
                    return
                spoken = bool(self._rest)
                sentence, rate = self._rest[0] if spoken else self._ahead.popleft()
            try:
                sound = self._voice.render(sentence, rate=rate)
            except MouthError as error:
                with self._wake:
                    self._rest.clear()
                if spoken:
                    self._trouble(str(error))
                continue
            if spoken:
                with self._wake:
                    # Meanwhile the maker may have cut in, and another reply have taken its place.
                    if self._rest and self._rest[0] == (sentence, rate):
                        self._rest.popleft()
                        self._out.play(joined([silence(_PAUSE, sound.rate), sound]))
