"""What a live session shows: one large calm picture for those who see it, or plain lines, or JSON lines.

Nothing is told on the screen alone. Plain lines are only ever added, one sentence each, with no boxes, columns, bars or
spinners, so that a screen reader can follow; the picture is drawn anew only when something changed.
"""

from __future__ import annotations

import contextlib
import os
import sys
from typing import IO, Protocol, Self

from companion.turn import Turn


class Screen(Protocol):
    """Told everything that happens in a session."""

    def turn(self, turn: Turn, where: str, latency_ms: int | None = None) -> None:
        """Something was heard and answered, or there is news. `where`: the place in words, with its count."""
        ...

    def tell(self, sentence: str) -> None:
        """A sentence that belongs to no turn: the microphone is gone."""
        ...

    def __enter__(self) -> Self: ...

    def __exit__(self, *_: object) -> None: ...


class JsonLines:
    """One JSON object a line, as `work --json` promises."""

    def __init__(self, out: IO[str] | None = None) -> None:
        self._out = out or sys.stdout

    def turn(self, turn: Turn, where: str, latency_ms: int | None = None) -> None:
        """One object."""
        print(turn.as_json(latency_ms=latency_ms), file=self._out, flush=True)

    def tell(self, sentence: str) -> None:
        """Standard output is for turns alone; the sentence goes to standard error."""
        print(sentence, file=sys.stderr, flush=True)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None: ...


class PlainLines:
    """Lines that are only ever added."""

    def __init__(self, out: IO[str] | None = None) -> None:
        self._out = out or sys.stdout

    def turn(self, turn: Turn, where: str, latency_ms: int | None = None) -> None:
        """What was heard, what was said."""
        if turn.heard:
            self.tell(f"You: {turn.heard}")
        if turn.reply:
            self.tell(turn.reply)

    def tell(self, sentence: str) -> None:
        """The sentence on a line of its own."""
        print(sentence, file=self._out, flush=True)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None: ...


class Picture:
    """Where we are, what was heard, what was said: three parts, large, redrawn only when they change."""

    def __init__(self) -> None:
        from rich.console import Console
        from rich.live import Live

        self._where, self._heard, self._said = "", "", ""
        # Redrawn on change alone: over a slow line a picture that is drawn all the time flickers.
        self._live = Live(console=Console(), auto_refresh=False, transient=False)

    def turn(self, turn: Turn, where: str, latency_ms: int | None = None) -> None:
        """Draws the new picture."""
        self._where = where
        self._heard = turn.heard or ""
        self._said = turn.reply or self._said
        self._draw()

    def tell(self, sentence: str) -> None:
        """The sentence takes the place of what was said."""
        self._said = sentence
        self._draw()

    def __enter__(self) -> Self:
        self._live.start()
        return self

    def __exit__(self, *_: object) -> None:
        with contextlib.suppress(OSError):  # a terminal that was closed takes no last picture
            self._live.stop()

    def _draw(self) -> None:
        from rich.console import Group
        from rich.padding import Padding
        from rich.text import Text

        parts = [Padding(Text(self._where, style="bold"), (1, 2))]
        if self._heard:
            parts.append(Padding(Text(f"You: {self._heard}"), (0, 2)))
        parts.append(Padding(Text(self._said), (1, 2)))
        self._live.update(Group(*parts), refresh=True)


def choose_screen(*, as_json: bool, plain: bool) -> Screen:
    """The right one: plain when asked for, without a terminal, and in a terminal that can only add lines."""
    if as_json:
        return JsonLines()
    if plain or not sys.stdout.isatty() or os.environ.get("TERM", "") in ("", "dumb"):
        return PlainLines()
    return Picture()
