"""From making to rounds: what was made freely is cut where a round ended, and what was one round is put together."""

from __future__ import annotations

from dataclasses import replace

from companion.dictation.cutting import Items, cut, together
from companion.dictation.draft import Draft, DraftPiece, DraftRound
from companion.dictation.lines import into_stitches, next_round, without_its_colour
from companion.dictation.renumber import Shift, renumber
from companion.dictation.result import Result, Slots, Told, refused
from companion.dictation.script import Worked, last_round, word_of
from companion.phrases.line import Act, Chain, Colour, Group, Motion
from companion.wording.numbers import cardinal, listed
from companion.wording.spoken import sentence
from companion.wording.tools import capital


def work_freely(draft: Draft, slots: Slots) -> Result:
    """From here on what is made is taken down as it comes, until its rounds are said or worked out."""
    piece = draft.piece or DraftPiece("piece one")
    pieces = draft.pieces or (piece,)
    return Result(replace(draft, pieces=pieces).with_piece(replace(piece, free=True)), "work_freely")


def round_ended(draft: Draft, slots: Slots) -> Result:
    """A round cut in two after so many of its stitches."""
    piece, wanted = draft.piece, int(slots["stitches"])
    if piece is None:
        return refused("nothing_to_shape")
    piece = opened(piece if piece.round.items or len(piece.rounds) == 1 else _without_empty(piece))
    number = int(slots.get("round", len(piece.rounds)))
    if number > len(piece.rounds):
        return refused("no_such_round", round=number, last=len(piece.rounds))
    before, entry, after = piece.rounds[: number - 1], piece.rounds[number - 1], piece.rounds[number:]
    counts = _counts(draft, piece, before, entry.items)
    if counts is None or counts.gives is None:
        return refused("nothing_to_shape")
    if counts.gives == wanted and not after:
        return _shaped(draft, next_round(piece), "round_has", {"round": number, "stitches": wanted})
    if counts.gives <= wanted:
        return refused("round_has_only", round=number, stitches=counts.gives)

    def reach(items: Items) -> int:
        found = _counts(draft, piece, before, items)
        return (found.gives or 0) - wanted if found is not None else -1

    parts = cut(_spelled(draft, piece, before, entry.items), reach)
    if parts is None:
        return refused("round_ends_inside", stitch=wanted)
    first, second = DraftRound(parts[0]), replace(entry, items=_off_the_ring(parts[1]), stretch=0)
    shaped = replace(piece, rounds=(*before, first, second, *after))
    told: dict[str, int | str] = {"word": word_of(piece), "round": number, "stitches": wanted}
    shift = Shift(number, number, 1, len(piece.rounds), open=piece.free and not after)
    if not after:
        return _moved(draft, shaped, shift, Result(None, "round_cut", told, reads=True))
    told |= {"next": number + 1, "last": len(shaped.rounds)}
    more = _unfitting(draft, shaped, number, number + 1)
    result = Result(None, "earlier_round_cut", told, more=more)
    return _with_total(draft, shaped, shift, result, number + 1, "rest", "earlier_round_cut_unknown")


def join_rounds(draft: Draft, slots: Slots) -> Result:
    """Two rounds that follow each other, the last two where none are named, made one."""
    piece = draft.piece
    if piece is None:
        return refused("nothing_to_shape")
    piece = opened(_without_empty(piece))
    last = int(slots.get("last", len(piece.rounds)))
    first = int(slots.get("first", last - 1))
    if last != first + 1:
        return refused("not_neighbours", first=first, last=last)
    if first < 1 or last > len(piece.rounds):
        return refused("no_such_round", round=last, last=len(piece.rounds))
    one, two = piece.rounds[first - 1], piece.rounds[last - 1]
    items = together(
        item
        for at, entry in ((first - 1, one), (last - 1, two))
        for item in _spelled(draft, piece, piece.rounds[:at], entry.items)
    )
    both = DraftRound(items, notes=(*one.notes, *two.notes))
    shaped = replace(piece, rounds=(*piece.rounds[: first - 1], both, *piece.rounds[last:]))
    told: dict[str, int | str] = {"word": word_of(piece), "first": first, "last": last}
    shift = Shift(first, last, -1, len(piece.rounds))
    if last == len(piece.rounds):
        return _moved(draft, shaped, shift, Result(None, "rounds_joined", told, reads=True))
    joined = Result(None, "earlier_rounds_joined", told, more=_unfitting(draft, shaped, first))
    return _with_total(draft, shaped, shift, joined, first, "stitches", "earlier_rounds_joined_unknown")


