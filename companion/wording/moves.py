"""Replies to moves, refusals and the questions the companion asks. The number acted on comes first, always."""

from __future__ import annotations

from dataclasses import replace

from companion.place import answers as a
from companion.place.where import Where
from companion.wording.dispatch import say
from companion.wording.notices import around, still_to_do, turning
from companion.wording.numbers import cardinal, counted, listed, stitches, times
from companion.wording.tools import Tools, joined


def round_done(where: Where, tools: Tools) -> str:
    """ "Round four done, twenty four stitches." """
    if where.kind == "assembly":
        return tools.text("moves.step_done")
    if where.stitches is None:
        return tools.text("moves.round_done_unknown", round=tools.round(where))
    key = "moves.round_done" if where.basis == "worked_out" else "moves.round_done_pattern_says"
    return tools.text(key, round=tools.round(where), total=stitches(where.stitches), count=cardinal(where.stitches))


def count(where: Where, tools: Tools) -> str:
    """Where we are, with made and left: "round five, twelve made, eighteen left". No capital, no full stop."""
    place = tools.place(where)
    if where.kind == "assembly":
        return place
    if where.stitches is None:
        return f"{place}, {cardinal(where.stitch)} made"
    if not where.stitch and where.basis == "worked_out":
        return f"{place}, at its start, {cardinal(where.stitches)} to make"
    if where.basis != "worked_out":
        return f"{place}, {cardinal(where.stitch)} made, the pattern says {cardinal(where.stitches)}"
    return f"{place}, {cardinal(where.stitch)} made, {_left(where)} left"


@say.register
def _(answer: a.RoundStarted, tools: Tools) -> str:
    now, said = answer.now, answer.said or 0
    rounds = tools.rounds(said)
    parts = [round_done(answer.done, tools)] if answer.done else []
    begins = any(isinstance(notice, a.PieceBegins) for notice in answer.notices)
    if answer.by == "back":
        parts.append(tools.text("moves.back_rounds", rounds=rounds) if said else tools.text("moves.back"))
    elif answer.by == "ripped":
        key = "moves.ripped" if answer.lost is not None else "moves.ripped_unknown"
        parts.append(tools.text(key, lost=stitches(answer.lost or 0), rounds=rounds))
    elif not begins:
        parts.append(_piece_reached(answer, tools))
    parts.append(around(answer.notices, answer.reading, now, tools))
    if now.stitch and answer.by != "ripped":
        key = "moves.left_at" if now.stitches is not None else "moves.left_at_unknown"
        total = cardinal(now.stitches or 0)
        parts.append(tools.text(key, stitch=cardinal(now.stitch), total=total, round=tools.round(now)))
    return joined(*parts)


def _piece_reached(answer: a.RoundStarted, tools: Tools) -> str:
    """The piece, where the move led to another one that is not at its beginning; the copy where it was asked for."""
    now, before = answer.now, answer.before
    if answer.by == "copy":
        copies = {"copy": cardinal(now.copy), "copies": cardinal(now.copies)}
        return tools.text("moves.copy", piece=tools.piece(now.piece), **copies)
    if answer.by == "piece" or (now.piece, now.copy) != (before.piece, before.copy):
        return tools.text("moves.piece", piece=tools.piece_at(now))
    return ""


_MADE: dict[a.StitchMove, str] = {
    "more": "made_more",
    "next_stitch": "made_more",
    "next_run": "made_more",
    "back": "made_back",
    "ripped": "made_ripped",
}


@say.register
def _(answer: a.StitchesMade, tools: Tools) -> str:
    now = answer.now
    key = _MADE.get(answer.by, "made")
    if now.stitches is None:
        key += "_unknown"
    elif now.basis != "worked_out":
        key += "_pattern_says"
    made = tools.text(
        f"moves.{key}",
        said=cardinal(abs(answer.said)),
        made=cardinal(now.stitch),
        left=_left(now),
        total=stitches(now.stitches or 0),
    )
    if answer.by in ("finished_repeat", "next_repeat") and answer.before.repeat and answer.before.repeats:
        finished = tools.text(
            "moves.repeat_finished",
            repeat=cardinal(answer.before.repeat),
            repeats=cardinal(answer.before.repeats),
        )
        made = finished + made[0].lower() + made[1:]
    parts = [made]
    if answer.fewer and answer.by not in ("back", "ripped"):
        parts.append(tools.text("moves.fewer", fewer=cardinal(answer.before.stitch - now.stitch)))
    if now.within:
        parts.append(tools.text("moves.within"))
    if now.full:
        parts.append(tools.text("moves.full_round", round=tools.round(now)))
    parts.append(around(answer.notices, answer.reading, now, tools))
    return joined(*parts)


def _left(where: Where) -> str:
    return cardinal(where.left) if where.left else "none"


@say.register
def _(answer: a.AllDone, tools: Tools) -> str:
    return joined(round_done(answer.done, tools), _all_done(answer, tools))


