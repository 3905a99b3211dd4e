"""A whole pattern as JSON, with a schema that is published as `shared/pattern.schema.json`; and back.

Steps are not written: they follow from the instructions, and are laid out anew when the JSON is read.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, NonNegativeInt, PositiveInt

from companion.pattern import model
from companion.pattern.steps import lay_out


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid")


class WorkJson(_Strict):
    """`count` times the same motion, which takes `together` stitches and gives `in_one`."""

    do: Literal["work"] = "work"
    stitch: str
    count: NonNegativeInt
    in_one: NonNegativeInt = 1
    together: PositiveInt = 1
    loop: model.Loop = "both"
    invisible: bool = False
    same: bool = False
    into: str | None = None
    from_hook: NonNegativeInt = 0


class InOneJson(_Strict):
    """Several stitches in one place, in `count` places."""

    do: Literal["in_one"] = "in_one"
    body: list[InstructionJson]
    count: PositiveInt = 1
    same: bool = False
    into: str | None = None
    from_hook: NonNegativeInt = 0


class ChainJson(_Strict):
    """So many chains."""

    do: Literal["chain"] = "chain"
    count: NonNegativeInt
    role: Literal["foundation", "start", "space", "picot"]
    counts: bool = False


class SkipJson(_Strict):
    """Stitches passed over."""

    do: Literal["skip"] = "skip"
    count: PositiveInt


class RepeatJson(_Strict):
    """The body so many times."""

    do: Literal["repeat"] = "repeat"
    times: PositiveInt
    body: list[InstructionJson]
    written: str = ""


class ActJson(_Strict):
    """Something done that makes no stitch."""

    do: Literal["act"] = "act"
    kind: Literal["ring", "join", "turn", "colour", "marker", "close", "fasten_off", "leave", "note"]
    text: str = ""


class UnreadJson(_Strict):
    """Words that could not be turned into stitches."""

    do: Literal["unread"] = "unread"
    text: str


InstructionJson = Annotated[
    WorkJson | InOneJson | ChainJson | SkipJson | RepeatJson | ActJson | UnreadJson, Field(discriminator="do")
]


class NoteJson(_Strict):
    """What a pattern says beside its stitches."""

    kind: model.NoteKind
    text: str
    when: Literal["before", "during", "after"] = "after"
    between_rounds: tuple[int, int] | None = None
    stitches_apart: int | None = None


class RoundJson(_Strict):
    """One entry of a piece."""

    label: str
    kind: Literal["round", "row", "step"]
    first: int | None
    last: int | None
    worked_into: int | None
    stitches: int | None
    basis: model.Basis
    printed: int | None
    printed_chain_spaces: int | None = None
    into: str | None = None
    chain_spaces: NonNegativeInt = 0
    colour: str | None = None
    text: str
    line: PositiveInt
    instructions: list[InstructionJson]
    notes: list[NoteJson] = []


class PieceJson(_Strict):
    """One part of the project, worked `make` times."""

    name: str
    make: PositiveInt
    shape: Literal["spiral", "joined", "turned"] | None = None
    colour: str | None = None
    notes: list[NoteJson] = []
    rounds: list[RoundJson]


class ProblemJson(_Strict):
    """Something a maker should know before starting."""

    line: int
    column: int
    severity: Literal["error", "warning"]
    kind: str
    message: str
    hint: str


class PatternJson(_Strict):
    """A whole pattern. `format` is the version of this schema."""

    format: Literal[1] = 1
    title: str
    terms: Literal["US", "UK"]
    designer: str = ""
    rights: str = ""
    materials: list[str] = []
    hook: str = ""
    yarn: str = ""
    gauge: str = ""
    abbreviations: list[tuple[str, str]] = []
    cautions: list[str] = []
    notes: list[NoteJson] = []
    pieces: list[PieceJson]
    assembly: list[NoteJson] = []
    problems: list[ProblemJson] = []


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
