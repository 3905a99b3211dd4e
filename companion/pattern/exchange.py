"""A whole pattern as JSON, with a schema that is published as `shared/pattern.schema.json`; and back.

Steps are not written: they follow from the instructions, and are laid out anew when the JSON is read.
"""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel

from companion.pattern import model
from companion.pattern.exchange_kinds import (
    ActJson,
    ChainJson,
    InOneJson,
    NoteJson,
    PatternJson,
    PieceJson,
    ProblemJson,
    RepeatJson,
    RoundJson,
    SkipJson,
    UnreadJson,
    WorkJson,
)
from companion.pattern.steps import lay_out


def schema() -> dict[str, Any]:
    """The JSON schema of a pattern."""
    return PatternJson.model_json_schema()


# --- out ---


def to_json(pattern: model.Pattern) -> PatternJson:
    """The pattern as its JSON object."""
    return PatternJson(
        title=pattern.title,
        terms=pattern.terms,
        designer=pattern.designer,
        rights=pattern.rights,
        materials=list(pattern.materials),
        hook=pattern.hook,
        yarn=pattern.yarn,
        gauge=pattern.gauge,
        abbreviations=list(pattern.abbreviations),
        cautions=list(pattern.cautions),
        notes=[_note(note) for note in pattern.notes],
        pieces=[_piece(piece) for piece in pattern.pieces],
        assembly=[_note(note) for note in pattern.assembly],
        problems=[
            ProblemJson(**{name: getattr(p, name) for name in ProblemJson.model_fields}) for p in pattern.problems
        ],
    )


def _note(note: model.Note) -> NoteJson:
    return NoteJson(**{name: getattr(note, name) for name in NoteJson.model_fields})


def _piece(piece: model.Piece) -> PieceJson:
    return PieceJson(
        name=piece.name,
        make=piece.make,
        shape=piece.shape,
        colour=piece.colour,
        notes=[_note(note) for note in piece.notes],
        rounds=[_round(entry) for entry in piece.rounds],
    )


def _round(entry: model.Round) -> RoundJson:
    same = (
        "label",
        "kind",
        "first",
        "last",
        "worked_into",
        "stitches",
        "basis",
        "into",
        "chain_spaces",
        "colour",
        "text",
        "suggested",
    )
    return RoundJson(
        **{name: getattr(entry, name) for name in same},
        printed=entry.declared.stitches if entry.declared is not None else None,
        printed_chain_spaces=entry.declared.chain_spaces if entry.declared is not None else None,
        line=entry.span.line,
        instructions=[_instruction(item) for item in entry.instructions],
        notes=[_note(note) for note in entry.notes],
    )


_OUT: dict[type[Any], type[BaseModel]] = {
    model.Work: WorkJson,
    model.InOne: InOneJson,
    model.Chain: ChainJson,
    model.Skip: SkipJson,
    model.Repeat: RepeatJson,
    model.Act: ActJson,
    model.Unread: UnreadJson,
}


def _instruction(item: model.Instruction) -> Any:
    kind = _OUT[type(item)]
    values = {name: getattr(item, name) for name in kind.model_fields if name not in ("do", "body")}
    if isinstance(item, model.InOne | model.Repeat):
        values["body"] = [_instruction(child) for child in item.body]
    return kind(**values)


# --- and back ---


def from_json(data: str | bytes) -> model.Pattern:
    """The pattern of a JSON text. pydantic's ValidationError where it does not keep to the schema.

    Spans are those of the lines it was read from; the source itself is not in the JSON.
    """
    read = PatternJson.model_validate_json(data)
    return model.Pattern(
        title=read.title,
        terms=read.terms,
        pieces=tuple(_piece_of(piece) for piece in read.pieces),
        problems=tuple(model.Problem(**p.model_dump()) for p in read.problems),
        source="",
        designer=read.designer,
        rights=read.rights,
        materials=tuple(read.materials),
        hook=read.hook,
        yarn=read.yarn,
        gauge=read.gauge,
        abbreviations=tuple(read.abbreviations),
        cautions=tuple(read.cautions),
        notes=tuple(model.Note(**n.model_dump()) for n in read.notes),
        assembly=tuple(model.Note(**n.model_dump()) for n in read.assembly),
    )


def _piece_of(piece: PieceJson) -> model.Piece:
    first = piece.rounds[0].line if piece.rounds else 1
    notes = tuple(model.Note(**n.model_dump()) for n in piece.notes)
    rounds = tuple(_round_of(entry) for entry in piece.rounds)
    return model.Piece(piece.name, piece.make, rounds, _line(first), notes, piece.shape, piece.colour)


def _round_of(entry: RoundJson) -> model.Round:
    instructions = tuple(_instruction_of(item) for item in entry.instructions)
    declared = None
    if entry.printed is not None or entry.printed_chain_spaces is not None:
        declared = model.Total(entry.printed, entry.printed_chain_spaces)
    return model.Round(
        entry.label,
        entry.kind,
        entry.first,
        entry.last,
        instructions,
        lay_out(instructions, chain_takes=not _starts_on_chain(entry)),
        entry.worked_into,
        entry.stitches,
        declared,
        entry.basis,
        entry.text,
        _line(entry.line),
        entry.into,
        entry.chain_spaces,
        tuple(model.Note(**n.model_dump()) for n in entry.notes),
        entry.colour,
        entry.suggested,
    )


def _starts_on_chain(entry: RoundJson) -> bool:
    """Whether a starting chain stands on no stitch: in a ring, or where it is the end of the foundation chain."""
    hooked = any(isinstance(item, WorkJson | InOneJson) and item.from_hook for item in entry.instructions)
    return entry.into == "ring" or (entry.into == "chain" and hooked)


def _line(number: int) -> model.Span:
    return model.Span(number, 1, number, 1)


_BACK: dict[str, type[Any]] = {
    "work": model.Work,
    "in_one": model.InOne,
    "chain": model.Chain,
    "skip": model.Skip,
    "repeat": model.Repeat,
    "act": model.Act,
    "unread": model.Unread,
}


def _instruction_of(item: Any) -> model.Instruction:
    values = {name: getattr(item, name) for name in type(item).model_fields if name not in ("do", "body")}
    if isinstance(item, InOneJson | RepeatJson):
        values["body"] = tuple(_instruction_of(child) for child in item.body)
    return _BACK[item.do](**values)  # type: ignore[no-any-return]
