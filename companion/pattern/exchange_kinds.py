"""The JSON of a whole pattern, kind by kind. Its schema is published as `shared/pattern.schema.json`."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, NonNegativeInt, PositiveInt

from companion.pattern import model


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
    suggested: str = ""


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
