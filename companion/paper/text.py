"""The written pattern as plain text, in US or UK terms, which the reader reads back to the same stitches."""

from __future__ import annotations

from collections.abc import Iterator

from companion.paper.view import PieceView, RoundView, View


def text(view: View) -> str:
    """The pattern as text: one line a round, its total in brackets, notes on lines of their own."""
    return "\n".join(_lines(view)).rstrip() + "\n"


def _lines(view: View) -> Iterator[str]:
    yield view.title
    yield from filter(None, (view.byline, view.rights, view.personal))
    yield ""
    yield f"Terms: {view.terms}"
    yield from (f"{name}: {value}" for name, value in view.facts)
    yield ""
    if view.materials:
        yield "Materials"
        yield from (f"- {item}" for item in view.materials)
        yield ""
    if view.abbreviations:
        yield "Abbreviations"
        yield from (f"{short} = {name}" for short, name in view.abbreviations)
        yield ""
    yield from (f"Caution: {caution}" for caution in view.cautions)
    yield ""
    if view.notes:
        yield "Notes"
        yield from view.notes
        yield ""
    for piece in view.pieces:
        yield from _piece(piece)
        yield ""
    if view.assembly:
        yield "ASSEMBLY"
        yield from (f"{number}. {step}" for number, step in enumerate(view.assembly, start=1))


def _piece(piece: PieceView) -> Iterator[str]:
    yield f"{piece.name.upper()} (make {piece.piece.make})"
    yield from filter(None, (piece.shape, *piece.notes))
    for round_ in piece.rounds:
        yield from round_.before
        yield _round(round_)
        yield from round_.after


def _round(round_: RoundView) -> str:
    entry = round_.entry
    name = {"round": "Rnd", "row": "Row", "step": ""}[entry.kind]
    number = f"{name}s {entry.first}-{entry.last}" if entry.times > 1 else f"{name} {entry.first}"
    label = number if name and entry.first is not None else entry.label
    # A printed total is kept, right or wrong, so that whoever reads the text again finds the same doubt.
    printed = entry.declared.stitches if entry.declared else None
    total = entry.stitches if printed is None else printed
    return f"{label}: {round_.written}" + (f" [{total}]" if total is not None else "")