def _all_done(answer: a.AllDone, tools: Tools) -> str:
    key = "moves.all_done" if answer.stitches is not None else "moves.all_done_unknown"
    pieces = counted(answer.pieces, "piece")
    return joined(
        around(answer.notices, None, answer.done, tools),
        tools.text(key, pieces=pieces, stitches=stitches(answer.stitches or 0)),
    )


@say.register
def _(answer: a.Undone, tools: Tools) -> str:
    what = tools.command(answer.command, answer.said)
    return tools.text("moves.undone", what=what, place=count(answer.now, tools))


@say.register
def _(answer: a.Redone, tools: Tools) -> str:
    what = tools.command(answer.command, answer.said)
    return tools.text("moves.redone", what=what, place=count(answer.now, tools))


@say.register
def _(answer: a.NothingToUndo, tools: Tools) -> str:
    return tools.text("moves.nothing_to_undo", place=count(answer.now, tools))


@say.register
def _(answer: a.NothingToRedo, tools: Tools) -> str:
    return tools.text("moves.nothing_to_redo", place=count(answer.now, tools))


@say.register
def _(answer: a.AskRip, tools: Tools) -> str:
    key = "moves.ask_rip" if answer.lost is not None else "moves.ask_rip_unknown"
    return tools.text(
        key,
        rounds=tools.rounds(answer.rounds),
        lost=stitches(answer.lost or 0),
        round=tools.place(answer.landing),
    )


@say.register
def _(answer: a.AskCarry, tools: Tools) -> str:
    return tools.text("moves.ask_carry", last_known=tools.speak(answer.last_known), place=count(answer.proposed, tools))


@say.register
def _(answer: a.Chosen, tools: Tools) -> str:
    key = "moves.chosen_printed" if answer.printed else "moves.chosen_worked_out"
    return tools.text(key, stitches=stitches(answer.stitches), round=tools.place(answer.now))


@say.register
def _(answer: a.NotDone, tools: Tools) -> str:
    return tools.text("moves.lapsed" if answer.lapsed else "moves.not_done", place=count(answer.now, tools))


@say.register
def _(answer: a.Held, tools: Tools) -> str:
    done = "" if answer.again else round_done(answer.done, tools)
    return joined(done, _held(answer, tools))


def _held(answer: a.Held, tools: Tools) -> str:
    more = tools.text("turning.more", more=cardinal(answer.more)) if answer.more else ""
    told = joined(around(answer.notices, None, answer.done, tools), more)
    if answer.again:
        return joined(told, still_to_do(answer.turning, tools))
    first = around(answer.first, None, answer.done, tools)
    return joined(first, turning(answer.turning, tools), told, tools.text("turning.ask"))


@say.register
def _(answer: a.Released, tools: Tools) -> str:
    # that the round is done was told when the work was held
    match answer.then:
        case a.RoundStarted() as started:
            then = say(replace(started, done=None), tools)
        case a.AllDone() as all_done:
            then = _all_done(all_done, tools)
        case a.Held() as held:
            then = _held(held, tools)
    return joined(tools.text(f"turning.{answer.how}"), then)


@say.register
def _(answer: a.Refused, tools: Tools) -> str:
    now = answer.now
    slots = {
        "said": cardinal(answer.said or 0),
        "round": tools.round(now),
        "place": count(now, tools),
        "piece": tools.piece(answer.name) if answer.name else tools.piece_at(now),
        "made": cardinal(now.stitch) if now.stitch else "none",
        "left": _left(now),
        "total": stitches(now.stitches or 0),
        "first": cardinal(answer.first or 0),
        "last": cardinal(answer.last or 0),
        "limit": cardinal(answer.limit or 0),
        "times": times(answer.limit or 0),
        "repeats": counted(answer.limit or 0, "repeat"),
        "name": tools.speak(answer.name),
        "names": listed([tools.speak(name).lower() for name in answer.names]),
    }
    return tools.text(f"refusals.{_refusal(answer)}", **slots)


def _refusal(answer: a.Refused) -> str:
    reason, now = answer.reason, answer.now
    match reason:
        case a.Reason.BEYOND_ROUND if now.stitches is None:
            return "beyond_round_unknown"
        case a.Reason.BEYOND_ROUND if now.basis != "worked_out":
            return "beyond_round_pattern_says"
        case a.Reason.BEYOND_ROUND if answer.command == "more":
            return "beyond_round_more"
        case a.Reason.NO_SUCH_ROUND if answer.first is None or answer.last is None:
            return "no_rounds_numbered"
        case a.Reason.NO_ROUND_BEFORE if not answer.limit:
            return "no_round_before_any"
        case a.Reason.NO_REPEAT_HERE if answer.limit:
            return "too_many_repeats"
        case a.Reason.NO_SUCH_PROJECT if not answer.names:
            return "no_projects"
        case _:
            return reason.value
