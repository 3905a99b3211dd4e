"""One turn of any talk: what was heard, what was done about it, and what is answered."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Turn:
    """One turn. Each kind of talk adds where it stands after it.

    `heard` is what was said, None for news that nobody asked for. `command` and `slots` are filled also where nothing
    was done; `accepted` says whether it was. `reply` is what is said aloud, "" for silence. `state` names the state of
    the talk.
    """

    heard: str | None
    command: str | None
    slots: Mapping[str, int | str]
    accepted: bool
    reply: str
    state: str

    def as_json(self, *, latency_ms: int | None = None) -> str:
        """The line that `--json` prints. News has no `heard`; only live talk has a latency."""
        line: dict[str, object] = {} if self.heard is None else {"heard": self.heard}
        line |= {
            "command": self.command,
            "slots": dict(self.slots),
            "accepted": self.accepted,
            "reply": self.reply,
            **self.stand(),
        }
        if latency_ms is not None:
            line["latency_ms"] = latency_ms
        return json.dumps(line, ensure_ascii=False)

    def stand(self) -> dict[str, object]:
        """Where the talk stands after it, as it is printed."""
        return {}
