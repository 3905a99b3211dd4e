"""Everything a pattern is laid out as, into one folder."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from companion.errors import MakerError
from companion.paper import audio, braille, findings
from companion.paper.chart import chart, drawable
from companion.paper.geometry import Hand
from companion.paper.page import Pictures, page
from companion.paper.text import text
from companion.paper.view import PieceView, View, view
from companion.pattern.exchange import to_json
from companion.pattern.model import Note, Pattern, Terms


class PublishError(MakerError):
    """The folder cannot be written."""


@dataclass(frozen=True, slots=True)
class Published:
    """What was laid out. `skipped` tells in plain words what was not, and why."""

    files: tuple[Path, ...]
    skipped: tuple[str, ...]
    questions: int


@dataclass(frozen=True, slots=True)
class Options:
    """How a pattern is laid out. `own`: the maker wrote it, so that it is not marked as a personal copy.

    `render` is the voice that reads it aloud, unless that is not wanted (`aloud`). `pictures` draws what else the page
    shows of a piece.
    """

    terms: Terms | None = None
    own: bool = False
    hand: Hand = "right"
    grade: braille.Grade = 1
    aloud: bool = True
    render: audio.Render | None = None
    pictures: Pictures | None = None


def publish(pattern: Pattern, folder: Path, options: Options | None = None) -> Published:
    """Lays the pattern out in `folder`, which is made where it is missing; files of the same name are replaced.

    Without `options.render` nothing is read aloud. Raises `PublishError` where the folder cannot be written.
    """
    options = options or Options()
    shown = view(pattern, options.terms, own=options.own)
    files: list[Path] = []
    skipped: list[str] = []
    name = _file_name(shown.title)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for ending, make in _forms(shown, options):
            path = folder / f"{name}{ending}"
            path.write_bytes(make().encode("utf-8"))
            files.append(path)
        if braille.available():
            path = folder / f"{name}.brf"
            path.write_bytes(braille.brf(shown, options.grade).encode("ascii"))
            files.append(path)
        else:
            skipped.append("No braille: liblouis is missing. Install it with: sudo apt-get install liblouis-bin")
        if options.aloud:
            files += _read_aloud(shown, folder, name, options, skipped)
    except OSError as error:
        raise PublishError(f"Cannot write to {folder}: {error.strerror}. Choose another folder with --to.") from error
    return Published(tuple(files), tuple(skipped), len(findings.findings(pattern)))


def _forms(shown: View, options: Options) -> Iterator[tuple[str, Callable[[], str]]]:
    """The endings of the text files with what makes each."""
    yield ".txt", lambda: text(shown)
    yield ".html", lambda: page(shown, options.hand, options.pictures)
    yield ".json", lambda: _exchanged(shown)
    yield "-for-testers.txt", lambda: findings.listed(shown.pattern)
    for piece in shown.pieces:
        if drawable(piece.piece):
            yield f"-{piece.key}.svg", partial(_chart_file, shown, piece, options.hand)


def _chart_file(shown: View, piece: PieceView, hand: Hand) -> str:
    return chart(piece.piece, shown.terms, hand, piece.key, credit(shown)) + "\n"


def _exchanged(shown: View) -> str:
    """The pattern for other programs, to the project's schema; what marks it as a copy stands among its notes."""
    mark = (Note("other", shown.personal),) if shown.personal else ()
    marked = replace(shown.pattern, notes=(*shown.pattern.notes, *mark))
    return to_json(marked).model_dump_json(indent=2) + "\n"


def credit(shown: View) -> tuple[str, ...]:
    """Whose pattern it is, a line each."""
    return tuple(filter(None, (shown.byline, shown.rights, shown.personal)))


def _read_aloud(shown: View, folder: Path, name: str, options: Options, skipped: list[str]) -> list[Path]:
    if options.render is None:
        skipped.append("Not read aloud: there is no voice. Install espeak-ng to have it read.")
        return []
    files = []
    for number, piece in enumerate(shown.pieces, start=1):
        path = folder / f"{name}-{piece.key}.mp3"
        audio.write(shown, piece, number, path, options.render)
        files.append(path)
    return files


def _file_name(title: str) -> str:
    """The title as a file name: letters and digits, hyphens between."""
    return "-".join("".join(c if c.isalnum() else " " for c in title.lower()).split()) or "pattern"
