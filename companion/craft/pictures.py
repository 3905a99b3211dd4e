"""Pictures of a piece as SVG: its outline beside a scale, and its stitches round by round.

Each carries a title and a description in words, takes its colour from the page around it (`currentColor`, so that it is
as legible in the dark as in print), and says nothing by colour alone.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from itertools import groupby
from xml.sax.saxutils import escape

from companion.craft import units
from companion.craft.gauge import Gauge
from companion.craft.rounds import rounds_of
from companion.craft.size import PieceSize, RoundSize, measure
from companion.craft.units import System
from companion.pattern.model import Piece

_WIDTH, _HEIGHT, _MARGIN = 360.0, 300.0, 48.0
_SIDE = 100.0
"""Room at either side of an outline for the words beside it."""
_TEXT = 13


def of_pieces(gauge: Gauge | None, system: System = "metric") -> Callable[[Piece, str], list[tuple[str, str]]]:
    """Draws a piece: called with the piece and the beginning of ids, it gives a caption and an SVG for each picture.

    Without a gauge there is no outline. The caption tells where the size comes from and how far it may be off.
    """

    def draw(piece: Piece, key: str) -> list[tuple[str, str]]:
        pictures = []
        size = measure(piece, gauge) if gauge else None
        if gauge and size and (outline := profile_svg(size, system=system, key=f"{key}.size")):
            caption = [f"Size, {gauge.told('from')}; {_doubt(gauge)}", *size.notes]
            pictures.append((" ".join(caption), outline))
        if plot := stitches_svg(piece, key=f"{key}.stitches"):
            rows = all(one.kind == "row" for one in piece.rounds)
            pictures.append((f"Stitches by {'row' if rows else 'round'}", plot))
        return pictures

    return draw


def _doubt(gauge: Gauge) -> str:
    doubt = f"it may be off by {gauge.spread:.0%} either way."
    return doubt if gauge.basis == "measured" else f"{doubt} A swatch of your own tells better."


def profile_svg(size: PieceSize, *, system: System = "metric", key: str = "") -> str | None:
    """The outline of a piece seen from the side, its start at the bottom, beside a scale of whole cm or inches.

    A piece in the round that lies flat is seen from above, a ring for each round.
    `key` makes the ids of its parts unique on a page; without one they come from the name of the piece. None where the
    size is not known.
    """
    if size.widest is None or size.height is None or not size.profile:
        return None
    unit = 25.4 if system == "imperial" else 10.0
    from_above = not size.flat and size.height < 1
    half, high = size.widest / 2, size.widest if from_above else size.height
    bar = _bar(max(size.widest, high), unit)
    room_wide, room_high = _WIDTH - 2 * _SIDE, _HEIGHT - 2 * _MARGIN
    scale = min(room_wide / max(size.widest, bar), room_high / high)
    middle, bottom = _WIDTH / 2, (_HEIGHT + high * scale) / 2 - _MARGIN / 4

    def at(r: float, z: float) -> str:
        return f"{middle + r * scale:.1f},{bottom - z * scale:.1f}"

    outline = [at(r, z) for r, z in size.profile] + [at(-r, z) for r, z in reversed(size.profile)]
    filled = 'fill="currentColor" fill-opacity="0.08" stroke-width="2"'
    shape = f'<polygon points="{" ".join(outline)}" {filled}/>'
    edges = [
        f'<line x1="{middle - one.radius * scale:.1f}" x2="{middle + one.radius * scale:.1f}" '
        f'y1="{bottom - one.z * scale:.1f}" y2="{bottom - one.z * scale:.1f}"/>'
        for one in size.rounds
    ]
    wide, tall = (f"about {units.amount('length', mm, system).text}" for mm in (size.widest, size.height))
    how = "Worked in rows" if size.flat else "Worked in the round"
    says = f"{how}: {wide} across at the widest and {tall} high. The start is at the bottom.{_outline_in_words(size)}"
    if from_above:
        centre = f'cx="{middle:.1f}" cy="{bottom - half * scale:.1f}"'
        shape = f'<circle {centre} r="{half * scale:.1f}" {filled}/>'
        edges = [f'<circle {centre} r="{one.radius * scale:.1f}"/>' for one in size.rounds]
        says = f"Worked in the round, lying flat, seen from above: {wide} across. The start is in the middle."
    bar_text = f"{bar / unit:g} {'in' if system == 'imperial' else 'cm'}"
    across = f'<text x="{middle:.1f}" y="{bottom - high * scale - 10:.1f}" text-anchor="middle">{wide} across</text>'
    up = (
        f'<text x="{middle + half * scale + 8:.1f}" y="{bottom - high * scale / 2:.1f}">{tall}</text>'
        if not from_above
        else ""
    )
    left, rule = middle - bar * scale / 2, min(bottom + 22, _HEIGHT - 24)
    body = [
        shape,
        f'<g stroke-width="0.75" stroke-opacity="0.6">{"".join(edges)}</g>',
        f'<path d="M{left:.1f} {rule - 4:.1f}v8m0 -4h{bar * scale:.1f}m0 -4v8" fill="none" stroke-width="2"/>',
        f'<g fill="currentColor" stroke="none">{across}{up}'
        f'<text x="{middle:.1f}" y="{rule + 18:.1f}" text-anchor="middle">{bar_text}</text></g>',
    ]
    return _svg(f"Size of {_printed(size.name)}", says, body, key or _slug(f"size-{size.name}"))


def _outline_in_words(size: PieceSize) -> str:
    """ " It widens over Rnd 1 to Rnd 4, stays as wide over Rnd 5, narrows over Rnd 6." """
    parts = []
    for way, same in groupby(size.rounds, _way):
        stretch = list(same)
        first, last = stretch[0].label, stretch[-1].label
        parts.append(f"{way} over {first}" if len(stretch) == 1 else f"{way} over {first} to {last}")
    return f" It {', '.join(parts)}." if parts else ""


def _way(one: RoundSize) -> str:
    change = round(one.radius - one.radius_before, 6)
    return "widens" if change > 0 else "narrows" if change < 0 else "stays as wide"


def _bar(longest: float, unit: float) -> float:
    """Length of the scale in mm: one, two, five or ten units, about a third of the picture."""
    whole = longest / 3 / unit
    return unit * max((step for step in (1, 2, 5, 10, 20, 50, 100) if step <= whole), default=1)


def stitches_svg(piece: Piece, *, key: str = "") -> str | None:
    """Stitches of every round of one copy as a plot of steps. None where no round could be worked out."""
    worked = [one for one in rounds_of(piece) if not one.part_way]
    counts = [one.stitches for one in worked]
    known = [count for count in counts if count is not None]
    if not known or not max(known):
        return None
    most, left, right = max(known), _MARGIN, _WIDTH - 16
    bottom, top = _HEIGHT - _MARGIN, 24.0
    step = (right - left) / len(counts)
    bars = [
        f'<path d="M{left + index * step:.1f} {bottom:.1f}V{bottom - count / most * (bottom - top):.1f}'
        f'h{step:.1f}V{bottom:.1f}" fill="currentColor" fill-opacity="0.15" stroke-width="1"/>'
        for index, count in enumerate(counts)
        if count
    ]
    marks = [
        f'<text x="{left - 8:.1f}" y="{bottom - count / most * (bottom - top) + 4:.1f}" '
        f'text-anchor="end">{count}</text>'
        for count in sorted({0, *_ticks(most)})
    ]
    every = max(1, -(-len(counts) // 10))
    marks += [
        f'<text x="{left + (index + 0.5) * step:.1f}" y="{bottom + 18:.1f}" text-anchor="middle">{name}</text>'
        for index, name in enumerate("·" if one.number is None else str(one.number) for one in worked)
        if index % every == 0
    ]
    word = "row" if worked[0].kind == "row" else "round"
    body = [
        *bars,
        f'<path d="M{left:.1f} {top:.1f}V{bottom:.1f}H{right:.1f}" fill="none" stroke-width="1.5"/>',
        f'<g fill="currentColor" stroke="none">{"".join(marks)}'
        f'<text x="{(left + right) / 2:.1f}" y="{_HEIGHT - 10:.1f}" text-anchor="middle">{word.capitalize()}</text>'
        f'<text x="{left:.1f}" y="14" text-anchor="middle">Stitches</text></g>',
    ]
    says = f"Stitches by {word}: {_in_words(counts)}."
    return _svg(f"Stitches of {_printed(piece.name)}", says, body, key or _slug(f"stitches-{piece.name}"))


def _ticks(most: int) -> list[int]:
    """Marks of the upright axis: the highest count and round numbers well below it."""
    step = next((step for step in (2, 5, 6, 10, 20, 30, 50, 100, 200, 500) if most / step <= 5), 1000)
    return [*(tick for tick in range(step, most, step) if most - tick > step / 2), most]


def _in_words(counts: Sequence[int | None]) -> str:
    parts = []
    for count, same in groupby(counts):
        times = len(list(same))
        what = "unknown" if count is None else str(count)
        parts.append(what if times == 1 else f"{what} for {times}")
    return ", ".join(parts)


def _printed(name: str) -> str:
    """A name in capitals is a heading's; beside a picture it is written small."""
    return name.capitalize() if name.isupper() else name


def _slug(name: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-") or "picture"


def _svg(title: str, says: str, body: Sequence[str], key: str) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH:g} {_HEIGHT:g}" role="img" '
        f'aria-labelledby="{key}-title {key}-desc" font-family="sans-serif" font-size="{_TEXT}" stroke="currentColor" '
        f'fill="none">\n<title id="{key}-title">{escape(title)}</title>\n<desc id="{key}-desc">{escape(says)}</desc>\n'
        + "\n".join(body)
        + "\n</svg>\n"
    )
