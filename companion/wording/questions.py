"""Answers to questions: one short sentence each, the number asked for first."""

from __future__ import annotations

import re

from companion.place import answers as a
from companion.place.where import Where
from companion.wording import names
from companion.wording.dispatch import say
from companion.wording.notices import around, still_to_do, turning
from companion.wording.numbers import about, cardinal, counted, stitches
from companion.wording.tools import Tools, joined


def _left_words(number: int) -> str:
    return cardinal(number) if number else "none"


def _rounds(number: int) -> str:
    return counted(number, "round")


@say.register
def _(answer: a.StitchesLeft, tools: Tools) -> str:
    now = answer.now
    slots = {
        "round": tools.round(now),
        "piece": tools.piece_at(now),
        "made": _left_words(answer.made or 0),
        "left": _left_words(answer.left or 0),
        "total": cardinal(answer.total or 0),
        "rounds": counted(answer.rounds_after, "more round"),
    }
    if answer.left is None:
        if answer.scope == "repeat":
            return tools.text("questions.no_repeat", **slots)
        return tools.text("questions.left_unknown", **slots)
    if answer.unknown_rounds:
        return tools.text("questions.left_some_unknown", unknown=_rounds(answer.unknown_rounds), **slots)
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
    kind = "row" if answer.now.kind == "row" else "round"
    text = tools.text(
        key,
        rounds=counted(answer.left, kind),
        round=tools.round(answer.now),
        piece=tools.piece_at(answer.now),
    )
    steps = tools.text("questions.steps_left", steps=counted(answer.steps, "step")) if answer.steps else ""
    return joined(text, steps)


