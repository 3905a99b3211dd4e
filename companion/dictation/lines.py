"""A line of stitches on its way into the draft: which round it belongs to, and what its closing covers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from companion.dictation.beginnings import heads
from companion.dictation.draft import Draft, DraftPiece, DraftRound
from companion.dictation.result import Result, Slots, refused
from companion.dictation.script import Worked, last_round
from companion.phrases import line_text
from companion.phrases.line import SHAPES, Act, Closing, Colour, Element, Group, Item, Motion, Then, Way, ways

Reading = tuple[Element, ...]
MOST_WAYS = 2
"""A line that can be meant in more ways than this is to be said in shorter pieces."""


def say_line(draft: Draft, piece: DraftPiece, slots: Slots) -> Result:
    """The line added to the present piece, or a question where it is not clear how it is meant."""
    readings = line_text.read(str(slots["line"]))
    found = _round_for(draft, piece, readings, slots)
    if isinstance(found, Result):
        return found
    piece = found
    gone_on = _piled if piece.free else _gone_on
    options = [piece.with_round(entry) for entry in gone_on(piece, readings)]
    if not options:
        return refused("nothing_to_repeat")
    if len(options) > 1 and not piece.free:
        fitting = [option for option in options if _fits(draft, option)]
        options = fitting or options
    if len(options) == 1:
        return Result(draft.with_piece(options[0]), reads=True)
    if len(options) > MOST_WAYS:
        return refused("many_ways")
    return Result(replace(draft.with_piece(piece), question=tuple(options)), "two_ways")


def open_round(piece: DraftPiece, first: int, last: int) -> DraftPiece | Result:
    """The piece with the round of that number as its present one, standing for all up to `last`."""
    if last < first:
        return refused("backwards", first=first, last=last)
    if piece.round.has_work and first == piece.number + 1:
        piece = next_round(piece)
    if first != piece.first:
        return refused("other_round", round=piece.number if piece.round.has_work else piece.first)
    return piece.with_round(replace(piece.round, times=last - first + 1))


def is_full(piece: DraftPiece, counts: Worked) -> bool:
    """True where nothing more can belong to the present round.

    How much is worked into chain spaces is not counted in stitches: such a round goes on until it is joined or turned.
    """
    items = piece.round.items
    return counts.full and (not any(map(_into_a_space, items)) or items[-1] in (Act("join"), Act("turn")))


def _into_a_space(item: Item) -> bool:
    if isinstance(item, Group):
        return any(map(_into_a_space, item.items))
    return isinstance(item, Motion) and item.into in ("space", "same-space")


def next_round(piece: DraftPiece) -> DraftPiece:
    """The piece with an empty round after its last."""
    return replace(piece, rounds=(*piece.rounds, DraftRound()))


def _gone_on(piece: DraftPiece, readings: Sequence[Reading]) -> list[DraftRound]:
    """The present round with the line after what it has, in every way the line can be meant."""
    entry = piece.round
    found: dict[tuple[tuple[Item, ...], int], None] = {}
    for reading in readings:
        for head in heads(piece, entry.items, reading):
            begun, rest = _from(head, entry, reading)
            for items, stretch in ways(rest, begun):
                found[(*_head(head, entry, reading), *items), head + stretch] = None
    return [replace(entry, items=items, stretch=stretch) for items, stretch in found]


def _head(head: int, entry: DraftRound, reading: Reading) -> tuple[Item, ...]:
    """So many of the round's items and the reading's: what it begins with holds no closing."""
    return tuple(item for item in (*entry.items, *reading)[:head] if not isinstance(item, Closing | Then))


def _from(head: int, entry: DraftRound, reading: Reading) -> tuple[Way, Reading]:
    """What is worked after the head so far, with the place of its last stretch, and what of the reading is to come."""
    begun = entry.items[head:], max(0, entry.stretch - head)
    return begun, reading[max(0, head - len(entry.items)) :]


def _piled(piece: DraftPiece, readings: Sequence[Reading]) -> list[DraftRound]:
    """The same while working freely, where a closing covers what was said with it, or all since the round began."""
    entry = piece.round
    alone = _gone_on(piece.with_round(DraftRound()), readings)
    if not alone:
        return _gone_on(piece, readings)
    return [replace(entry, items=(*entry.items, *said.items), stretch=len(entry.items)) for said in alone]


def _fits(draft: Draft, piece: DraftPiece) -> bool:
    counts = last_round(draft, piece)
    return counts is not None and counts.fits


def _round_for(draft: Draft, piece: DraftPiece, readings: Sequence[Reading], slots: Slots) -> DraftPiece | Result:
    """The piece with the round that the line goes into as its present one.

    A full round takes no more stitches, so that what follows begins the next one, also where nobody says so.
    """
    number, last, rounds = (slots.get(name) for name in ("round", "last", "rounds"))
    if isinstance(number, int):
        opened = open_round(piece, number, last if isinstance(last, int) else number)
        if isinstance(opened, Result):
            return opened
        piece = opened
    elif piece.round.has_work and not piece.free:
        counts = last_round(draft, piece)
        if counts is not None and is_full(piece, counts) and all(_begins(reading, counts) for reading in readings):
            piece = next_round(piece)
    if isinstance(rounds, int):
        piece = piece.with_round(replace(piece.round, times=rounds))
    return piece


def _begins(reading: Reading, counts: Worked) -> bool:
    """True where this cannot belong to a full round any more.

    A slip stitch may close it, and plain stitches may still go into a ring.
    """
    first = next((item for item in reading if not isinstance(item, Act)), None)
    if isinstance(first, Closing):
        return False
    motions = [item for item in reading if isinstance(item, Motion) and item.stitch != "sl st"]
    if counts.below:
        return bool(motions)
    return any(map(into_stitches, motions)) or any(isinstance(item, Closing) and item.times is None for item in reading)


def into_stitches(motion: Motion) -> bool:
    """True for a motion that is made into stitches, never into a ring."""
    return motion.stitch in SHAPES or motion.each or motion.together > 1 or motion.in_one > 1


def without_its_colour(items: tuple[Item, ...]) -> tuple[Item, ...]:
    """The items as they are worked once more: one colour for the whole round goes on by itself."""
    whole = items and isinstance(items[0], Colour) and not any(isinstance(item, Colour) for item in items[1:])
    return items[1:] if whole else items
