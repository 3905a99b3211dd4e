"""The pattern as one accessible web page: nothing beside it is needed, nothing is loaded, it prints well."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache
from importlib.resources import files

from jinja2 import Environment, StrictUndefined, Template
from markupsafe import Markup

from companion.paper.chart import chart, drawable
from companion.paper.geometry import Hand
from companion.paper.view import View
from companion.pattern.model import Piece

Pictures = Callable[[Piece, str], Sequence[tuple[str, str]]]
"""More pictures of a piece: (caption, SVG) for each. The second argument begins the ids that the SVG may use."""

_HERE = "companion.paper"


@cache
def _template() -> Template:
    environment = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    return environment.from_string(files(_HERE).joinpath("page.html.j2").read_text(encoding="utf-8"))


@cache
def _style() -> str:
    return files(_HERE).joinpath("page.css").read_text(encoding="utf-8")


def page(view: View, hand: Hand = "right", pictures: Pictures | None = None) -> str:
    """The page as HTML. Every piece has a heading, every round a list item, every chart a text alternative.

    The stitches are there in full words and in abbreviations, the reader's choice; large print is a switch. Written
    text is escaped, whatever it holds. Charts, pictures and style are made by the program, and let through alone.
    """
    charts = {
        piece.key: Markup(chart(piece.piece, view.terms, hand, key=piece.key)) if drawable(piece.piece) else ""
        for piece in view.pieces
    }
    drawn = {
        piece.key: [(caption, Markup(svg)) for caption, svg in pictures(piece.piece, piece.key)] if pictures else []
        for piece in view.pieces
    }
    return _template().render(view=view, charts=charts, pictures=drawn, style=Markup(_style()))
