"""A few keys that stand for spoken commands, so that a switch, a foot pedal or a page turner works as well as a voice.

Such devices send ordinary keys: space, enter, arrows, page up and page down. Screen readers keep Insert, Caps Lock, the
number pad and combinations with Control, Alt and Command for themselves; none of these is used. Any key may be given
another command in the settings.
"""

from __future__ import annotations

import contextlib
import os
import sys
import threading
from collections import deque
from collections.abc import Iterator, Mapping
from typing import Any, Self

KEYS: Mapping[str, str] = {
    "space": "next",
    "enter": "next",
    "right": "next",
    "page down": "next",
    "left": "back",
    "page up": "back",
    "n": "next stitch",
    "t": "tick",
    "l": "how many are left",
    "w": "where am i",
    "a": "say that again",
    "d": "done that",
    "u": "undo that",
    "p": "pause",
    "r": "resume",
    "y": "yes",
    "o": "no",
    "escape": "stop",
    "s": "stop",
    "h": "help",
    "q": "that's all for today",
}
"""Which key says what; a key is its letter or one of the names in `NAMES`."""

NAMES: Mapping[str, str] = {
    " ": "space",
    "\r": "enter",
    "\n": "enter",
    "\x1b": "escape",
    "\x1b[C": "right",
    "\x1b[D": "left",
    "\x1bOC": "right",
    "\x1bOD": "left",
    "\x1b[5~": "page up",
    "\x1b[6~": "page down",
}
"""What a terminal sends for keys that are no letters (ECMA-48 control sequences; VT220 for the page keys)."""

_WINDOWS_NAMES: Mapping[str, str] = {"\xe0M": "right", "\xe0K": "left", "\xe0I": "page up", "\xe0Q": "page down"}


def key_named(sent: str) -> str:
    """The name of the key for what the terminal sent, "" where it is none of ours."""
    if sent in NAMES:
        return NAMES[sent]
    return sent.lower() if len(sent) == 1 and sent.isprintable() else ""


class Keys:
    """Listens to the keyboard while a session runs. A context manager; where the input is no terminal it does nothing.

    commands: key name to the words it stands for.
    """

    def __init__(self, commands: Mapping[str, str] = KEYS) -> None:
        self._commands = {name.lower(): words for name, words in commands.items()}
        self._pressed: deque[str] = deque()
        self._undo = contextlib.ExitStack()
        self._ended = threading.Event()

    def __enter__(self) -> Self:
        """Begins to listen."""
        if sys.stdin is None or not sys.stdin.isatty():
            return self
        listen = self._listen_windows if sys.platform == "win32" else self._listen_terminal
        if sys.platform != "win32":
            self._undo.enter_context(_single_keys(sys.stdin.fileno()))
        thread = threading.Thread(target=listen, name="keys", daemon=True)
        thread.start()
        self._undo.callback(thread.join)
        self._undo.callback(self._ended.set)
        return self

    def __exit__(self, *_: object) -> None:
        """Gives the terminal back as it was."""
        self._undo.close()

    def pressed(self) -> tuple[str, ...]:
        """The words of the keys pressed since this was asked last."""
        words = []
        while self._pressed:
            words.append(self._pressed.popleft())
        return tuple(words)

    def press(self, sent: str) -> None:
        """A key, as the terminal sends it."""
        words = self._commands.get(key_named(sent))
        if words:
            self._pressed.append(words)

    def _listen_terminal(self) -> None:
        import select

        file = sys.stdin.fileno()
        while not self._ended.is_set():
            ready, _, _ = select.select([file], [], [], 0.2)
            if ready:
                # A key that is no letter comes as several characters in one read.
                try:
                    sent = os.read(file, 16).decode("utf-8", errors="ignore")
                except OSError:  # the terminal was closed
                    return
                if not sent:
                    return
                for key in (sent,) if sent.startswith("\x1b") else sent:
                    self.press(key)

    def _listen_windows(self) -> None:
        import msvcrt

        library: Any = msvcrt
        while not self._ended.wait(0.05):
            while library.kbhit():
                sent = library.getwch()
                if sent in ("\x00", "\xe0"):
                    name = _WINDOWS_NAMES.get("\xe0" + library.getwch(), "")
                    sent = next((code for code, known in NAMES.items() if known == name), "")
                self.press(sent)


@contextlib.contextmanager
def _single_keys(file: int) -> Iterator[None]:
    """Inside, the terminal hands over each key at once and does not print it; Ctrl-C works as ever."""
    import termios
    import tty

    before = termios.tcgetattr(file)
    tty.setcbreak(file)
    try:
        yield
    finally:
        with contextlib.suppress(termios.error):  # a terminal that was closed needs nothing back
            termios.tcsetattr(file, termios.TCSADRAIN, before)
