"""The session in writing: one utterance a line in, the reply out."""

from __future__ import annotations

from collections.abc import Iterable

from companion.session import Session, Turn


def converse(session: Session, lines: Iterable[str], *, as_json: bool) -> None:
    """Takes one utterance a line until the session is over or the lines end; prints a turn as it comes."""
    _show(session.opening(), as_json)
    for line in lines:
        if not line.strip():
            continue
        for turn in session.typed(line.strip()):
            _show(turn, as_json)
        if session.over:
            return


def _show(turn: Turn, as_json: bool) -> None:
    text = turn.as_json() if as_json else turn.reply
    if text:
        print(text, flush=True)