def scratch_named(draft: Draft, slots: Slots) -> Result:
    """An earlier round taken out; those after it come after the one before it."""
    piece, number = draft.piece, int(slots["round"])
    if piece is None:
        return refused("nothing_to_shape")
    piece = opened(_without_empty(piece))
    if not 1 <= number <= len(piece.rounds):
        return refused("no_such_round", round=number, last=len(piece.rounds))
    if len(piece.rounds) == 1:
        return refused("only_round")
    gone = piece.rounds[number - 1]
    shaped = replace(piece, rounds=(*piece.rounds[: number - 1], *piece.rounds[number:]))
    told: dict[str, int | str] = {"word": word_of(piece), "round": number, "last": len(shaped.rounds)}
    dropped: tuple[Told, ...] = tuple(("note_scratched", {"text": said_note(text)}) for text in gone.notes)
    shift = Shift(number, number, -1, len(piece.rounds))
    return _moved(draft, shaped, shift, Result(None, "earlier_round_scratched", told, more=dropped))


def insert_round(draft: Draft, slots: Slots) -> Result:
    """A round once more after itself, without its notes."""
    piece, number = draft.piece, int(slots["round"])
    if piece is None:
        return refused("nothing_to_shape")
    piece = opened(_without_empty(piece))
    if not 1 <= number <= len(piece.rounds):
        return refused("no_such_round", round=number, last=len(piece.rounds))
    entry = piece.rounds[number - 1]
    again = DraftRound(without_its_colour(entry.items), entry.stretch)
    shaped = replace(piece, rounds=(*piece.rounds[:number], again, *piece.rounds[number:]))
    told: dict[str, int | str] = {"word": word_of(piece), "round": number, "next": number + 1}
    # Nothing between is changed: what came after the round moves on.
    shift = Shift(number + 1, number, 1, len(piece.rounds))
    inserted = Result(None, "round_inserted", told, more=_unfitting(draft, shaped, number + 1))
    return _with_total(draft, shaped, shift, inserted, number + 1, "stitches", "round_inserted_unknown")


def find_rounds(draft: Draft, slots: Slots) -> Result:
    """What was made freely cut into rounds, each once around the stitches below it."""
    piece = draft.piece
    if piece is None or not piece.round.has_work:
        return refused("nothing_to_shape")
    begun, notes = piece.first, piece.round.notes
    piece = replace(piece.with_round(replace(piece.round, notes=())), free=False)
    while (parts := _next_cut(draft, piece)) is not None and parts[1]:
        piece = replace(piece, rounds=(*piece.rounds[:-1], DraftRound(parts[0]), DraftRound(parts[1])))
    piece = piece.with_round(replace(piece.round, notes=notes))
    counts = last_round(draft, piece)
    known = counts is not None and counts.takes is not None and counts.below is not None
    clear = known and counts.takes <= counts.below  # type: ignore[union-attr,operator]  # just looked at
    if piece.first == begun:
        return _shaped(draft, piece, "one_round", {}) if clear else refused("rounds_unclear", round=begun)
    last, word = piece.first - 1, word_of(piece)
    named = f"{word} {cardinal(begun)}" if last == begun else f"{word}s {cardinal(begun)} to {cardinal(last)}"
    told = {"named": named, "totals": _totals(draft, piece, begun)}
    return _shaped(draft, piece, "rounds_found" if clear else "rounds_found_until", told)


def _off_the_ring(items: Items) -> Items:
    """The items as they are worked after the ring was closed: into the stitches of the round below."""
    return tuple(replace(item, into="") if isinstance(item, Motion) and item.into == "ring" else item for item in items)


def _totals(draft: Draft, piece: DraftPiece, begun: int) -> str:
    """The totals of the rounds from that number on, but for the present one."""
    rounds = opened(piece).rounds
    counts = [_counts(draft, piece, rounds[:at], rounds[at].items) for at in range(begun - 1, len(rounds) - 1)]
    return listed([cardinal(found.gives) for found in counts if found is not None and found.gives is not None])


def _next_cut(draft: Draft, piece: DraftPiece) -> tuple[Items, Items] | None:
    """The present stretch cut where its first round ends; None where that is not known, or it does not end yet."""
    before, items = piece.rounds[:-1], piece.round.items
    if not before and (end := _ring_end(items)):
        return items[:end], items[end:]

    def reach(prefix: Items) -> int:
        counts = _counts(draft, piece, before, prefix)
        if counts is None or counts.takes is None or not counts.below:
            return -1
        return counts.takes - counts.below

    return cut(items, reach)


