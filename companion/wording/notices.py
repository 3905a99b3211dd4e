"""What is told beside a reading or a reply: doubts, notes, colours, turning points, beginnings and ends of pieces."""

from __future__ import annotations

from collections.abc import Sequence

from companion.place import answers as a
from companion.place.where import Where
from companion.wording.numbers import cardinal, counted, listed, stitches
from companion.wording.tools import Tools, joined


def around(notices: Sequence[a.Notice], reading: a.Reading | None, where: Where, tools: Tools) -> str:
    """A reading with what belongs to it: what is needed while the round is made comes after it, all else before it."""

    def during(item: a.Notice) -> bool:
        return isinstance(item, a.ColourAhead | a.TurningAhead) or (
            isinstance(item, a.NoteHere) and item.note.when == "during"
        )

    before = [item for item in notices if not during(item)]
    after = [item for item in notices if during(item)]
    differs = any(isinstance(n, a.Disagrees) for n in notices)
    read = tools.reading(reading, plain_total=differs) if reading else ""
    told_by_reading = reading is not None and reading.grain == "round" and reading.whole
    return joined(
        *(notice(n, where, tools, told_by_reading) for n in before),
        read,
        *(notice(n, where, tools, told_by_reading) for n in after),
    )


def notice(item: a.Notice, where: Where, tools: Tools, told_by_reading: bool = False) -> str:
    """One notice in words. `told_by_reading`: the whole round is read too, and tells totals and colours itself."""
    match item:
        case a.Disagrees():
            return tools.text("notices.disagrees", worked_out=cardinal(item.worked_out), printed=cardinal(item.printed))
        case a.PatternSays():
            return "" if told_by_reading else tools.text("notices.pattern_says", stitches=stitches(item.stitches))
        case a.TotalUnknown():
            return "" if told_by_reading else tools.text("notices.total_unknown")
        case a.Unreadable():
            return tools.text("notices.unreadable")
        case a.ProblemHere():
            return tools.speak(item.problem.message)
        case a.NoteHere():
            return tools.text("notices.note", text=tools.note(item.note))
        case a.ColourAhead():
            return _colour(item, where, tools, told_by_reading)
        case a.ShapeHere():
            return tools.text(f"notices.shape_{item.shape or 'unknown'}")
        case a.PieceBegins():
            return _begins(item, tools)
        case a.PieceEnds():
            return _ends(item, tools)
        case a.SmallParts():
            return tools.text("notices.small_parts")
        case a.RestHands():
            return tools.text("notices.rest_hands", minutes=counted(item.minutes, "minute"))
        case a.PiecesOpen():
            copies = {piece.name: piece.make for piece in tools.pattern.pieces}
            pieces = [tools.piece(name, copy, copies.get(name, 1)) for name, copy in item.pieces]
            return tools.text("notices.pieces_open", pieces=listed(pieces))
        case a.TurningAhead():
            return tools.text("notices.turning_ahead", turning=turning(item.turning, tools))
        case a.TurningPassed():
            return tools.text("notices.turning_passed", turning=turning(item.turning, tools))
        case a.PatternChanged():
            key = "notices.pattern_changed" + ("_moved" if item.moved else "")
            return tools.text(key, before=tools.speak(item.label_before), round=tools.round(where))


def turning(point: a.Turning, tools: Tools) -> str:
    """What must be done now, and until when: advice in full, the pattern's own words always."""
    advice = ""
    written = point.text or _eye_place(point.between_rounds, point.stitches_apart, tools.noun)
    if point.kind == "reminder":
        return tools.text("turning.reminder", text=tools.speak(point.text).rstrip("."))
    if point.kind == "colour":
        advice = tools.text("turning.colour", colour=tools.speak(point.colour)) if point.colour else ""
        advice = advice or tools.text("turning.colour_unnamed")
    elif point.kind == "stuffing" and point.basis == "practice":
        advice = tools.text("turning.stuffing_practice")
    elif tools.full or not written or point.kind == "eyes":
        advice = tools.text(f"turning.{point.kind}")
    last = tools.text("turning.last_chance", round=cardinal(point.last_chance)) if point.last_chance else ""
    quoted = tools.text("turning.as_written", text=tools.speak(written).rstrip(".")) if written else ""
    return joined(advice, quoted, last)


def still_to_do(point: a.Turning | None, tools: Tools) -> str:
    """What the work is still held for, with what to answer; "" where nothing holds it."""
    if point is None:
        return ""
    held = tools.text("turning.still_to_do", turning=turning(point, tools))
    return joined(held, tools.text("turning.ask"))


def _eye_place(between: tuple[int, int] | None, apart: int | None, noun: str) -> str:
    words = [f"between {noun}s {cardinal(between[0])} and {cardinal(between[1])}"] if between else []
    if apart is not None:
        words.append(f"{stitches(apart)} apart")
    return ", ".join(words)


def _colour(item: a.ColourAhead, where: Where, tools: Tools, told_by_reading: bool) -> str:
    colour = tools.speak(item.colour)
    if item.at_round_end:
        return tools.text("notices.colour_at_end", round=tools.round(where), colour=colour)
    if told_by_reading:
        return ""
    if not item.stitch:
        return tools.text("notices.colour_start", colour=colour)
    return tools.text("notices.colour_within", stitch=cardinal(item.stitch), colour=colour)


def _begins(item: a.PieceBegins, tools: Tools) -> str:
    if item.copies == 1:
        return tools.text("notices.piece_begins", piece=tools.piece(item.piece))
    begins = tools.text(
        "notices.piece_begins_copies",
        piece=tools.piece(item.piece),
        copy=cardinal(item.copy),
        copies=cardinal(item.copies),
    )
    if item.copy == 1 or not item.same_as_first:
        return begins
    return joined(begins, tools.text("notices.same_as_first", rounds=tools.rounds(item.same_as_first, item.piece)))


def _ends(item: a.PieceEnds, tools: Tools) -> str:
    piece, rounds = tools.piece(item.piece, item.copy, item.copies), tools.rounds(item.rounds, item.piece)
    if item.stitches is None:
        return tools.text("notices.piece_ends_unknown", piece=piece, rounds=rounds)
    return tools.text("notices.piece_ends", piece=piece, rounds=rounds, stitches=stitches(item.stitches))
