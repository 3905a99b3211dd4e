"""Answers to questions: one short sentence each, the number asked for first."""

from __future__ import annotations

from companion.place import answers as a
from companion.place.where import Where
from companion.wording.dispatch import say
from companion.wording.notices import around, still_to_do
from companion.wording.numbers import about, cardinal, counted, stitches
from companion.wording.tools import Tools, joined


def _left_words(number: int) -> str:
    return cardinal(number) if number else "none"


@say.register
def _(answer: a.StitchesLeft, tools: Tools) -> str:
    now = answer.now
    slots = {
        "round": tools.round(now),
        "piece": tools.piece_at(now),
        "made": _left_words(answer.made or 0),
        "left": _left_words(answer.left or 0),
        "total": cardinal(answer.total or 0),
        "rounds": counted(answer.rounds_after, f"more {tools.noun}"),
    }
    if answer.left is None:
        if answer.scope == "repeat":
            return tools.text("questions.no_repeat", **slots)
        return tools.text("questions.left_unknown", **slots)
    if answer.unknown_rounds:
        return tools.text("questions.left_some_unknown", unknown=tools.rounds(answer.unknown_rounds), **slots)
    if answer.basis != "worked_out":
        return tools.text("questions.left_pattern_says", **slots)
    key = f"questions.left_{answer.scope}"
    if answer.scope == "piece" and not answer.rounds_after:
        key = "questions.left_piece_last"
    return tools.text(key, **slots)


@say.register
def _(answer: a.StitchesDone, tools: Tools) -> str:
    now = answer.now
    key = "questions.done"
    if now.stitches is None:
        key = "questions.done_unknown"
    elif now.basis != "worked_out":
        key = "questions.done_pattern_says"
    return tools.text(
        key,
        made=_left_words(now.stitch),
        total=cardinal(now.stitches or 0),
        round=tools.round(now),
        left=_left_words(now.left or 0),
    )


@say.register
def _(answer: a.RoundsLeft, tools: Tools) -> str:
    key = "questions.rounds_left" if answer.left else "questions.rounds_left_none"
    text = tools.text(
        key,
        rounds=tools.rounds(answer.left),
        round=tools.round(answer.now),
        piece=tools.piece_at(answer.now),
    )
    steps = tools.text("questions.steps_left", steps=counted(answer.steps, "step")) if answer.steps else ""
    return joined(text, steps)


@say.register
def _(answer: a.RoundsTotal, tools: Tools) -> str:
    text = tools.text(
        "questions.rounds_total",
        rounds=tools.rounds(answer.rounds),
        piece=tools.piece_at(answer.now),
        round=tools.round(answer.now),
    )
    steps = tools.text("questions.steps_left", steps=counted(answer.steps, "step")) if answer.steps else ""
    return joined(text, steps)


@say.register
def _(answer: a.Repeats, tools: Tools) -> str:
    if answer.repeats is None or answer.repeat is None:
        return tools.text("questions.no_repeat", round=tools.round(answer.now))
    slots = {
        "repeat": cardinal(answer.repeat),
        "repeats": cardinal(answer.repeats),
        "left": cardinal(answer.left or 0),
    }
    if answer.asked == "which_repeat":
        return tools.text("questions.which_repeat" if answer.left else "questions.which_repeat_over", **slots)
    if not answer.left:
        return tools.text("questions.repeats_left_over", **slots)
    return tools.text("questions.repeats_left" if answer.left > 1 else "questions.repeats_left_last", **slots)


@say.register
def _(answer: a.Total, tools: Tools) -> str:
    of = answer.of
    slots = {
        "round": tools.round(of),
        "total": stitches(answer.stitches or 0),
        "count": cardinal(answer.stitches or 0),
        "printed": cardinal(answer.printed or 0),
        "spaces": counted(answer.chain_spaces, "chain space"),
    }
    if answer.stitches is None:
        return tools.text("questions.total_unknown", **slots)
    if answer.basis != "worked_out":
        return tools.text("questions.total_pattern_says", **slots)
    if answer.printed is not None and answer.printed != answer.stitches:
        return tools.text("questions.total_differs", **slots)
    if answer.chain_spaces:
        return tools.text("questions.total_chain_spaces", **slots)
    return tools.text("questions.total", **slots)


