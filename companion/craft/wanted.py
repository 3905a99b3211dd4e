"""Which gauge makes a piece the size that is wanted, as `companion estimate` prints it."""

from __future__ import annotations

from companion.craft import gauge_text, units
from companion.craft.answers import gauge_for
from companion.craft.gauge import Gauge
from companion.craft.units import System
from companion.errors import MakerError
from companion.pattern.model import Pattern, Piece


def line(
    pattern: Pattern,
    gauge: Gauge | None,
    *,
    name: str | None = None,
    high_mm: float | None = None,
    wide_mm: float | None = None,
    hook: float | None = None,
    system: System = "metric",
) -> str:
    """One paragraph: the gauge, the hook to try, and how far that is from now.

    `name` is the piece, the first one where it is not given; `hook` the maker's in mm, where it is not the pattern's.
    Raises MakerError where there is no such piece, or no size to begin from.
    """
    piece = _piece(pattern, name)
    found = gauge_for(
        piece, gauge, height_mm=high_mm, widest_mm=wide_mm, hook_mm=hook or gauge_text.hook_mm(pattern.hook)
    )
    length = units.amount("length", found.wanted_mm, system).text
    way = "high" if high_mm is not None else "wide"
    if not found.gauge.can_be_worked:
        return f"No gauge makes {piece.name} {length} {way}; more or fewer stitches and rounds would do it."
    stitches, rounds = (round(2 * per) / 2 for per in (found.gauge.stitches_per_10cm, found.gauge.rounds_per_10cm))
    says = f"{piece.name} {length} {way}: about {stitches:g} stitches and {rounds:g} rounds to 10 cm."
    if found.far:
        says += " That is far from what it is now; more or fewer stitches and rounds would do it better."
    elif found.hook_mm is not None:
        says += f" Try a {found.hook_mm:g} mm hook."
    return f"{says} Only a swatch will tell."


def _piece(pattern: Pattern, name: str | None) -> Piece:
    if name is None:
        return pattern.pieces[0]
    found = [piece for piece in pattern.pieces if piece.name.casefold() == name.casefold()]
    if not found:
        names = ", ".join(dict.fromkeys(piece.name for piece in pattern.pieces))
        raise MakerError(f"There is no piece called {name}. The pattern has {names}.")
    return found[0]
