"""Answers about the pattern and the project: what is needed, hook, yarn, colours, eyes, how-tos, notes, projects."""

from __future__ import annotations

import re

from companion.place import answers as a
from companion.wording import names
from companion.wording.dispatch import say
from companion.wording.notices import turning
from companion.wording.numbers import cardinal, counted, stitches
from companion.wording.tools import Tools, joined


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
        tools.text(
            "questions.to_do_piece",
            piece=tools.piece(name, copy, copies.get(name, 1)),
            rounds=tools.rounds(rounds, name),
        )
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