@say.register
def _(answer: a.NoRound, tools: Tools) -> str:
    key = "questions.no_round_before" if answer.which == "last" else "questions.no_round_after"
    return tools.text(key, piece=tools.piece_at(answer.now))


@say.register
def _(answer: a.WorkedInto, tools: Tools) -> str:
    slots = {
        "round": tools.round(answer.now),
        "stitches": stitches(answer.stitches or 0),
        "into": tools.speak(answer.into or ""),
    }
    if answer.into:
        return tools.text("questions.worked_into_named" + ("_count" if answer.stitches else ""), **slots)
    if answer.stitches is None:
        return tools.text("questions.worked_into_unknown", **slots)
    return tools.text("questions.worked_into" if answer.stitches else "questions.worked_into_ring", **slots)


@say.register
def _(answer: a.WhatNext, tools: Tools) -> str:
    now = answer.now
    if answer.run is None:
        if answer.next_round is None:
            return tools.text("questions.nothing_next", round=tools.round(now))
        full = tools.text("questions.round_full", round=tools.round(now)) if now.full else ""
        return joined(full, tools.reading(answer.next_round))
    run = tools.run(answer.run, now)
    if answer.then is not None:
        return tools.text("questions.next_then", run=run, then=tools.run(answer.then, now))
    return tools.text("questions.next_last", run=run)


@say.register
def _(answer: a.NextStitch, tools: Tools) -> str:
    now = answer.now
    if answer.asked == "after_that":
        if answer.run is None:
            return tools.text("questions.after_that_end", round=tools.round(now))
        return tools.text("questions.after_that", run=tools.run(answer.run, now))
    if answer.run is None:
        return tools.text("questions.round_full", round=tools.round(now))
    return tools.text("questions.next_stitch", run=tools.run(answer.run, now))


@say.register
def _(answer: a.RoundRead, tools: Tools) -> str:
    return around(answer.notices, answer.reading, answer.reading.where, tools)


def where(now: Where, tools: Tools) -> str:
    """Where we are, as a sentence with made, left and total."""
    slots = {
        "place": tools.place(now),
        "made": _left_words(now.stitch),
        "left": _left_words(now.left or 0),
        "total": cardinal(now.stitches or 0),
    }
    if now.kind == "assembly":
        return tools.text("questions.where_step", **slots)
    if now.stitches is None:
        return tools.text("questions.where_unknown", **slots)
    if now.basis != "worked_out":
        return tools.text("questions.where_pattern_says", **slots)
    return tools.text("questions.where" if now.stitch else "questions.where_start", **slots)


@say.register
def _(answer: a.WhereAmI, tools: Tools) -> str:
    now = answer.now
    repeat = ""
    if now.repeat is not None and now.repeats is not None and not now.full:
        repeat = tools.text("questions.where_repeat", repeat=cardinal(now.repeat), repeats=cardinal(now.repeats))
    paused = tools.text("questions.state_paused") if answer.state == "paused" else ""
    held = still_to_do(answer.turning, tools)
    return joined(where(now, tools), repeat, held, paused)


@say.register
def _(answer: a.Progress, tools: Tools) -> str:
    if answer.percent is None:
        return tools.text("questions.progress_unknown", made=stitches(answer.made))
    text = tools.text(
        "questions.progress",
        percent=f"{cardinal(answer.percent)} per cent",
        made=cardinal(answer.made),
        total=stitches(answer.total),
        pieces_done=cardinal(answer.pieces_done) if answer.pieces_done else "none",
        pieces=counted(answer.pieces, "piece"),
    )
    unknown = answer.unknown_rounds
    return joined(text, tools.text("questions.progress_some_unknown", unknown=tools.rounds(unknown)) if unknown else "")


@say.register
def _(answer: a.TimeLeft, tools: Tools) -> str:
    if answer.low is None or answer.high is None:
        return tools.text("questions.time_unknown", stitches=stitches(answer.stitches))
    time = about(answer.low * 60, answer.high * 60)
    text = tools.text("questions.time_left", time=time, stitches=stitches(answer.stitches))
    unknown = answer.unknown_rounds
    return joined(text, tools.text("questions.time_some_unknown", unknown=tools.rounds(unknown)) if unknown else "")
