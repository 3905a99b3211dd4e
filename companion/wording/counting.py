"""When the maker's own count is off: how far, where most likely, the ways out. And counting aloud together."""

from __future__ import annotations

from itertools import groupby

from companion.place import answers as a
from companion.wording.dispatch import say
from companion.wording.numbers import cardinal, counted, listed, span, stitches
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
        left=cardinal(answer.now.left) if answer.now.left else "none",
    )
    doubt = ""
    if answer.against == "total" and answer.basis != "worked_out":
        doubt = tools.text("counting.against_pattern_says", due=cardinal(answer.due))
    if answer.difference == 0:
        return joined(head, doubt)
    if answer.against == "below":
        back = tools.text("counting.previous_round")
        return joined(head, _for_this_round(answer, tools), tools.text(_rows("counting.recount", tools)), back)
    helps = ""
    if answer.repeat_gives and tools.full:
        helps = tools.text("counting.repeats_help", gives=stitches(answer.repeat_gives))
    ask = tools.text(_rows("counting.ask_marker", tools)) if answer.asks_marker else ""
    then = _count_below(answer.then, "counting.slip_plain", tools) if answer.then else ""
    return joined(head, doubt, tools.text(_rows("counting.recount", tools)), helps, ask, then)


def _for_this_round(answer: a.Counted, tools: Tools) -> str:
    """The same count held against the round at hand, where the maker meant that one."""
    off = answer.against_this
    if off is None or answer.now.stitches is None:
        return ""
    return tools.text(
        "counting.more_this" if off > 0 else "counting.fewer_this",
        round=tools.round(answer.now),
        difference=cardinal(abs(off)),
        due=cardinal(answer.now.stitches),
    )


def _rows(key: str, tools: Tools) -> str:
    """The sentence for a piece in rows, which has edges and no marker."""
    return f"{key}_rows" if tools.in_rows else key


@say.register
def _(answer: a.LookForShaping, tools: Tools) -> str:
    return joined(_shaping(answer, tools), _gap(answer, tools), _ways_out(answer, tools))


def _shaping(answer: a.LookForShaping, tools: Tools) -> str:
    if answer.shaping in ("both", "none"):
        return tools.text("counting.either")
    off = abs(answer.difference)
    article = "an" if answer.shaping == "increase" else "a"
    what = f"{article} {answer.shaping}" if off == 1 else counted(off, answer.shaping)
    return tools.text(f"counting.{'added' if answer.added else 'left_out'}{'_several' if off > 1 else ''}", what=what)


def _gap(answer: a.LookForShaping, tools: Tools) -> str:
    """How the place is felt: by the plain stitches between two shapings."""
    plain, gap = answer.plain_between, answer.plain_if_left_out
    if plain is None or answer.shaping == "both":
        return tools.text("counting.gap_unlike")
    words = counted(plain, "plain stitch", "plain stitches")
    if not answer.added and gap is not None:
        return tools.text("counting.gap_left_out", plain=words, gap=cardinal(gap))
    return tools.text("counting.gap" if plain else "counting.gap_none", plain=words)


@say.register
def _(answer: a.CountBelow, tools: Tools) -> str:
    return _count_below(answer, "counting.slip", tools)


def _count_below(answer: a.CountBelow, slip: str, tools: Tools) -> str:
    if answer.below is None:
        key = "below_unknown"
    elif not answer.below:
        key = "below_ring"
    else:
        key = "below_unnumbered" if answer.below_round is None else "below"
    below = tools.text(
        f"counting.{key}", round=f"{tools.noun} {cardinal(answer.below_round or 0)}", below=stitches(answer.below or 0)
    )
    return joined(tools.text(_rows(slip, tools)), below, _ways_out(answer, tools))


def _ways_out(answer: a.LookForShaping | a.CountBelow, tools: Tools) -> str:
    told = []
    for mend in answer.mends:
        if mend.kind == "rip":
            told.append(tools.text("counting.rip" if answer.now.repeats else "counting.rip_round"))
        elif mend.round is not None and mend.how is not None:
            told.append(_later(mend, mend.round, mend.how, tools))
    if answer.no_mend:
        told.append(tools.text(f"counting.no_mend_{answer.no_mend}"))
    return joined(*told)


def _later(mend: a.Mend, number: int, how: a.MendHow, tools: Tools) -> str:
    shaping = "increase" if "increases" in how else "decrease"
    words = tools.text(f"counting.{how}", count=counted(mend.stitches, shaping))
    totals = []
    for total, group in groupby(mend.totals, key=lambda pair: pair[1]):
        rounds = [round_number for round_number, _ in group]
        key = "counting.later_total" if len(rounds) == 1 else "counting.later_totals"
        totals.append(tools.text(key, round=span(rounds[0], rounds[-1]), stitches=cardinal(total)))
    return tools.text("counting.later", round=cardinal(number), mend=words, totals=listed(totals))


@say.register
def _(answer: a.AskRipRepeat, tools: Tools) -> str:
    return tools.text("counting.ask_rip_repeat", repeat=cardinal(answer.repeat), lost=stitches(answer.lost))


@say.register
def _(answer: a.CountBeat, tools: Tools) -> str:
    # How the beat is set is told where a round begins, not at every turn of it.
    beat = tools.text("counting.how_to_beat" if answer.first == 1 else "counting.one_beat")
    if answer.run is None:
        return tools.text("counting.count_with_me_unknown", first=cardinal(answer.first), beat=beat)
    return tools.text(
        "counting.count_with_me_one" if answer.first == answer.last else "counting.count_with_me",
        first=cardinal(answer.first),
        last=cardinal(answer.last),
        run=tools.run(answer.run, answer.now),
        beat=beat,
    )


@say.register
def _(answer: a.Beat, tools: Tools) -> str:
    stitch = cardinal(answer.stitch)
    if answer.corner is None:
        return tools.text("counting.beat", stitch=stitch)
    if answer.corner == "round" or answer.run is None:
        return tools.text("counting.beat_end" if answer.now.full else "counting.beat", stitch=stitch)
    return tools.text(f"counting.beat_{answer.corner}", stitch=stitch, run=tools.run(answer.run, answer.now))
