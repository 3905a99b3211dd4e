from __future__ import annotations

import contextlib
import io
import json
import os
import sys

import pytest

from companion.screen import JsonLines, Picture, PlainLines, choose_screen
from companion.session import Turn

TURN = Turn("i have done twelve", "have_done", {"stitches": 12}, True, "Twelve made, eighteen left.", "listening", None)


def test_plain_lines_are_only_ever_added() -> None:
    out = io.StringIO()
    screen = PlainLines(out)
    screen.turn(TURN, "round five, twelve made, eighteen left")
    screen.tell("The microphone is gone.")
    assert out.getvalue() == "You: i have done twelve\nTwelve made, eighteen left.\nThe microphone is gone.\n"
    assert "\x1b" not in out.getvalue()


def test_json_lines_carry_the_latency() -> None:
    out = io.StringIO()
    JsonLines(out).turn(TURN, "", 312)
    line = json.loads(out.getvalue())
    assert line["latency_ms"] == 312
    assert line["heard"] == "i have done twelve"


def test_the_picture_shows_where_what_was_heard_and_what_was_said(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("COLUMNS", "60")
    with Picture() as picture:
        picture.turn(TURN, "round five, twelve made, eighteen left")
        picture.tell("The microphone is gone.")
    shown = capsys.readouterr().out
    assert "round five, twelve made, eighteen left" in shown
    assert "You: i have done twelve" in shown
    assert "The microphone is gone." in shown


@pytest.mark.parametrize(
    ("terminal", "term", "plain", "kind"),
    [
        (True, "xterm-256color", False, Picture),
        (True, "xterm-256color", True, PlainLines),
        (True, "dumb", False, PlainLines),
        (False, "xterm-256color", False, PlainLines),
    ],
)
def test_plain_by_itself_where_a_picture_would_not_do(
    terminal: bool, term: str, plain: bool, kind: type, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys.stdout, "isatty", lambda: terminal, raising=False)
    monkeypatch.setenv("TERM", term)
    assert type(choose_screen(as_json=False, plain=plain)) is kind
    assert type(choose_screen(as_json=True, plain=plain)) is JsonLines


@pytest.mark.skipif(sys.platform == "win32", reason="terminals of Windows are another matter")
def test_a_terminal_that_is_closed_meanwhile_is_no_trouble(monkeypatch: pytest.MonkeyPatch) -> None:
    import pty

    ours, theirs = pty.openpty()
    told = False
    with contextlib.suppress(OSError), os.fdopen(theirs, "w") as terminal:  # closing it fails too
        monkeypatch.setattr(sys, "stdout", terminal)
        with Picture() as picture:
            picture.tell("The microphone is gone.")
            os.close(ours)
        told = True
    assert told
