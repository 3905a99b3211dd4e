"""What a round begins with and does not repeat: a colour, the ring, the foundation, the chain that starts it.

"Chain three, increase, twelve times" in a joined round is one chain and twelve increases. In a mesh the chain is one of
the things repeated. Where it may be either, it is asked.
"""

from __future__ import annotations

from collections.abc import Sequence

from companion.dictation.draft import DraftPiece
from companion.phrases.line import Act, Chain, Closing, Colour, Element, FromHook, Group, Item, Motion


def heads(piece: DraftPiece, items: Sequence[Item], reading: Sequence[Element]) -> tuple[int, ...]:
    """How many of the round's items, with those of the reading after them, stand before all that may be repeated.

    Two numbers where it may be meant in two ways, the likelier first.
    """
    whole = (*items, *reading)
    sure = _set_up(whole)
    match whole[sure : sure + 2]:
        case [Chain(), Motion() | Group()]:
            begun = sure + 1
        case _:
            return (sure,)
    closings = [item for item in reading if isinstance(item, Closing)]
    if any(closing.all_of_it for closing in closings):
        return (sure,)
    return (begun,) if not closings or _closed(piece) else (begun, sure)


def _set_up(whole: Sequence[Item | Element]) -> int:
    """How many of the first make a colour, a ring or a foundation."""
    at = 0
    while at < len(whole):
        match whole[at : at + 3]:
            case [Colour() | Act("ring" | "turn"), *_]:
                at += 1
            case [Chain(), Act("join") | FromHook(), *_]:
                at += 2
            case [Chain(), Motion(), FromHook()]:
                return at + 1
            case _:
                return at
    return at


def _closed(piece: DraftPiece) -> bool:
    """True where each round is joined or turned, so that the next one starts with a chain."""
    ends = [entry.items[-1] for entry in piece.rounds[:-1] if entry.items]
    return piece.shape in ("joined", "turned") or bool(ends and ends[-1] in (Act("join"), Act("turn")))
