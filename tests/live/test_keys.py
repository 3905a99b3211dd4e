from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable
from typing import Any

import pytest

from companion.keys import KEYS, NAMES, Keys, key_named
from companion.phrases.phrasebook import Phrasebook


def test_every_key_says_something_that_is_understood() -> None:
    book = Phrasebook()
    for key, words in KEYS.items():
        assert book.parse(words), f"{key} says {words!r}"


def test_single_switches_pedals_and_page_turners_move_the_work() -> None:
    # They send ordinary keys: space, enter, the arrows, page up and page down.
    book = Phrasebook()
    for key in ("space", "enter", "right", "page down"):
        assert book.parse(KEYS[key])[0].name == "next"
    for key in ("left", "page up"):
        assert book.parse(KEYS[key])[0].name == "back"


def test_no_key_belongs_to_a_screen_reader() -> None:
    # Insert, Caps Lock and the number pad are the screen readers'; so are combinations (common practice, no source).
    for key in KEYS:
        assert key in NAMES.values() or (len(key) == 1 and key.isalpha()), key


@pytest.mark.parametrize(
    ("sent", "name"), [(" ", "space"), ("\x1b[6~", "page down"), ("N", "n"), ("\x1b", "escape"), ("\x01", "")]
)
def test_what_a_terminal_sends_is_named(sent: str, name: str) -> None:
    assert key_named(sent) == name


def test_keys_can_be_changed() -> None:
    keys = Keys({"F": "go back two rounds"})
    keys.press("f")
    keys.press(" ")
    assert keys.pressed() == ("go back two rounds",)
    assert keys.pressed() == ()


@pytest.mark.skipif(sys.platform == "win32", reason="terminals of Windows are another matter")
def test_keys_of_a_real_terminal_arrive_and_it_is_left_as_it_was(monkeypatch: pytest.MonkeyPatch) -> None:
    import pty
    import termios

    ours, theirs = pty.openpty()
    before = termios.tcgetattr(theirs)
    with os.fdopen(theirs, "r") as terminal:
        monkeypatch.setattr(sys, "stdin", terminal)
        with Keys() as keys:
            assert not termios.tcgetattr(terminal.fileno())[3] & termios.ICANON, "each key comes at once"
            os.write(ours, b" ")
            assert waited_for(lambda: keys.pressed()) == ("next",)
            os.write(ours, b"\x1b[5~")
            assert waited_for(lambda: keys.pressed()) == ("back",)
        assert termios.tcgetattr(terminal.fileno()) == before
    os.close(ours)


@pytest.mark.skipif(sys.platform == "win32", reason="terminals of Windows are another matter")
def test_a_terminal_that_is_closed_meanwhile_is_no_trouble(monkeypatch: pytest.MonkeyPatch) -> None:
    import pty

    ours, theirs = pty.openpty()
    with os.fdopen(theirs, "r") as terminal:
        monkeypatch.setattr(sys, "stdin", terminal)
        with Keys() as keys:
            os.close(ours)
            time.sleep(0.3)
            assert keys.pressed() == ()


def waited_for(value: Callable[[], Any]) -> Any:
    end = time.monotonic() + 3.0
    while time.monotonic() < end:
        found = value()
        if found:
            return found
        time.sleep(0.02)
    return value()
