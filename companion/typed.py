"""The session in writing: one utterance a line in, the reply out."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from companion import settings
from companion.session import Session, Turn


def work_typed(path: str, open_project: Callable[[str], Session], lines: Iterable[str], *, as_json: bool) -> None:
    """This pattern, and then whichever project is asked for, until goodbye or the last line. Raises `MakerError`."""
    left = iter(lines)
    while path:
        with open_project(path) as session:
            converse(session, left, as_json=as_json)
            path = session.opens


def converse(session: Session, lines: Iterable[str], *, as_json: bool) -> None:
    """Takes one utterance a line until the session is over or the lines end; prints a turn as it comes."""
    _show(session.opening(), as_json)
    for line in lines:
        if not line.strip():
            continue
        for turn in session.typed(line.strip()):
            settings.remember_spoken(turn)
            _show(turn, as_json)
        if session.over:
            return


def _show(turn: Turn, as_json: bool) -> None:
    text = turn.as_json() if as_json else turn.reply
    if text:
        print(text, flush=True)
