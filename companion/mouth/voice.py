"""The voice: sentences rendered to sound by a synthesiser in a process of its own, and kept for the next time."""

from __future__ import annotations

import contextlib
import json
import queue
import subprocess
import sys
import tempfile
import threading
from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Self

from companion.devices import OWN_GROUP
from companion.errors import MakerError
from companion.mouth.loudness import at_loudness
from companion.mouth.sound import Sound, silence
from companion.mouth.soundfile import SoundFileError, read_sound

CHILD = (sys.executable, "-m", "companion.mouth.render_child")
WORDS_PER_MINUTE = 170
"""Ordinary speed, in words a minute; 150 to 180 is usual for reading aloud (common practice, no source)."""
LOUDNESS = -20.0
"""Integrated loudness of every reply, in LUFS (ITU-R BS.1770)."""
_START_SECONDS = 10.0  # the first start of an interpreter on a cold disk
_KEPT_SECONDS = 600.0  # ten minutes of speech at 22 kHz are 53 MB
_MISSING = {
    "linux": "There is no voice, because espeak-ng is not installed. "
    "Run `sudo apt-get install espeak-ng` and start again.",
    "darwin": "There is no voice: the system's speech cannot be reached. "
    "Run `pip install --force-reinstall pyttsx3` and start again.",
    "win32": "There is no voice: the system's speech cannot be reached. "
    "Add a voice in Settings, Speech, and start again.",
}


class MouthError(MakerError):
    """Nothing can be spoken, or not this; the message is one sentence for the maker, with the next step."""


@dataclass(frozen=True, slots=True)
class VoiceName:
    """A voice the synthesiser has: its id, its name, the languages it speaks."""

    id: str
    name: str
    languages: tuple[str, ...]


class Voice:
    """Renders sentences in one voice. A context manager; also closes with the program.

    Thread-safe; sentences are rendered one after the other. What was rendered is kept, so that a sentence said or
    prepared before costs nothing.

    name: id, name or language of a voice ("en-us"), None for the system's own choice.
    words_per_minute: the speed that `rate=1.0` means.
    time_limit: seconds one sentence may take; then the process is ended and started anew, and the sentence tried once
    more.
    """

    def __init__(
        self,
        name: str | None = None,
        *,
        words_per_minute: int = WORDS_PER_MINUTE,
        loudness: float = LOUDNESS,
        time_limit: float = 3.0,
        child: Sequence[str] = CHILD,
    ) -> None:
        self.name = name
        self._words_per_minute = words_per_minute
        self._loudness = loudness
        self._time_limit = time_limit
        self._command = tuple(child)
        self._child: _Child | None = None
        self._lock = threading.Lock()
        self._kept: OrderedDict[tuple[str, str | None, int], Sound] = OrderedDict()
        self._folder = tempfile.TemporaryDirectory(prefix="companion-voice-")

    def __enter__(self) -> Self:
        """Starts the process, so that the first sentence does not wait for it. Raises MouthError."""
        try:
            self.start()
        except MouthError:
            self.close()
            raise
        return self

    def __exit__(self, *_: object) -> None:
        """Ends the process."""
        self.close()

    def start(self) -> None:
        """Starts the process where it does not run. Raises MouthError where there is no synthesiser."""
        with self._lock:
            self._running()

    def close(self) -> None:
        """Ends the process and forgets what was rendered. May be called twice."""
        with self._lock:
            self._end_child()
            self._kept.clear()
            self._folder.cleanup()

    def render(self, text: str, *, rate: float = 1.0) -> Sound:
        """The sentence as sound: no silence at its ends, at an even loudness, at the synthesiser's own sample rate.

        rate: speed, 1.0 ordinary, 0.7 slower. Empty text gives no sound. Raises MouthError.
        """
        words = " ".join(text.split())
        if not words:
            return silence(0.0, 22050)
        speed = max(60, min(450, round(self._words_per_minute * rate)))
        key = (words, self.name, speed)
        with self._lock:
            if key not in self._kept:
                self._kept[key] = self._rendered(words, speed)
                self._forget_oldest()
            self._kept.move_to_end(key)
            return self._kept[key]

    def has(self, text: str, *, rate: float = 1.0) -> bool:
        """Whether this sentence is kept already, so that `render` would answer at once."""
        speed = max(60, min(450, round(self._words_per_minute * rate)))
        return (" ".join(text.split()), self.name, speed) in self._kept

    def forget(self) -> None:
        """Forgets what was rendered."""
        with self._lock:
            self._kept.clear()

    def names(self) -> tuple[VoiceName, ...]:
        """Every voice the synthesiser has. Raises MouthError."""
        with self._lock:
            answer = self._asked({"voices": True})
        return tuple(VoiceName(v["id"], v["name"], tuple(v["languages"])) for v in answer["voices"])

    def _rendered(self, words: str, speed: int) -> Sound:
        # A new name each time, so that a file left by an earlier sentence is never taken for this one.
        with tempfile.NamedTemporaryFile(dir=self._folder.name, suffix=".wav", delete=False) as file:
            path = Path(file.name)
        path.unlink()
        try:
            self._asked({"text": words, "file": str(path), "rate": speed, "voice": self.name})
            sound = read_sound(path).without_silent_ends()
        except SoundFileError as error:
            raise MouthError(_nothing_for(words)) from error
        finally:
            path.unlink(missing_ok=True)
        # Signs alone ("—") may rightly be silent; a sentence with a letter or a digit in it may not.
        if not len(sound.samples) and any(letter.isalnum() for letter in words):
            raise MouthError(_nothing_for(words))
        return at_loudness(sound, self._loudness)

    def _asked(self, request: dict[str, Any]) -> dict[str, Any]:
        """The child's answer, from a second child where the first hangs or died."""
        for last in (False, True):
            child = self._running()
            try:
                answer = child.ask(request, self._time_limit)
            except _ChildLostError as lost:
                self._end_child()
                if last:
                    raise MouthError("The voice stopped answering; start the companion again.") from lost
                continue
            if "error" in answer:
                raise MouthError(
                    f"The voice could not say that ({answer['error']}); choose another voice and try again."
                )
            return answer
        raise AssertionError("the second round returns or raises")

    def _running(self) -> _Child:
        if self._child is None:
            child = _Child(self._command)
            try:
                first = child.answer(_START_SECONDS)
            except _ChildLostError:
                first = {"error": "it did not start"}
            if "error" in first:
                child.end()
                raise MouthError(_MISSING.get(sys.platform, _MISSING["linux"]))
            self._child = child
        return self._child

    def _end_child(self) -> None:
        if self._child is not None:
            self._child.end()
            self._child = None

    def _forget_oldest(self) -> None:
        seconds = sum(sound.seconds for sound in self._kept.values())
        while seconds > _KEPT_SECONDS and len(self._kept) > 1:
            seconds -= self._kept.popitem(last=False)[1].seconds


