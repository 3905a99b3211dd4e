"""The estimate of a whole pattern: size, stuffing, yarn and time, and what stands in its way."""

from __future__ import annotations

import re
from dataclasses import dataclass

from companion.craft import choose, gauge_text, pace, size, tables, yarn
from companion.craft.gauge import Gauge
from companion.craft.pace import Pace
from companion.craft.rounds import rounds_of
from companion.craft.size import PieceSize
from companion.craft.tables import YarnWeight
from companion.craft.yarn import NOTHING, Ball, Between, Swatch, YarnNeed
from companion.errors import MakerError
from companion.pattern.model import Pattern, Piece, Terms

_NO_STUFFING = re.compile(r"\b(?:do not|don['’]t|never|without|no|un)\b[^.]*\bstuff", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class PieceEstimate:
    """One piece. `stitches` is of one copy, None where a round could not be worked out; `size` None without a gauge.

    `counted` is the stitches of the rounds that could be worked out; `unknown` names the others, `pattern_says` those
    whose total is the printed one. `stuffed` is what the pattern says of stuffing, None where it says nothing.
    """

    name: str
    make: int
    stitches: int | None
    counted: int
    unknown: tuple[str, ...]
    pattern_says: tuple[str, ...]
    stuffed: bool | None
    size: PieceSize | None

    def volume(self, spread: float) -> Between | None:
        """Volume of one copy in cubic centimetres; None where it is not known or the piece is flat.

        Every length may be off by `spread` either way, so the volume by its cube.
        """
        if self.size is None or not self.size.volume:
            return None
        return Between(1, (1 - spread) ** 3, (1 + spread) ** 3).times(self.size.volume)


@dataclass(frozen=True, slots=True)
class Estimate:
    """The whole pattern, all copies of every piece.

    `stitches` is None where a round could not be worked out, and then yarn and time are only for what could be:
    `complete` is false. `gauge` is None where nothing tells one, and sizes are then unknown. `weight` is that of the
    yarn, None where nobody names one. `stuffing_grams` is None where nothing is stuffed or no volume is known.
    """

    title: str
    terms: Terms
    stitches: int | None
    counted: int
    pieces: tuple[PieceEstimate, ...]
    gauge: Gauge | None
    weight: YarnWeight | None
    yarn: YarnNeed | None
    minutes: Between
    own_pace: bool
    stuffing_grams: Between | None

    @property
    def complete(self) -> bool:
        """Whether every round could be worked out."""
        return self.stitches is not None

    @property
    def size_spread(self) -> float:
        """How far sizes may be off either way, as a share; 0 without a gauge."""
        return self.gauge.spread if self.gauge else 0.0


def estimate(
    pattern: Pattern,
    *,
    stitches_per_10cm: float | None = None,
    rounds_per_10cm: float | None = None,
    hook: float | None = None,
    yarn_name: str | None = None,
    swatch: Swatch | None = None,
    ball: Ball | None = None,
    own_pace: Pace | None = None,
) -> Estimate:
    """Size, stuffing, yarn and time of a pattern.

    `stitches_per_10cm` and `rounds_per_10cm` are the maker's gauge, `hook` their hook in mm and `yarn_name` the name of
    their yarn weight ("DK", "aran"), where they differ from the pattern's. Raises MakerError where one of them cannot
    be, and where the pattern has no piece to measure.
    """
    if not any(piece.rounds for piece in pattern.pieces):
        raise MakerError("This pattern has no rounds to measure. Run companion check on it to see why.")
    gauge = choose.choose(
        pattern, stitches_per_10cm=stitches_per_10cm, rounds_per_10cm=rounds_per_10cm, hook=hook, yarn=yarn_name
    )
    weight = tables.yarns().find(yarn_name) if yarn_name else gauge_text.yarn_weight(pattern)
    pieces = tuple(_piece(piece, gauge) for piece in pattern.pieces)
    copies = [(piece, piece.make) for piece in pattern.pieces]
    whole = all(piece.stitches is not None for piece in pieces)
    counted = sum(piece.counted * piece.make for piece in pieces)
    return Estimate(
        title=pattern.title,
        terms=pattern.terms,
        stitches=counted if whole else None,
        counted=counted,
        pieces=pieces,
        gauge=gauge,
        weight=weight,
        yarn=yarn.need(copies, gauge, swatch, weight, ball),
        minutes=pace.minutes(copies, own_pace),
        own_pace=own_pace is not None and own_pace.own,
        stuffing_grams=_stuffing(_stuffed_pieces(pieces, pattern), gauge),
    )


def _piece(piece: Piece, gauge: Gauge | None) -> PieceEstimate:
    worked = rounds_of(piece)
    unknown = tuple(dict.fromkeys(one.label for one in worked if one.stitches is None))
    counted = sum(one.stitches or 0 for one in worked)
    return PieceEstimate(
        name=piece.name,
        make=piece.make,
        stitches=None if unknown else counted,
        counted=counted,
        unknown=unknown,
        pattern_says=tuple(dict.fromkeys(one.label for one in worked if one.says and one.stitches is not None)),
        stuffed=_stuffed(piece),
        size=size.measure(piece, gauge) if gauge else None,
    )


def _stuffed(piece: Piece) -> bool | None:
    notes = [note for entry in piece.rounds for note in entry.notes] + list(piece.notes)
    texts = [note.text for note in notes if note.kind == "stuffing"]
    if not texts:
        return None
    return any(not _NO_STUFFING.search(text) for text in texts)


def _stuffed_pieces(pieces: tuple[PieceEstimate, ...], pattern: Pattern) -> list[PieceEstimate]:
    """Those that the pattern stuffs; where it tells of none but names stuffing, those that close."""
    told = [piece for piece in pieces if piece.stuffed]
    if told or not any("stuffing" in line.lower() for line in pattern.materials):
        return told
    return [piece for piece in pieces if piece.stuffed is None and piece.size and piece.size.closed]


def _stuffing(pieces: list[PieceEstimate], gauge: Gauge | None) -> Between | None:
    """Grams of stuffing for these pieces: what a litre weighs, and how many litres there are, may both be off."""
    total = NOTHING
    for piece in pieces:
        if gauge and (volume := piece.volume(gauge.spread)):
            total = total.plus(volume.times(piece.make / 1000))
    figure = tables.practice().stuffing_grams_per_litre
    grams = Between(total.usual * figure.usual, total.low * figure.low, total.high * figure.high)
    return grams if total.high else None
