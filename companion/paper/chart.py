"""A chart of one piece as SVG, with its key and a text alternative."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from xml.etree.ElementTree import Element, SubElement, tostring

from companion.paper import symbols
from companion.paper.geometry import (
    LINK,
    SC,
    WIDTH,
    Course,
    Hand,
    Layout,
    Motion,
    Point,
    is_beside,
    upright,
)
from companion.paper.laid_out import place
from companion.pattern.model import Act, Chain, InOne, Piece, Step, Terms, Work
from companion.pattern.stitches import table
from companion.wording.motions import BOTH_LAYERS

_STYLE = """
.chart{--ink:#16181d;--other:#8a1c3b;--paper:#fffdf8;font:13px sans-serif}
@media (prefers-color-scheme:dark){.chart{--ink:#f1ede4;--other:#f4a6bb;--paper:#17191e}}
@media print{.chart{--ink:#000;--other:#5b0f25;--paper:#fff}}
.chart .paper{fill:var(--paper)}
.chart .course{stroke:var(--ink);fill:none;stroke-width:1.3;stroke-linecap:round}
.chart .other{stroke:var(--other)}
.chart .dot{fill:var(--ink);stroke:none}
.chart .other .dot{fill:var(--other)}
.chart text{fill:var(--ink);stroke:none}
.chart .other text{fill:var(--other)}
""".strip()

KEY_LINE = 36.0
KEY_WIDTH = 230.0
KEY_TEXT = 72.0
"""Room in a column of the key for its sign and around it."""
CREDIT_LINE = 18.0
LETTER = 7.0
"""Room for a letter of the credit lines, in units of the chart."""


def drawable(piece: Piece) -> bool:
    """True where the piece has stitches to draw."""
    return any(step.gives for entry in piece.rounds for step in entry.steps)


def chart(
    piece: Piece, terms: Terms = "US", hand: Hand = "right", key: str = "piece", credit: Sequence[str] = ()
) -> str:
    """The piece as one SVG drawing, an `<svg>` element without an XML header.

    Rounds are numbered where they begin and drawn in two colours by turns. `hand` "left" mirrors the stitches, never
    the writing. The key names every sign in `terms`. `key` tells the titles of several charts in one page apart.
    `credit` is whose pattern it is, a line each, written below a chart that goes out by itself.
    """
    return tostring(drawing(piece, terms, hand, key, credit), encoding="unicode")


def drawing(piece: Piece, terms: Terms, hand: Hand, name: str, credit: Sequence[str] = ()) -> Element:
    """The drawing as an element tree."""
    layout = place(piece, hand)
    entries = key_entries(piece, terms)
    column = max([KEY_WIDTH, *(KEY_TEXT + LETTER * len(name) for name, _ in entries)])
    columns = max(1, int(layout.width // column))
    key_height = KEY_LINE * (-(-len(entries) // columns)) + KEY_LINE / 2
    width = max(layout.width, column, *(LETTER * len(line) + 16 for line in credit))
    below = layout.height + key_height
    height = below + CREDIT_LINE * len(credit)
    left, top = -width / 2, -layout.height / 2 if layout.in_the_round else -layout.height + SC
    svg = Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "class": "chart",
            "viewBox": f"{left:.0f} {top:.0f} {width:.0f} {height:.0f}",
            "width": f"{width:.0f}",
            "height": f"{height:.0f}",
            "role": "img",
            "aria-labelledby": f"chart-{name}-title chart-{name}-text",
        },
    )
    SubElement(svg, "title", {"id": f"chart-{name}-title"}).text = f"Chart of {piece.name.capitalize()}"
    SubElement(svg, "desc", {"id": f"chart-{name}-text"}).text = alternative(piece, layout, hand)
    SubElement(svg, "style").text = _STYLE
    paper = {"class": "paper", "x": f"{left:.0f}", "y": f"{top:.0f}"}
    SubElement(svg, "rect", {**paper, "width": f"{width:.0f}", "height": f"{height:.0f}"})
    if layout.in_the_round and layout.courses:
        _middle(layout.courses[0], svg)
    for index, course in enumerate(layout.courses):
        _course(course, svg, other=index % 2 == 1)
    _key(entries, svg, left, top + layout.height, columns, column)
    for number, line in enumerate(credit):
        where = {"x": f"{left + 8:.1f}", "y": f"{top + below + CREDIT_LINE * number + 4:.1f}"}
        SubElement(svg, "text", {"class": "credit", **where}).text = line
    return svg


def _course(course: Course, svg: Element, *, other: bool) -> None:
    group = SubElement(svg, "g", {"class": "course other" if other else "course"})
    if course.number is not None:
        group.set("data-round", str(course.number))
        label = {"x": f"{course.start.x:.1f}", "y": f"{course.start.y + 4:.1f}", "text-anchor": "middle"}
        SubElement(group, "text", label).text = str(course.number)
    for motion in course.motions:
        symbols.draw(motion, group)


def _middle(first: Course, svg: Element) -> None:
    """The ring that the first round goes into."""
    if any(isinstance(motion.step.instruction, Chain) for motion in first.motions):
        return
    group = SubElement(svg, "g", {"class": "course"})
    SubElement(group, "circle", {"class": "ring", "cx": "0", "cy": "0", "r": f"{SC * 0.35:.1f}"})


def alternative(piece: Piece, layout: Layout, hand: Hand) -> str:
    """The text alternative: what the chart shows, how it is read, and where the stitches are told in words."""
    kinds = {entry.kind for course in layout.courses for entry in (course.entry,)}
    kind = "row" if kinds == {"row"} else "round"
    numbers = [course.number for course in layout.courses if course.number is not None]
    if not numbers:
        return "The same stitches are written out in the pattern."
    if layout.in_the_round:
        way = "against the clock" if hand == "right" else "with the clock"
        reading = f"read {way} from the middle outwards"
    else:
        side = "right" if hand == "right" else "left"
        reading = f"read from the bottom up, the first row from the {side}"
    plural = f"{kind}s {numbers[0]} to {numbers[-1]}" if len(numbers) > 1 else f"{kind} {numbers[0]}"
    totals = [str(c.entry.stitches) for c in layout.courses if c.number is not None and c.entry.stitches is not None]
    counts = f" Stitches, {kind} by {kind}: {', '.join(totals)}." if len(totals) == len(numbers) else ""
    return f"{plural.capitalize()}, {reading}.{counts} The same stitches are written out in the pattern."


# --- the key ------------------------------------------------------------------------------------------------------


def key_entries(piece: Piece, terms: Terms) -> list[tuple[str, Motion]]:
    """Every sign that the chart uses, once, with its name."""
    found: dict[str, Motion] = {}
    for entry in piece.rounds:
        for step in entry.steps:
            for name, sample in _samples(step, terms):
                found.setdefault(name, sample)
    return list(found.items())


def _samples(step: Step, terms: Terms) -> list[tuple[str, Motion]]:
    leaf = step.instruction
    if isinstance(leaf, Chain):
        if is_beside(step):
            return [(f"starting chain of {leaf.count}, no stitch", _upright(step, leaf))]
        if leaf.role == "start":
            return [_turning(step, leaf)]
        return [("chain", Motion(step, (), (), (Point(0, 0),), _UP))]
    if isinstance(leaf, Work):
        return [_work_sample(step, leaf, terms)]
    if isinstance(leaf, InOne):
        parts = [part for part in leaf.body if isinstance(part, Work)]
        return [_work_sample(Step(part, 1, 1, 0), Work(part.stitch, 1), terms) for part in parts]
    if isinstance(leaf, Act) and leaf.kind == "join":
        return [("slip stitch to join", Motion(step, (Point(0, 0),), (), (), _UP))]
    return []


_UP = Point(0.0, -1.0)


def _turning(step: Step, chain: Chain) -> tuple[str, Motion]:
    half = min(LINK * chain.count, KEY_LINE) / 2
    foot, top = Point(0, half), Point(0, -half)
    return f"turning chain of {chain.count}, one stitch", Motion(step, (foot,), (top,), (), _UP)


def _upright(step: Step, chain: Chain) -> Motion:
    """The chain as it stands beside the first stitch, its middle where the sign is to be."""
    high = min(LINK * chain.count, KEY_LINE - 4)
    return Motion(step, (), (), tuple(Point(0, high / 2 - rise) for rise in upright(chain.count, high)), _UP)


def _work_sample(step: Step, work: Work, terms: Terms) -> tuple[str, Motion]:
    stitch = table().get(work.stitch)
    name = stitch.names(terms).name if stitch else work.stitch
    basic = stitch is None or stitch.kind == "basic"
    if work.into == BOTH_LAYERS:
        name, work = f"{name} through both layers", replace(work, together=work.together // 2)
    if work.together > 1:
        name = f"{work.together} {name} together" if basic else f"{name} over {work.together} stitches"
    elif work.in_one > 1 and basic:
        name = f"{work.in_one} {name} in one stitch"
    if work.loop != "both":
        name += f", {work.loop} loop only"
    half = SC * 0.5 if work.stitch in symbols.CROSSES or work.stitch == "sl st" else SC * 0.65
    step = Step(work, work.together, work.in_one, 0)
    return name, Motion(step, _fan(work.together, half), _fan(work.in_one, -half), (), _UP)


def _fan(count: int, y: float) -> tuple[Point, ...]:
    """So many points side by side, close enough for the key."""
    gap = min(WIDTH * 0.8, 2.2 * WIDTH / max(count - 1, 1))
    return tuple(Point(gap * (i - (count - 1) / 2), y) for i in range(count))


def _key(entries: list[tuple[str, Motion]], svg: Element, left: float, top: float, columns: int, column: float) -> None:
    key = SubElement(svg, "g", {"class": "key"})
    for index, (name, sample) in enumerate(entries):
        x = left + 26 + (index % columns) * column
        y = top + KEY_LINE * (index // columns + 0.6)
        group = SubElement(key, "g", {"class": "course", "transform": f"translate({x:.1f} {y:.1f})"})
        symbols.draw(sample, group)
        SubElement(group, "text", {"x": "30", "y": "4"}).text = name
