"""What each command does to the draft. A command is a function from a draft and slots to a `Result`."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from companion.dictation.chains import chain_counts, first_chain
from companion.dictation.draft import Draft, DraftPiece, DraftRound
from companion.dictation.faithful import reads_as_said
from companion.dictation.figures import in_figures
from companion.dictation.lines import is_full, next_round, open_round, say_line, without_its_colour
from companion.dictation.result import Result, Slots, refused
from companion.dictation.script import EYES, last_round, word_of
from companion.dictation.shaping import (
    find_rounds,
    insert_round,
    join_rounds,
    round_ended,
    said_note,
    scratch_named,
    work_freely,
)
from companion.phrases.line import Colour
from companion.wording.numbers import cardinal
from companion.wording.spoken import sentence
from companion.wording.tools import capital

Command = Callable[[Draft, Slots], Result]


def perform(draft: Draft, name: str, slots: Slots) -> Result:
    """The draft after the command. What could not be read again as it was said is refused."""
    if name not in ("choose_all", "choose_last") and draft.question:
        draft = replace(draft, question=())
    result = COMMANDS[name](draft, {slot: _tidy(slot, value) for slot, value in slots.items()})
    if result.draft is not None and not result.draft.question and not reads_as_said(result.draft):
        return refused("cannot_write")
    return result


def _tidy(slot: str, value: int | str) -> int | str:
    """Free words without the stop or comma that the ear may put after them."""
    return value if isinstance(value, int) or slot == "line" else value.strip().rstrip(".,;:!? ")


def _stitches(draft: Draft, slots: Slots) -> Result:
    draft, piece = _begun(draft)
    return say_line(draft, piece, slots)


def _choose(which: int) -> Command:
    def choose(draft: Draft, slots: Slots) -> Result:
        if not draft.question:
            return refused("nothing_asked")
        return Result(draft.with_piece(draft.question[which]), reads=True)

    return choose


def _next_round(draft: Draft, slots: Slots) -> Result:
    piece = draft.piece
    if piece is None or not piece.round.items:
        return refused("round_empty", round=piece.first if piece else 1)
    counts = last_round(draft)
    if not piece.round.has_work or (counts is not None and counts.below == 0 and not counts.gives):
        # Only a colour so far, or a chain or ring that nothing was worked into: that is no round yet.
        return Result(draft.with_piece(piece), "round_begins", {"word": word_of(piece), "round": piece.first})
    told: dict[str, int | str] = {"word": word_of(piece), "round": piece.number + 1}
    if counts is None or counts.fits or counts.takes is None or counts.below is None:
        return Result(draft.with_piece(next_round(piece)), "round_begins", told)
    told |= {"takes": counts.takes, "below": counts.below}
    return Result(draft.with_piece(next_round(piece)), "round_begins_unfitting", told)


def _round_number(draft: Draft, slots: Slots) -> Result:
    draft, piece = _begun(draft)
    first = int(slots["round"])
    last = int(slots.get("last", first))
    opened = open_round(piece, first, last)
    if isinstance(opened, Result):
        return opened
    said = "round_begins" if last == first else "rounds_begin"
    return Result(draft.with_piece(opened), said, {"word": word_of(piece), "round": first, "last": last})


def _same_again(draft: Draft, slots: Slots) -> Result:
    piece, times = draft.piece, int(slots["times"])
    if piece is None or not any(entry.has_work for entry in piece.rounds):
        return refused("nothing_before")
    if piece.round.has_work:
        piece = next_round(piece)
    items = without_its_colour(piece.rounds[-2].items)
    if piece.round.items and isinstance(items[0], Colour):
        items = items[1:]  # another has been named
    again = replace(piece.round, items=(*piece.round.items, *items), times=times)
    return Result(draft.with_piece(piece.with_round(again)), reads=True)


def _says_total(draft: Draft, slots: Slots) -> Result:
    said, counts = int(slots["stitches"]), last_round(draft)
    if counts is None or counts.gives is None:
        return refused("no_total", said=said)
    if counts.gives != said:
        return refused("other_total", said=said, total=counts.gives)
    return Result(draft, "total_agrees", {"said": said})


def _new_piece(draft: Draft, slots: Slots) -> Result:
    before, piece = draft.pieces, draft.piece
    if piece is not None and piece == DraftPiece(piece.name):
        before = before[:-1]  # nothing was said of it but its name
    name = str(slots.get("name", "")) or f"piece {cardinal(len(before) + 1)}"
    if any(other.name.casefold() == name.casefold() for other in before):
        return refused("name_taken", name=name)
    return Result(replace(draft, pieces=(*before, DraftPiece(name)), question=()), "piece_begins", {"name": name})


def _rename_piece(draft: Draft, slots: Slots) -> Result:
    draft, piece = _begun(draft)
    name = str(slots["name"])
    if any(other.name.casefold() == name.casefold() for other in draft.pieces[:-1]):
        return refused("name_taken", name=name)
    return Result(draft.with_piece(replace(piece, name=name)), "piece_named", {"name": name})


def _make_copies(draft: Draft, slots: Slots) -> Result:
    draft, piece = _begun(draft)
    copies = int(slots["copies"])
    return Result(draft.with_piece(replace(piece, make=copies)), "copies", {"name": piece.name, "make": copies})


def _shaped(draft: Draft, slots: Slots) -> Result:
    draft, piece = _begun(draft)
    shape = str(slots["shape"])
    return Result(draft.with_piece(replace(piece, shape=shape)), f"shape_{shape}")  # type: ignore[arg-type]


def _change_colour(draft: Draft, slots: Slots) -> Result:
    draft, piece = _begun(draft)
    counts = last_round(draft) if piece.round.has_work and not piece.free else None
    if counts is not None and is_full(piece, counts):
        piece = next_round(piece)
    entry = replace(piece.round, items=(*piece.round.items, Colour(str(slots["colour"]))))
    told = {"colour": slots["colour"], "word": word_of(piece), "round": piece.first}
    return Result(draft.with_piece(piece.with_round(entry)), "colour", told)


def _note(draft: Draft, slots: Slots) -> Result:
    return _noted(draft, f"Note: {slots['text']}", "noted", {"text": slots["text"]})


def _eyes(draft: Draft, slots: Slots) -> Result:
    first, last = int(slots["first"]), int(slots["last"])
    if last != first + 1:
        return refused("eyes_rounds", first=first, last=last)
    text = f"{EYES} between rounds {first} and {last}"
    if "apart" in slots:
        return _noted(draft, f"{text}, {slots['apart']} stitches apart.", "eyes_apart", slots)
    return _noted(draft, f"{text}.", "eyes", slots)


def _noted(draft: Draft, text: str, say: str, slots: Slots) -> Result:
    draft, piece = _begun(draft)
    if not any(entry.has_work for entry in piece.rounds):
        return Result(draft.with_piece(replace(piece, notes=(*piece.notes, text))), say, slots)
    rounds = list(piece.rounds)
    at = -1 if piece.round.has_work else -2
    rounds[at] = replace(rounds[at], notes=(*rounds[at].notes, text))
    return Result(draft.with_piece(replace(piece, rounds=tuple(rounds))), say, slots)


def _about(field: str) -> Command:
    def tell(draft: Draft, slots: Slots) -> Result:
        text = str(slots["terms" if field == "terms" else "text"])
        text = capital(text) if field == "title" else in_figures(text) if field in ("hook", "gauge") else text
        return Result(replace(draft, **{field: text}), field, {"text": text})  # type: ignore[arg-type]

    return tell


def _also_needed(draft: Draft, slots: Slots) -> Result:
    text = str(slots["text"])
    return Result(replace(draft, needed=(*draft.needed, text)), "also_needed", {"text": text})


def _assembly(draft: Draft, slots: Slots) -> Result:
    step = sentence(str(slots["text"]))
    return Result(replace(draft, assembly=(*draft.assembly, step)), "assembly", {"text": step.rstrip(".")})


def _scratch_round(draft: Draft, slots: Slots) -> Result:
    piece = draft.piece
    if "round" in slots and not (piece is not None and piece.first <= int(slots["round"]) <= piece.number):
        return scratch_named(draft, slots)
    if piece is None:
        return refused("nothing_to_scratch")
    if not piece.round.items and len(piece.rounds) > 1:
        piece = replace(piece, rounds=piece.rounds[:-1])
    if not piece.round.items:
        return refused("nothing_to_scratch")
    told: dict[str, int | str] = {"word": word_of(piece), "round": piece.first, "last": piece.number}
    say = "round_scratched" if piece.round.times == 1 else "rounds_scratched"
    gone = tuple(("note_scratched", {"text": said_note(text)}) for text in piece.round.notes)
    return Result(draft.with_piece(piece.with_round(DraftRound())), say, told, notes=gone)


def _begun(draft: Draft) -> tuple[Draft, DraftPiece]:
    """The draft with a piece to write into, and that piece."""
    if draft.piece is not None:
        return draft, draft.piece
    piece = DraftPiece("piece one")
    return replace(draft, pieces=(piece,)), piece


COMMANDS: dict[str, Command] = {
    "stitches": _stitches,
    "choose_all": _choose(0),
    "choose_last": _choose(-1),
    "next_round": _next_round,
    "round_number": _round_number,
    "same_again": _same_again,
    "work_freely": work_freely,
    "find_rounds": find_rounds,
    "round_ended": round_ended,
    "join_rounds": join_rounds,
    "insert_round": insert_round,
    "first_chain": first_chain,
    "chain_counts": chain_counts,
    "says_total": _says_total,
    "new_piece": _new_piece,
    "rename_piece": _rename_piece,
    "make_copies": _make_copies,
    "shaped": _shaped,
    "change_colour": _change_colour,
    "note": _note,
    "eyes": _eyes,
    "title": _about("title"),
    "hook": _about("hook"),
    "yarn": _about("yarn"),
    "gauge": _about("gauge"),
    "designer": _about("designer"),
    "also_needed": _also_needed,
    "assembly": _assembly,
    "terms": _about("terms"),
    "scratch_round": _scratch_round,
}
"""Every command that writes in the draft."""
