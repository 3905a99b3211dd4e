"""One turn of a dictation, as it is shown and printed."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Turn:
    """One turn of the dictation.

    `heard` is what was said, None for news that nobody asked for. `piece` and `round` are the present ones, `stitches`
    the worked-out total of the round so far: 0 where it is empty, None where it is not known.
    """

    heard: str | None
    command: str | None
    slots: Mapping[str, int | str]
    accepted: bool
    reply: str
    piece: str | None
    round: int | None
    stitches: int | None

    def as_json(self) -> str:
        """The line that `write-down --json` prints. News has no `heard`."""
        line: dict[str, object] = {} if self.heard is None else {"heard": self.heard}
        line |= {
            "command": self.command,
            "slots": dict(self.slots),
            "accepted": self.accepted,
            "reply": self.reply,
            "piece": self.piece,
            "round": self.round,
            "stitches": self.stitches,
        }
        return json.dumps(line, ensure_ascii=False)
