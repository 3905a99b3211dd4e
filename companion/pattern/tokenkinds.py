"""Kinds of tokens: what is made with the hook, what can be worked into or counted."""

from __future__ import annotations

from typing import Final

STITCHY: Final = frozenset({
    "STITCH", "GATHER", "SPREAD", "PICOT", "CH", "SLST", "INC", "DEC", "TOG", "SKIP", "THEM", "EVEN", "EVENLY_SHAPED",
    "ENDS_SHAPED",
})  # fmt: skip
"""Tokens that stand for something made with the hook."""

UNIT: Final = frozenset({
    "ST", "STITCH", "SLST", "CH", "INC", "DEC", "GATHER", "SPREAD", "TOG", "PICOT",
})  # fmt: skip
"""Tokens that can be worked into, or counted."""
