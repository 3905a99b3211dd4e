"""What has to be known of a chain, and is asked: which chain the first stitch goes into, and whether it is a stitch.

Nothing is asked that the reader of patterns would not have to take for granted: it is its own doubt
(`chain_assumed`) that is put to the designer.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from companion.dictation.draft import Draft, DraftPiece, DraftRound
from companion.dictation.result import Result, Slots, refused
from companion.dictation.script import pattern_of
from companion.phrases.line import Chain, Colour, FromHook, Group, Item, Motion

_SHORTEST = 4  # chains; a shorter one begins a round rather than carries a row


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked of a chain of so many `chains`: the "first" stitch's chain, or whether the chain "counts"."""

    kind: Literal["first_chain", "chain_counts"]
    chains: int
    round: int


def asked_about(draft: Draft) -> Asked | None:
    """What has to be asked of a chain of the present round; None where nothing has."""
    piece = draft.piece
    if piece is None or not piece.round.has_work or draft.question:
        return None
    foundation = _foundation(piece)
    if foundation is not None:
        return Asked("first_chain", foundation.count, piece.number)
    if not _assumed(draft, piece):
        return None
    at = _at(piece)
    if at is None:
        return None
    item = piece.rounds[at[0]].items[at[1]]
    chains = item.count if isinstance(item, Chain) else item.chain - 1 if isinstance(item, FromHook) else 0
    return Asked("chain_counts", chains, piece.number)


def first_chain(draft: Draft, slots: Slots) -> Result:
    """Puts the first stitch of the row into that chain from the hook."""
    piece, chain = draft.piece, int(slots["chain"])
    foundation = _foundation(piece) if piece is not None else None
    if piece is None or foundation is None:
        return refused("nothing_asked")
    if not 2 <= chain <= foundation.count:
        return refused("no_such_chain", chain=chain, chains=foundation.count)
    items = piece.round.items
    at = items.index(foundation) + 1
    entry = replace(piece.round, items=(*items[:at], FromHook(chain), *items[at:]))
    return Result(draft.with_piece(piece.with_round(entry)), reads=True)


def chain_counts(draft: Draft, slots: Slots) -> Result:
    """Keeps whether the starting chain of the present round is a stitch.

    A turning chain that was made at the end of the row before is written where the next row begins, since that is the
    row that counts it.
    """
    piece = draft.piece
    at = _at(piece) if piece is not None else None
    if piece is None or at is None or (at[0] < len(piece.rounds) - 1 and not _assumed(draft, piece)):
        return refused("no_chain_to_count")
    which, place = at
    rounds = [list(entry.items) for entry in piece.rounds]
    chain = rounds[which].pop(place)
    if not isinstance(chain, Chain | FromHook):
        return refused("nothing_asked")
    begin = sum(1 for item in rounds[-1] if isinstance(item, Colour))
    here = which == len(rounds) - 1
    rounds[-1].insert(place if here else begin, replace(chain, counts=slots["counts"] == "yes"))
    entries = [replace(entry, items=tuple(items)) for entry, items in zip(piece.rounds, rounds, strict=True)]
    if not here:
        entries[-1] = replace(entries[-1], stretch=entries[-1].stretch + 1)
    return Result(draft.with_piece(replace(piece, rounds=tuple(entries))), reads=True)


def _foundation(piece: DraftPiece) -> Chain | None:
    """The chain that the present round begins with, where it is the piece's first and its first stitch has no place."""
    if len(piece.rounds) > 1:
        return None
    items = [item for item in piece.round.items if not isinstance(item, Colour)]
    match items:
        case [Chain(count) as chain, first, *following] if count >= _SHORTEST:
            told = any(isinstance(item, FromHook) for item in (first, *following[:1]))
            return chain if _into_the_chain(first) and not told else None
    return None


def _into_the_chain(item: Item) -> bool:
    """True for a stitch that goes into the chain; one into a ring does not."""
    if isinstance(item, Group):
        return _into_the_chain(item.items[0])
    return isinstance(item, Motion) and item.into != "ring"


def _assumed(draft: Draft, piece: DraftPiece) -> bool:
    """True where the reader had to assume what the starting chain of the present round is."""
    pattern = pattern_of(replace(draft, pieces=(piece,), question=()))
    last = pattern.pieces[-1].rounds[-1] if pattern.pieces and pattern.pieces[-1].rounds else None
    return last is not None and any(
        problem.kind == "chain_assumed" and problem.line == last.span.line for problem in pattern.problems
    )


def _at(piece: DraftPiece) -> tuple[int, int] | None:
    """Where the chain in question stands: the round's place in the piece, and the item's in the round."""
    last = len(piece.rounds) - 1
    items = piece.round.items
    begin = next((at for at, item in enumerate(items) if isinstance(item, Motion | Group)), len(items))
    for kind, end in ((FromHook, len(items)), (Chain, begin)):
        for place in range(end - 1, -1, -1):
            if isinstance(items[place], kind):
                return last, place
    before: DraftRound | None = piece.rounds[last - 1] if last else None
    if before is not None:
        for place in range(len(before.items) - 1, -1, -1):
            if isinstance(before.items[place], Chain):
                return last - 1, place
    return None
