"""The answers to the sums in sentences, from `sums.yaml` of the wording room. Handlers register themselves there."""

from __future__ import annotations

from companion.craft import units
from companion.craft.answers import HowBig
from companion.craft.ruffle import Lie
from companion.craft.tables import Range
from companion.craft.units import System
from companion.craft.yarn import Between
from companion.pattern.model import Round, Span
from companion.sums import answers as a
from companion.wording import names
from companion.wording.dispatch import say
from companion.wording.numbers import cardinal, counted, decimal, per_cent, quantity, stitches
from companion.wording.tools import Tools, capital, joined

_NOWHERE = Span(1, 1, 1, 1)
_SEVERAL = 1.75
"""From here on a size is said to be so many times as large."""
_UNITS = {"mm": "millimetre", "cm": "centimetre", "inch": "inch"}


@say.register
def _(answer: a.Size, tools: Tools) -> str:
    return joined(_size(answer.size, answer.units, tools), *_notes(answer.size, tools))


@say.register
def _(answer: a.WhatIf, tools: Tools) -> str:
    size = _size(answer.size, answer.units, tools, "better_changed")
    lowered = size[0].lower() + size[1:]
    if answer.hook_mm is not None:
        text = tools.text("sums.with_hook", hook=_hook(answer.hook_mm), size=lowered)
    else:
        text = tools.text("sums.with_yarn", yarn=tools.speak(answer.yarn), size=lowered)
    return joined(text, _against_now(answer.factor, tools), *_notes(answer.size, tools))


def _against_now(factor: float | None, tools: Tools) -> str:
    if factor is None:
        return ""
    share = abs(factor - 1)
    if share < 0.01:
        return tools.text("sums.same")
    if factor >= _SEVERAL:
        halves = round(factor * 2) / 2
        return tools.text("sums.several", times="twice" if halves == 2 else f"{quantity(halves)} times")
    return tools.text("sums.larger" if factor > 1 else "sums.smaller", share=per_cent(share))


def _size(size: HowBig, system: System, tools: Tools, better: str = "better") -> str:
    wide, high = (_lengths(length.low, length.high, system) for length in (size.widest, size.height))
    key = "size_rows" if size.flat else "size_flat" if size.height.usual < 1 else "size"
    return tools.text(
        f"sums.{key}",
        wide=wide,
        high=high,
        piece=tools.piece(size.piece),
        source=tools.speak(size.gauge.told("by")),
        basis=tools.text(f"sums.basis_{size.gauge.basis}"),
        better="" if size.gauge.basis == "measured" else tools.text(f"sums.{better}"),
    ).strip()


def _notes(size: HowBig, tools: Tools) -> list[str]:
    notes = [*size.ruffles, *size.limits] if tools.full else size.limits
    return [capital(tools.speak(note)) for note in notes]


def _lengths(low: float, high: float, system: System) -> str:
    return units.between("length", low, high, system)[1]


def _hook(mm: float) -> str:
    """ "a four millimetre", "an eight millimetre": to go before "hook"."""
    said = quantity(f"{mm:g}")
    return f"{'an' if said[0] in 'e' else 'a'} {said} millimetre"


@say.register
def _(answer: a.WantedSize, tools: Tools) -> str:
    gauge, unit = answer.found.gauge, _UNITS[answer.unit]
    # Half a stitch is as near as anybody counts.
    across, up = (round(2 * count) / 2 for count in (gauge.stitches_per_10cm, gauge.rounds_per_10cm))
    word = "rows" if answer.rows else "rounds"
    hook, far = tools.text("sums.wanted_hook", hook=_hook(answer.found.hook_mm)) if answer.found.hook_mm else "", ""
    if answer.found.far:
        hook, far = "", tools.text("sums.wanted_far", rounds=word)
    return tools.text(
        "sums.wanted",
        stitches=f"{quantity(across)} stitches",
        rounds=f"{quantity(up)} {word}",
        piece=tools.piece(answer.found.piece),
        size=counted(answer.said, unit, "inches" if unit == "inch" else None),
        way=answer.way,
        hook=hook,
        far=far,
    )


@say.register
def _(answer: a.YarnToCome, tools: Tools) -> str:
    left = answer.left
    if left.metres is None or left.metres.high <= 0:
        return tools.text("sums.yarn_none")
    metres = units.between("yarn", left.metres.low, left.metres.high, answer.units)[1]
    return tools.text(
        "sums.yarn",
        metres=metres,
        grams=tools.text("sums.yarn_grams", grams=_grams(left.grams, answer.units)) if left.grams else "",
        known=tools.text("sums.yarn_known") if left.stitches is None else "",
        basis=tools.text(f"sums.basis_{answer.basis}"),
        better="" if answer.basis == "swatch" else tools.text("sums.yarn_better"),
    ).strip()


