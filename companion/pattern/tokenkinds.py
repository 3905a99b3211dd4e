"""Kinds of tokens: what is made with the hook, what can be worked into or counted."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from companion.pattern.lexer import Token

STITCHY: Final = frozenset({
    "STITCH", "GATHER", "SPREAD", "PICOT", "CH", "SLST", "INC", "DEC", "TOG", "SKIP", "THEM", "EVEN", "EVENLY_SHAPED",
    "ENDS_SHAPED",
})  # fmt: skip
"""Tokens that stand for something made with the hook."""

UNIT: Final = frozenset({
    "ST", "STITCH", "SLST", "CH", "INC", "DEC", "GATHER", "SPREAD", "TOG", "PICOT",
})  # fmt: skip
"""Tokens that can be worked into, or counted."""

CLAUSE_ENDS: Final = frozenset({"", "SEP", "OPEN", "CLOSE", "EQUALS", "DASH", "COLON", "THEN", "AND"})
"""Tokens between two clauses; "" is before the first and after the last."""


def begins_clause(out: Sequence[Token]) -> bool:
    """Whether a clause begins after these tokens."""
    return not out or out[-1].type in CLAUSE_ENDS


def type_at(tokens: Sequence[Token], i: int) -> str:
    """The type of the token at `i`, "" beyond the last."""
    return tokens[i].type if i < len(tokens) else ""
