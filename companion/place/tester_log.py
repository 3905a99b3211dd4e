"""The tester's log taken out for the designer: every entry with its round and the line of the pattern it stands in."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

from companion.place.progress import LogKind
from companion.place.remarks import line_of
from companion.place.view import View


@dataclass(frozen=True, slots=True)
class LogLine:
    """One entry: the line of the source (0 where it has none), the place it was told at, and its words.

    `when` is in seconds since 1970. `stitches` is the total of the round as worked out, `printed` as printed.
    """

    line: int
    piece: str
    copy: int
    label: str
    round: int | None
    stitch: int
    stitches: int | None
    printed: int | None
    kind: LogKind
    text: str
    when: float


def log_lines(view: View) -> tuple[LogLine, ...]:
    """All entries in the order of the pattern, those of one line in the order they were told."""
    found = []
    for entry in view.progress.log:
        at = view.where(entry.place.at, entry.place.stitch)
        line = line_of(view, entry.place.at)
        found.append(
            LogLine(
                line,
                at.piece,
                at.copy,
                at.label,
                at.round,
                at.stitch,
                at.stitches,
                at.declared,
                entry.kind,
                entry.text,
                entry.when,
            )
        )
    return tuple(sorted(found, key=lambda item: item.line))


def as_text(view: View) -> str:
    """The log as plain lines to send: one entry a line, a heading first."""
    lines = [f"Tester's log for {view.pattern.title}"]
    for item in log_lines(view):
        day = datetime.fromtimestamp(item.when, tz=UTC).strftime("%Y-%m-%d")
        total = "unknown" if item.stitches is None else str(item.stitches)
        single = item.round is None or str(item.round) in item.label.split()
        label = item.label if single else f"{item.label}, at {item.round}"
        said = f"{item.kind}: {item.text}" if item.text else item.kind
        lines.append(f"Line {item.line}, {item.piece}, {label}, stitch {item.stitch} of {total}, {day}: {said}")
    return "\n".join(lines) + "\n"