def _ring_end(items: Items) -> int:
    """How many of the items are worked into a ring; 0 where none is, or all are."""
    if not any(item == Act("ring") or (isinstance(item, Motion) and item.into == "ring") for item in items):
        return 0
    named = any(isinstance(item, Motion) and item.into == "ring" for item in items)
    for at, item in enumerate(items):
        motions = [item] if isinstance(item, Motion) else list(item.items) if isinstance(item, Group) else []
        if any(isinstance(m, Motion) and m.into != "ring" and (named or into_stitches(m)) for m in motions):
            while at and isinstance(items[at - 1], Chain | Colour):
                at -= 1
            return at
    return 0


def _counts(draft: Draft, piece: DraftPiece, before: tuple[DraftRound, ...], items: Items) -> Worked | None:
    """What is worked out of these items as the round after those before it; None where there are none."""
    if not items:
        return None
    return last_round(draft, replace(piece, rounds=(*before, DraftRound(items))))


def _spelled(draft: Draft, piece: DraftPiece, before: tuple[DraftRound, ...], items: Items) -> Items:
    """The items with a number for what is worked "in each stitch", so that it can be cut."""
    found: Items = ()
    for item in items:
        if isinstance(item, Motion) and item.each:
            reached = [_counts(draft, piece, before, prefix) for prefix in ((*found, item), found)]
            whole, part = (counts.takes if counts is not None and counts.takes else 0 for counts in reached)
            if whole > part:
                item = replace(item, each=False, left=0, count=(whole - part) // item.together)
        found = (*found, item)
    return found


def opened(piece: DraftPiece) -> DraftPiece:
    """The piece with each of several equal rounds by itself. What is noted stands after the last of them."""
    rounds: list[DraftRound] = []
    for entry in piece.rounds:
        one = replace(entry, times=1)
        rounds.append(one)
        if entry.times > 1:
            again = replace(one, items=without_its_colour(entry.items))
            rounds[-1] = replace(one, notes=())
            rounds += [replace(again, notes=())] * (entry.times - 2) + [again]
    return replace(piece, rounds=tuple(rounds))


def _without_empty(piece: DraftPiece) -> DraftPiece:
    """The piece without a present round that has nothing in it, where there is one before it."""
    return piece if piece.round.items or len(piece.rounds) == 1 else replace(piece, rounds=piece.rounds[:-1])


def _with_total(
    draft: Draft, shaped: DraftPiece, shift: Shift, result: Result, number: int, called: str, unknown: str
) -> Result:
    """The result with the total of that round of the piece as the slot `called`; the sentence `unknown` without it."""
    counts = _counts(draft, shaped, shaped.rounds[: number - 1], shaped.rounds[number - 1].items)
    if counts is None or counts.gives is None:
        return _moved(draft, shaped, shift, replace(result, say=unknown))
    return _moved(draft, shaped, shift, replace(result, slots={**result.slots, called: counts.gives}))


def _moved(draft: Draft, piece: DraftPiece, shift: Shift, result: Result) -> Result:
    """The result with that piece, and with the notes that name its rounds."""
    found = renumber(draft.with_piece(piece), shift)
    word = word_of(piece)
    notes: list[Told] = [("note_renumbered", {"word": word, "text": said_note(text)}) for text in found.changed]
    notes += [("note_doubtful", {"word": word, "text": said_note(text)}) for text in found.doubtful]
    return replace(result, draft=found.draft, notes=tuple(notes))


def _unfitting(draft: Draft, piece: DraftPiece, *numbers: int) -> tuple[Told, ...]:
    """What is to be told of those rounds of an opened piece that do not take what is there."""
    found: list[Told] = []
    for number in numbers:
        counts = _counts(draft, piece, piece.rounds[: number - 1], piece.rounds[number - 1].items)
        if counts is not None and not counts.fits and counts.takes is not None and counts.below is not None:
            told: Slots = {"word": word_of(piece), "round": number, "takes": counts.takes, "below": counts.below}
            found.append(("round_unfitting_now", told))
    return tuple(found)


def said_note(note: str) -> str:
    """A note as a sentence of its own."""
    return sentence(capital(note.removeprefix("Note: ")))


def _shaped(draft: Draft, piece: DraftPiece, say: str, told: Slots) -> Result:
    return Result(draft.with_piece(piece), say, told, reads=True)
