"""The JSON that `companion check --json` prints. Imported for it alone: pydantic loads slowly."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict


class RoundReport(BaseModel):
    """One entry of a piece. `stitches` is worked out, null where it cannot be known; `worked_into` is 0 for a ring."""

    model_config = ConfigDict(extra="forbid")

    label: str
    first: int | None
    last: int | None
    worked_into: int | None
    stitches: int | None
    line: int


class PieceReport(BaseModel):
    """One piece and how often it is made."""

    model_config = ConfigDict(extra="forbid")

    name: str
    make: int
    rounds: list[RoundReport]


class ProblemReport(BaseModel):
    """One problem. Lines and columns count from 1."""

    model_config = ConfigDict(extra="forbid")

    line: int
    column: int
    severity: Literal["error", "warning"]
    kind: str
    message: str
    hint: str


class CheckReport(BaseModel):
    """The one object that `companion check --json` prints."""

    model_config = ConfigDict(extra="forbid")

    title: str
    terms: Literal["US", "UK"]
    pieces: list[PieceReport]
    problems: list[ProblemReport]
