"""Clauses that make no stitches: joins, turns, colours, markers, advice. What kind each is, and where it ends."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from companion.pattern.goingon import has_number_or_place
from companion.pattern.lexer import Token
from companion.pattern.tokenkinds import STITCHY

_HARMLESS: Final = frozenset({
    "WORD", "ST", "SPACE", "SIDE", "LAST", "FIRST", "NEXT", "SAME", "AND", "IN", "ON", "OF", "TO", "WITH", "NOTE",
    "RING", "FROM", "EACH", "END", "THEN", "COLOUR", "COLOUR_NAME", "TOP", "ROUND", "MARK", "AS", "HOOK", "TURN",
    "REMAIN", "ORD", "NUM", "OTHER",
})  # fmt: skip


_UNSHAPED: Final = frozenset({"NOT", "INC", "DEC", "AND", "WORD"})


def act_at(tokens: Sequence[Token], i: int, j: int) -> tuple[str, int] | None:
    """The kind of act the clause from `i` to `j` is, and where it ends; None where it is stitches."""
    first = tokens[i].type
    if first in ("TURN", "NOTE") and (k := _other_side(tokens, i, j)):
        return ("turn" if first == "TURN" else "note"), k  # "rotate to work along the other side of the chain"
    types = [t.type for t in tokens[i:j]]
    if "CHAIN_RING" in types and first not in ("CH", "NUM"):
        return "chain_ring", j
    if first == "JOIN" or ("JOIN" in types and first == "SLST"):
        return _join(tokens, i, j)
    if first == "SLST" and types[1:2] in (["TO"], ["AROUND"], ["OVER"], ["ACROSS"]) and "SPACE" in types:
        return "note", j  # "sl st to the corner space": there the round begins
    if first == "SLST" and ("TOP" in types or _to_the_first(types)) and "REPEAT" not in types:
        return "join", j
    if first in ("TURN", "NO_TURN", "FASTEN", "MARK"):
        kind = {"TURN": "turn", "NO_TURN": "note", "FASTEN": "fasten_off", "MARK": "marker"}[first]
        goes_on = first == "TURN" and j > i + 1 and (types[1] in STITCHY | {"NUM"} or "UNWORKED" in types)
        return kind, i + 1 if goes_on else j
    if "UNWORKED" in types and not has_number_or_place(tokens, i, j):
        return "leave", j
    if first == "CHANGE" or (first in ("WITH", "IN") and len(types) > 1 and _names_colour(tokens, i + 1)):
        return "colour", _colour_end(tokens, i + 1, j)
    if first in ("COLOUR_NAME",) and (len(types) == 1 or types[1] not in STITCHY):
        return "colour", _colour_end(tokens, i, j)
    if first == "RING" or (first in ("IN", "WITH", "ON", "OF") and types[1:2] == ["RING"]):
        return "ring", i + 1 + (first != "RING")
    if first == "WITH" and types[1:2] == ["NOTE"]:
        return "note", j  # "with right side facing"
    if first == "OVER" and not set(types) & (STITCHY | {"NUM", "ST", "NEXT"}):
        return "note", j  # "working over the tail"
    if first == "FROM" or first == "NO_TURN":
        return "note", j
    if first == "NOT" and (not set(types) & STITCHY or set(types) <= _UNSHAPED):
        return "note", j  # "no increases"
    if first == "NOT" and "COLON" in types and set(types[: (colon := types.index("COLON"))]) <= _UNSHAPED:
        return "note", i + colon  # "no increases: sc in each st"
    if first == "NOTE":
        return ("note", j) if not set(types[1:]) & (STITCHY - {"CH"}) or _advises(tokens, i) else ("note", i + 1)
    if types == ["ST"] or first == "SEE":
        return "note", j
    return None


def _other_side(tokens: Sequence[Token], i: int, j: int) -> int:
    """Where "along the other side" begins in the clause, 0 where it says nothing of the kind."""
    for k in range(i + 1, j):
        if tokens[k].type in ("ACROSS", "ON", "IN") and "SIDE" in [t.type for t in tokens[k + 1 : min(k + 3, j)]]:
            return k
    return 0


def _advises(tokens: Sequence[Token], i: int) -> bool:
    """Whether the clause is advice to its end, whatever stitches it names: "stuff before you sc"."""
    return str(tokens[i].value) not in (
        "rs",
        "ws",
        "right side",
        "wrong side",
        "this round",
        "this row",
        "note",
        "tip",
        "from here",
    )


def _to_the_first(types: Sequence[str]) -> bool:
    """ "sl st in first sc", "sl st to first st": a join, where nothing else is said."""
    return (
        "FIRST" in types
        and "NUM" not in types
        and all(
            t
            in (
                "SLST",
                "IN",
                "TO",
                "FIRST",
                "ST",
                "STITCH",
                "CH",
                "INC",
                "DEC",
                "OF",
                "ROUND",
                "WORD",
                "SPREAD",
                "GATHER",
                "WITH",
                "ON",
            )
            for t in types
        )
    )


def _join(tokens: Sequence[Token], i: int, j: int) -> tuple[str, int]:
    """ "join with sl st to first sc" is a join; "join to the first leg with sc in next st" begins to work there."""
    if any(token.type == "RING" for token in tokens[i:j]):
        return "chain_ring", j  # "join with a ss into a ring"
    for k in range(i + 1, j - 1):
        if tokens[k].type == "WITH" and "STITCH" in [t.type for t in tokens[k + 1 : k + 3] if t.type != "SLST"]:
            return "join_into", k + 1
    return "join", j


def _names_colour(tokens: Sequence[Token], k: int) -> bool:
    token = tokens[k]
    if token.type in ("COLOUR", "COLOUR_NAME"):
        return True
    if token.type == "RING":
        return token.value == "mc" and tokens[k - 1].type == "WITH"
    return token.type == "WORD" and (tokens[k - 1].type == "WITH" or is_colour_letter(token))


def is_colour_letter(token: Token) -> bool:
    """A, B, C, MC, CC, C1: how patterns name yarns. "a" alone is an article, and is left out with the other fillers."""
    return token.type == "WORD" and (len(str(token.value)) == 1 or str(token.value) in ("cc", "mc", "ca", "cb", "yarn"))


def _colour_end(tokens: Sequence[Token], k: int, j: int) -> int:
    """Where a colour phrase ends: before the stitches, but "change to white in last st" goes on to the end."""
    while k < j and tokens[k].type not in STITCHY and tokens[k].type not in ("NUM", "EACH"):
        if tokens[k].type in ("COLOUR", "RING") and k + 1 < j and tokens[k + 1].type == "NUM":
            k += 1  # "colour 2"
        if tokens[k].type in ("IN", "ON") and k + 1 < j and tokens[k + 1].type in ("LAST", "FIRST", "NEXT", "ST"):
            return j if tokens[k + 1].type == "LAST" else k
        k += 1
    return k