@say.register
def _(answer: a.RoundsTotal, tools: Tools) -> str:
    kind = "row" if answer.now.kind == "row" else "round"
    text = tools.text(
        "questions.rounds_total",
        rounds=counted(answer.rounds, kind),
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
    return joined(text, tools.text("questions.progress_some_unknown", unknown=_rounds(unknown)) if unknown else "")


@say.register
def _(answer: a.TimeLeft, tools: Tools) -> str:
    if answer.low is None or answer.high is None:
        return tools.text("questions.time_unknown", stitches=stitches(answer.stitches))
    time = about(answer.low * 60, answer.high * 60)
    text = tools.text("questions.time_left", time=time, stitches=stitches(answer.stitches))
    unknown = answer.unknown_rounds
    return joined(text, tools.text("questions.time_some_unknown", unknown=_rounds(unknown)) if unknown else "")


@say.register
def _(answer: a.Hook, tools: Tools) -> str:
    written = tools.speak(answer.written).rstrip(".")
    text = tools.text("questions.hook", hook=written) if written else tools.text("questions.hook_unsaid")
    if answer.changed:
        return tools.text("questions.hook_changed", changed=tools.speak(answer.changed).rstrip("."))
    return text


@say.register
def _(answer: a.Yarn, tools: Tools) -> str:
    written = tools.speak(answer.written).rstrip(".")
    text = tools.text("questions.yarn", yarn=written) if written else tools.text("questions.yarn_unsaid")
    labels = [
        tools.text("questions.yarn_label", yarn=tools.speak(yarn), label=tools.speak(label))
        for yarn, label in answer.labels
    ]
    return joined(text, *labels, tools.text("questions.yarn_double") if answer.double else "")


@say.register
def _(answer: a.Colour, tools: Tools) -> str:
    if answer.colour is None:
        return tools.text("questions.colour_unsaid")
    key = "questions.colour_label" if answer.label else "questions.colour"
    return tools.text(key, colour=tools.speak(answer.colour), label=tools.speak(answer.label))


@say.register
def _(answer: a.ColourChange, tools: Tools) -> str:
    if answer.at is None or answer.colour is None:
        return tools.text("questions.colour_change_none", piece=tools.piece_at(answer.now))
    within = answer.stitch is not None and not answer.at_round_end
    return tools.text(
        "questions.colour_change_within" if within else "questions.colour_change_end",
        round=tools.round(answer.at),
        colour=tools.speak(answer.colour),
        stitch=cardinal(answer.stitch or 0),
    )


@say.register
def _(answer: a.Eyes, tools: Tools) -> str:
    if not answer.places:
        return tools.text("questions.eyes_none")
    parts = []
    for piece, note in answer.places:
        key = "questions.eyes" if piece else "questions.eyes_anywhere"
        parts.append(tools.text(key, piece=tools.piece(piece), place=tools.note(note)))
        if note.stitches_apart is not None:
            parts.append(tools.text("questions.eyes_apart", apart=stitches(note.stitches_apart)))
    return joined(*parts)


@say.register
def _(answer: a.ToDo, tools: Tools) -> str:
    copies = {piece.name: piece.make for piece in tools.pattern.pieces}
    things = [
        tools.text("questions.to_do_piece", piece=tools.piece(name, copy, copies.get(name, 1)), rounds=_rounds(rounds))
        for name, copy, rounds in answer.pieces
    ]
    if answer.assembly_steps:
        steps = counted(answer.assembly_steps, "step")
        things.append(tools.text("questions.to_do_assembly", steps=steps))
    if not things and not answer.put_off:
        return tools.text("questions.to_do_nothing")
    text = tools.text("questions.to_do", things="; ".join(things)) if things else ""
    put_off = " ".join(turning(point, tools) for point in answer.put_off)
    return joined(text, tools.text("questions.to_do_put_off", things=put_off) if put_off else "")


@say.register
def _(answer: a.Needed, tools: Tools) -> str:
    gauge_word = "gauge" if tools.terms == "US" else "tension"

    def plain(text: str) -> str:
        return tools.speak(text).rstrip(".")

    parts = []
    if answer.materials:
        parts.append(tools.text("questions.needed", materials="; ".join(plain(item) for item in answer.materials)))
    if answer.hook:
        parts.append(tools.text("questions.needed_hook", hook=plain(answer.hook)))
    if answer.yarn:
        parts.append(tools.text("questions.needed_yarn", yarn=plain(answer.yarn)))
    if answer.gauge:
        parts.append(tools.text("questions.needed_gauge", gauge_word=gauge_word, gauge=plain(answer.gauge)))
    if not parts:
        parts.append(tools.text("questions.needed_nothing"))
    parts += [tools.text("questions.needed_caution", text=plain(text)) for text in answer.cautions]
    if answer.small_parts and not answer.cautions:
        parts.append(tools.text("notices.small_parts"))
    return joined(*parts)


@say.register
def _(answer: a.HowTo, tools: Tools) -> str:
    stitch = names.find(answer.stitch, tools.terms) or names.find_key(answer.stitch)
    if stitch is None:
        return tools.text("questions.how_to_unknown", stitch=tools.speak(answer.stitch))
    told = stitch.instructions(left_handed=answer.hand == "left", terms=tools.terms)
    # The motion goes by another name too: "yarn over" in US terms, "yarn over hook" in UK ones.
    return told if tools.terms == "US" else re.sub(r"\b([Yy]arn over)\b", r"\1 hook", told)


@say.register
def _(answer: a.Notes, tools: Tools) -> str:
    if not answer.notes and not answer.reminders:
        return tools.text("questions.my_notes_none")
    notes = [
        tools.text(
            "questions.my_note" if note.kind == "note" else f"questions.my_event_{note.kind}",
            place=tools.place(note.at),
            text=tools.speak(note.text).rstrip("."),
        )
        for note in answer.notes
    ]
    reminders = [
        tools.text("questions.my_reminder", round=cardinal(number), text=tools.speak(text).rstrip("."))
        for number, text in answer.reminders
    ]
    return joined(*notes, *reminders)


@say.register
def _(answer: a.Projects, tools: Tools) -> str:
    if not answer.projects:
        return tools.text("questions.projects_none")
    told = []
    for project in answer.projects:
        title, piece = tools.speak(project.title), tools.piece(project.piece)
        place = f"round {cardinal(project.round)} of {piece}" if project.round is not None else piece
        key = "questions.project_open" if project.open else "questions.project"
        told.append(tools.text(key, title=title, place=place))
    return tools.text("questions.projects", count=counted(len(told), "project"), names="; ".join(told))


@say.register
def _(answer: a.OpenProject, tools: Tools) -> str:
    return tools.text("questions.open_project", title=tools.speak(answer.title))