def _grams(grams: Between, system: System) -> str:
    return units.between("weight", grams.low, grams.high, system)[1]


@say.register
def _(answer: a.Spreading, tools: Tools) -> str:
    spread = answer.spread
    entry = Round(
        label="",
        kind="round",
        first=None,
        last=None,
        instructions=spread.instructions,
        steps=(),
        worked_into=spread.stitches,
        stitches=spread.makes,
        declared=None,
        basis="worked_out",
        text="",
        span=_NOWHERE,
    )
    return tools.text(
        "sums.spread",
        changes=_changes(spread.kind, spread.changes),
        over=stitches(spread.stitches),
        makes=stitches(spread.makes),
        work=tools.instructions.work(entry),
        turned=tools.text("sums.spread_turned") if answer.turned else "",
    )


def _changes(kind: str, count: int) -> str:
    return counted(count, "increase" if kind == "inc" else "decrease")


@say.register
def _(answer: a.TooMany, tools: Tools) -> str:
    return tools.text(
        "sums.too_many",
        changes=_changes(answer.kind, answer.changes),
        over=stitches(answer.stitches),
        most=cardinal(answer.most),
    )


@say.register
def _(answer: a.Lying, tools: Tools) -> str:
    lie = answer.lie
    key = "gains" if lie.growth > 0 else "loses" if lie.growth < 0 else "gains_none"
    whose = "by_practice" if lie.by is None else f"by_{lie.by}"
    return tools.text(
        f"sums.{_lies(lie)}",
        round=tools.round(answer.where),
        growth=tools.text(f"sums.{key}", count=cardinal(abs(lie.growth))),
        stitch=names.spoken(answer.stitch, tools.terms)[0],
        flat=cardinal(round(lie.flat)),
        whose=tools.text(f"sums.{whose}"),
    )


def _lies(lie: Lie) -> str:
    """How it lies, in a key: a round that gains none goes straight up, one that loses some draws in."""
    if lie.lies == "cups" and lie.growth <= 0:
        return "straight" if lie.growth == 0 else "draws_in"
    return "lies_flat" if lie.lies == "flat" else lie.lies


@say.register
def _(answer: a.EyeSizes, tools: Tools) -> str:
    low, high = answer.head
    small, large = answer.usual
    return tools.text(
        "sums.eyes",
        usual=decimal(small) if small == large else f"{decimal(small)} to {decimal(large)}",
        head=_lengths(low, high, answer.units),
        least=decimal(answer.least),
        most=decimal(answer.most),
        named=tools.text("sums.eyes_named", named=tools.speak(answer.named).rstrip(".")) if answer.named else "",
    )


@say.register
def _(answer: a.HookSize, tools: Tools) -> str:
    hook = answer.hook
    if answer.asked_us:
        return tools.text("sums.hook_in_mm", us=tools.speak(hook.us or ""), hook=_hook(hook.mm))
    us = tools.text("sums.hook_us", us=tools.speak(hook.us)) if hook.us else tools.text("sums.hook_no_us")
    uk = tools.text("sums.hook_uk", uk=tools.speak(hook.uk)) if hook.uk else ""
    return tools.text("sums.hook", hook=_hook(hook.mm), us=us, uk=uk)


@say.register
def _(answer: a.YarnFacts, tools: Tools) -> str:
    weight = answer.weight
    return tools.text(
        "sums.yarn_weight",
        said=tools.speak(answer.said),
        number=cardinal(weight.number) if weight.number else "nought",
        name="" if weight.name == answer.said else f", {weight.name}",
        gauge=_range(weight.gauge),
        stitch=names.spoken(weight.gauge_stitch, tools.terms)[0],
        hook=_range(weight.hook_mm),
        length=_range(weight.metres_per_100g),
    )


def _range(ends: Range) -> str:
    low, high = ends
    if low is None:
        return f"up to {quantity(f'{high:g}')}"
    return f"{quantity(f'{low:g}')} and more" if high is None else f"{quantity(f'{low:g}')} to {quantity(f'{high:g}')}"


@say.register
def _(answer: a.CannotTell, tools: Tools) -> str:
    piece = tools.speak(answer.name) if answer.why in ("no_usual_gauge", "no_such_piece") else tools.piece(answer.name)
    stitch = names.spoken("sc", tools.terms)[0]
    return tools.text(f"sums.{answer.why}", piece=piece, rounds=tools.speak(answer.rounds) or "a round", stitch=stitch)
