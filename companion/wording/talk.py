"""The talk itself: the first words of a session, settings, pauses, notes, goodbye."""

from __future__ import annotations

from companion.place import answers as a
from companion.place.where import Where
from companion.wording.dispatch import say
from companion.wording.moves import count
from companion.wording.notices import around, still_to_do
from companion.wording.numbers import cardinal, counted, metres, stitches
from companion.wording.odd import odd_words
from companion.wording.questions import where
from companion.wording.spoken import spell
from companion.wording.tools import Tools, joined


def hearsay(now: Where, tools: Tools) -> str:
    """The place as what it is after a break: something the maker told, not something the companion can see."""
    slots = {
        "place": tools.place(now),
        "made": cardinal(now.stitch),
        "total": cardinal(now.stitches or 0),
    }
    if now.kind == "assembly":
        return tools.text("talk.hearsay_step", **slots)
    if not now.stitch:
        return tools.text("talk.hearsay_start", **slots)
    if now.stitches is None:
        return tools.text("talk.hearsay_unknown", **slots)
    if now.basis != "worked_out":
        return tools.text("talk.hearsay_pattern_says", **slots)
    return tools.text("talk.hearsay", **slots)


@say.register
def _(answer: a.Opened, tools: Tools) -> str:
    title = tools.speak(answer.title).rstrip(".")
    problems = ""
    if answer.problems:
        problems = tools.text("talk.problems", problems=counted(answer.problems, "problem"))
    aside = tools.text("talk.aside") if answer.aside else ""
    held = still_to_do(answer.turning, tools)
    if answer.new:
        opened = tools.text("talk.opened_new", title=title)
        return joined(opened, aside, problems, around(answer.notices, answer.reading, answer.now, tools), held)
    place = hearsay(answer.now, tools) if answer.hearsay else where(answer.now, tools)
    told = around(answer.notices, None, answer.now, tools)
    return joined(tools.text("talk.opened_again", title=title), aside, place, told, held)


@say.register
def _(answer: a.Hearsay, tools: Tools) -> str:
    return hearsay(answer.now, tools)


@say.register
def _(answer: a.Again, tools: Tools) -> str:
    return say(answer.answer, tools)


@say.register
def _(answer: a.Spelled, tools: Tools) -> str:
    words = odd_words(say(answer.answer, tools), tools.pattern)
    if not words:
        return tools.text("talk.nothing_odd")
    return joined(*(tools.text("talk.spelled", word=word, letters=spell(word)) for word in words))


@say.register
def _(answer: a.SettingChanged, tools: Tools) -> str:
    key = f"talk.{answer.setting}"
    value = str(answer.value)
    match answer.setting:
        case "speed" | "volume":
            key += "_limit" if answer.at_limit else ""
            value = f"{cardinal(int(answer.value))} per cent"
        case "rest_minutes":
            key += "" if answer.value else "_off"
            value = counted(int(answer.value), "minute")
        case "tempo":
            value = cardinal(int(answer.value))
        case "attention":
            key += "" if answer.value else "_off"
        case _:
            key += f"_{answer.value}"
    reading = tools.reading(answer.reading) if answer.reading else ""
    return joined(tools.text(key, value=value), reading)


@say.register
def _(answer: a.Helped, tools: Tools) -> str:
    for state in ("paused", "asking", "choosing", "held", "writing"):
        if state == answer.state or state in answer.contexts:
            return tools.text(f"help.{state}")
    return tools.text("help.listening")


@say.register
def _(answer: a.Silenced, tools: Tools) -> str:
    return ""


@say.register
def _(answer: a.Paused, tools: Tools) -> str:
    return tools.text("talk.paused", place=count(answer.now, tools))


@say.register
def _(answer: a.Resumed, tools: Tools) -> str:
    held = still_to_do(answer.turning, tools)
    ahead = tools.text("questions.next_run", run=tools.run(answer.ahead, answer.now)) if answer.ahead else ""
    return joined(tools.text("talk.resumed", place=count(answer.now, tools)), ahead, held)


@say.register
def _(answer: a.Saved, tools: Tools) -> str:
    return tools.text("talk.saved", place=count(answer.now, tools))


@say.register
def _(answer: a.Noted, tools: Tools) -> str:
    return tools.text("talk.noted", text=tools.speak(answer.text).rstrip("."), place=tools.place(answer.now))


@say.register
def _(answer: a.ReminderSet, tools: Tools) -> str:
    return tools.text("talk.reminder_set", round=cardinal(answer.round), text=tools.speak(answer.text).rstrip("."))


@say.register
def _(answer: a.EventNoted, tools: Tools) -> str:
    text = tools.speak(answer.text).rstrip(".") or "noted"
    key = "talk.event_label_unnamed" if answer.kind == "label" and not answer.of else f"talk.event_{answer.kind}"
    return tools.text(key, place=tools.place(answer.now), text=text, of=tools.speak(answer.of))


@say.register
def _(answer: a.Logged, tools: Tools) -> str:
    what = tools.text(f"talk.log_{answer.kind}")
    text = tools.speak(answer.text).rstrip(".")
    key = "talk.logged" if text else "talk.logged_bare"
    return tools.text(key, what=what, line=cardinal(answer.line), text=text)


@say.register
def _(answer: a.Measured, tools: Tools) -> str:
    over = counted(answer.inches, "inch", "inches") if answer.inches else "ten centimetres"
    slots = {"stitches": stitches(answer.stitches), "rounds": counted(answer.rounds or 0, "round"), "over": over}
    if answer.metres is not None:
        return tools.text("talk.measured_swatch", metres=metres(answer.metres), **slots)
    return tools.text("talk.measured_gauge" if answer.rounds else "talk.measured_stitches", **slots)


@say.register
def _(answer: a.Beyond, tools: Tools) -> str:
    return say(answer.what, tools)


@say.register
def _(answer: a.ShapeSet, tools: Tools) -> str:
    return tools.text(f"talk.shape_{answer.shape}")
