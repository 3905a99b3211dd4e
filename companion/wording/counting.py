"""When the maker's own count is off: how far, where most likely, the ways out. And counting aloud together."""

from __future__ import annotations

from companion.place import answers as a
from companion.wording.dispatch import say
from companion.wording.numbers import cardinal, listed, stitches
from companion.wording.tools import Tools, joined


@say.register
def _(answer: a.Counted, tools: Tools) -> str:
    if answer.due is None or answer.difference is None:
        return tools.text("counting.unknown", counted=cardinal(answer.counted), round=tools.round(answer.now))
    verdict = "agrees" if answer.difference == 0 else "more" if answer.difference > 0 else "fewer"
    head = tools.text(
        f"counting.{verdict}_{answer.against}",
        counted=cardinal(answer.counted),
        difference=cardinal(abs(answer.difference)),
        due=cardinal(answer.due),
        round=tools.round(answer.now),
        left=cardinal(answer.now.left or 0) if answer.now.left else "none",
    )
    doubt = ""
    if answer.basis != "worked_out":
        doubt = tools.text("counting.against_pattern_says", due=cardinal(answer.due))
    if answer.difference == 0:
        return joined(head, doubt)
    parts = [head, doubt]
    recounted = False
    for mend in answer.mends:
        parts.append(_mend(mend, answer, tools))
        if mend.kind == "recount" and not recounted:
            parts.append(_cause(answer, tools))
            recounted = True
    if answer.mend_later_not:
        parts.append(tools.text(f"counting.not_later_{answer.mend_later_not}"))
    return joined(*parts)


def _cause(answer: a.Counted, tools: Tools) -> str:
    """Where it most likely happened: told by whether the last repeat ended at the marker."""
    if answer.shaping == "none":
        return tools.text("counting.slip")
    shaping = tools.text(f"counting.shaping_{answer.shaping}")
    if answer.plain_between:
        marker = tools.text("counting.marker", shaping=shaping, plain=stitches(answer.plain_between))
    else:
        marker = tools.text("counting.marker_close", shaping=shaping)
    return joined(marker, tools.text("counting.marker_no"))


def _mend(mend: a.Mend, answer: a.Counted, tools: Tools) -> str:
    match mend.kind:
        case "recount":
            return tools.text("counting.recount")
        case "count_below":
            return tools.text("counting.below", below=stitches(answer.below)) if answer.below else ""
        case "rip":
            if mend.repeat is None:
                return tools.text("counting.rip_round", lost=stitches(mend.lost)) if mend.lost else ""
            if mend.lost is None:
                return tools.text("counting.rip_unknown")
            return tools.text("counting.rip", repeat=cardinal(mend.repeat), lost=stitches(mend.lost))
        case "later":
            return _later(mend, tools) if mend.round is not None else ""


def _later(mend: a.Mend, tools: Tools) -> str:
    told = []
    for number, total in mend.totals:
        key = "counting.later_mended" if number == mend.round else "counting.later_totals"
        told.append(tools.text(key, round=cardinal(number), stitches=stitches(total)))
    return tools.text("counting.later", round=cardinal(mend.round or 0), totals=listed(told))


@say.register
def _(answer: a.CountBeat, tools: Tools) -> str:
    numbers = ", ".join(cardinal(number) for number in range(answer.first, answer.last + 1))
    if answer.at == "run" and answer.run is not None:
        return tools.text("counting.beat_next", numbers=numbers, run=tools.run(answer.run, answer.now))
    return tools.text(f"counting.beat{'' if answer.at == 'run' else '_' + answer.at}", numbers=numbers)