def next_voice(voices: Sequence[VoiceName], present: str | None) -> str | None:
    """The id of the English voice after the present one, which may be known by id, name or language.

    The first one where the present one is unknown or the system's own choice; None where there is no other.
    """
    english = [voice for voice in voices if any(language.lower().startswith("en") for language in voice.languages)]
    for number, voice in enumerate(english):
        if present and present.casefold() in (voice.id.casefold(), voice.name.casefold(), *voice.languages):
            found = english[(number + 1) % len(english)].id
            return None if found == voice.id else found
    return english[0].id if len(english) > 1 else None


def _nothing_for(words: str) -> str:
    return f"The voice gave no sound for these words: {words!r}; choose another voice and try again."


class _ChildLostError(Exception):
    """The child hung, died or answered nonsense."""


class _Child:
    """The process and its two pipes. Answers are read by a thread, the one way to wait with a limit on every system."""

    def __init__(self, command: Sequence[str]) -> None:
        try:
            self._process = subprocess.Popen(
                command,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                encoding="utf-8",
                **OWN_GROUP,
            )
        except OSError as error:
            raise MouthError(
                f"The voice could not be started ({error.strerror}); install the companion again."
            ) from error
        self._answers: queue.SimpleQueue[str] = queue.SimpleQueue()
        threading.Thread(target=self._read, name="voice answers", daemon=True).start()

    def _read(self) -> None:
        assert self._process.stdout is not None
        for line in self._process.stdout:
            self._answers.put(line)
        self._answers.put("")

    def ask(self, request: dict[str, Any], seconds: float) -> dict[str, Any]:
        assert self._process.stdin is not None
        try:
            self._process.stdin.write(json.dumps(request) + "\n")
            self._process.stdin.flush()
        except OSError as error:
            raise _ChildLostError("died") from error
        return self.answer(seconds)

    def answer(self, seconds: float) -> dict[str, Any]:
        try:
            answer = json.loads(self._answers.get(timeout=seconds))
        except queue.Empty as error:
            raise _ChildLostError("hung") from error
        except ValueError as error:
            raise _ChildLostError("died") from error
        if not isinstance(answer, dict):
            raise _ChildLostError("answered nonsense")
        return answer

    def end(self) -> None:
        self._process.kill()
        self._process.wait()
        for pipe in (self._process.stdin, self._process.stdout):
            if pipe is not None:
                # What was still in the buffer has no reader any more.
                with contextlib.suppress(OSError):
                    pipe.close()
