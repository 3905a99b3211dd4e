"""How large a piece comes out: radius and height round by round, and the volume inside.

In the round, a round of n stitches has radius n x stitch width / 2 pi. It rises by
sqrt(max(0, h^2 - (r - r_before)^2)), h being the height of the round: the fabric is as long as h from edge to edge, and
what it spends on going outwards or inwards it cannot spend on going up. The height of the piece is the sum of the
rises. Volume is that of the solid of revolution through the edges of the rounds, stuffed until round (plain geometry:
sums of truncated cones).

In rows, a piece is flat: as wide as its widest row and as high as its rows together, of no volume.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

from companion.craft.gauge import Gauge
from companion.craft.rounds import Worked, rounds_of
from companion.pattern.model import Act, Instruction, Piece, Repeat

LITTLE = 1.1
"""Up to this much fuller than flat, handling and stuffing take a ripple up (common practice, no source)."""
_SEVERAL = 1.75
"""From here on it is said how many times as much as flat it is; below, how much more."""


@dataclass(frozen=True, slots=True)
class RoundSize:
    """One round of a piece in the round, all lengths in millimetres.

    `z` is the height of its edge above the start of the piece. `fullness` is how much its radius grows for its own
    height: 0 straight up, 1 flat, above 1 more fabric than a flat round has room for, negative where it draws in. For
    an `oval` round, along both sides of a chain, that says nothing.
    """

    label: str
    stitches: int
    radius: float
    radius_before: float
    tall: float
    rise: float
    z: float
    oval: bool = False

    @property
    def fullness(self) -> float:
        """Growth of the radius against the height of the round."""
        return (self.radius - self.radius_before) / self.tall

    @property
    def ruffles(self) -> bool:
        """True where the radius grows by more than the height: the round lies flat and will ruffle."""
        return not self.oval and self.fullness > 1 + 1e-9


@dataclass(frozen=True, slots=True)
class PieceSize:
    """One copy of a piece, lengths in millimetres, volume in cubic centimetres.

    In the round `widest` is the largest diameter and `height` what the rounds rise to. A flat piece has `widest` across
    its widest row, `height` over its rows, volume 0. All three are None where a round of unknown stitches makes them
    unknown. `profile` is the outline from the start: (distance from the axis, height) in the round, (half the width,
    height) in rows. `closed` tells whether the last round is gathered shut.
    """

    name: str
    flat: bool
    widest: float | None
    height: float | None
    volume: float | None
    profile: tuple[tuple[float, float], ...]
    rounds: tuple[RoundSize, ...]
    closed: bool
    notes: tuple[str, ...]


def radius(stitches: int, stitch_mm: float) -> float:
    """Radius in millimetres of a round of so many stitches."""
    return stitches * stitch_mm / (2 * math.pi)


def rise(tall: float, radius_now: float, radius_before: float) -> float:
    """How far a round `tall` millimetres high rises, its edge going from `radius_before` to `radius_now`."""
    return math.sqrt(max(0.0, tall**2 - (radius_now - radius_before) ** 2))


def height_of(counts: Sequence[int], stitch_mm: float, round_mm: float) -> float:
    """How high rounds of so many single crochets rise, begun in a ring, in mm."""
    radii = [0.0, *(radius(count, stitch_mm) for count in counts)]
    return sum(rise(round_mm, now, before) for before, now in pairwise(radii))


def solid_of_revolution(profile: Sequence[tuple[float, float]]) -> float:
    """Volume inside a profile of (radius, height) points turned round its axis: a sum of truncated cones.

    In the cube of the unit given: mm in, cubic mm out.
    """
    return math.fsum(
        math.pi / 3 * (z - z_before) * (r**2 + r * r_before + r_before**2)
        for (r_before, z_before), (r, z) in pairwise(profile)
    )


def measure(piece: Piece, gauge: Gauge) -> PieceSize:
    """The size of one copy of a piece in this gauge."""
    worked = rounds_of(piece)
    rows = sum(one.kind == "row" for one in worked)
    in_rows = rows > sum(one.kind == "round" for one in worked)
    return _flat(piece, worked, gauge) if in_rows else _in_the_round(piece, worked, gauge)


def _in_the_round(piece: Piece, worked: Sequence[Worked], gauge: Gauge) -> PieceSize:
    sized: list[RoundSize] = []
    notes: list[str] = []
    now, z = 0.0, 0.0
    known = True
    for one in worked:
        if one.kind == "row" or one.part_way:
            if one.stitches:
                notes.append(f"{one.label} does not go all round and is left out of the size.")
            continue
        if one.stitches is None:
            known = False
            continue
        if one.oval:
            notes.append(
                f"{one.label} goes along both sides of a chain, so the piece is oval: longer one way and narrower the "
                "other than the width that is given."
            )
        before = now
        if one.aside or not sized:
            # Worked into another edge than the last round's: a chain ring, two legs, free loops lower down.
            before = radius(one.edge, gauge.stitch_mm)
            if sized:
                notes.append(
                    f"{one.label} goes into another edge than the last round, so the height is the most it can be."
                )
        now = radius(one.stitches, gauge.stitch_mm)
        tall = gauge.height_mm(one.height)
        rises = rise(tall, now, before)
        z += rises
        sized.append(RoundSize(one.label, one.stitches, now, before, tall, rises, z, one.oval))
    profile = _profile(sized, z)
    closed = _is_closed(piece)
    notes.extend(_unknown_notes(worked))
    notes.extend(ruffle_notes(sized))
    if _reach(sized) * LITTLE < max((one.radius for one in sized), default=0):
        notes.append("Ruffled, it comes out narrower than the width given here.")
    if not known or not sized:
        return PieceSize(piece.name, False, None, None, None, profile, tuple(sized), closed, tuple(notes))
    widest = 2 * max(one.radius for one in sized)
    volume = solid_of_revolution(profile) / 1000
    return PieceSize(piece.name, False, widest, z, volume, profile, tuple(sized), closed, tuple(notes))


def _reach(sized: Sequence[RoundSize]) -> float:
    """How far the fabric can reach from the axis at most, in mm: no round goes out by more than its height."""
    farthest = now = 0.0
    for index, one in enumerate(sized):
        before = now if index and one.radius_before == sized[index - 1].radius else one.radius_before
        now = one.radius if one.oval else min(one.radius, before + one.tall)
        farthest = max(farthest, now)
    return farthest


def _profile(sized: Sequence[RoundSize], z: float) -> tuple[tuple[float, float], ...]:
    """The outline from the axis (or the first edge, where it starts open) to the axis again: both ends are closed."""
    if not sized:
        return ()
    points = [(0.0, 0.0)]
    if sized[0].radius_before:
        points.append((sized[0].radius_before, 0.0))
    points.extend((one.radius, one.z) for one in sized)
    return (*points, (0.0, z))


def _flat(piece: Piece, worked: Sequence[Worked], gauge: Gauge) -> PieceSize:
    notes: list[str] = []
    profile: list[tuple[float, float]] = []
    height = border = 0.0
    known = True
    for one in worked:
        if one.part_way and not one.stitches:
            continue
        if one.kind == "round":
            border += gauge.height_mm(one.height)
            continue
        if one.stitches is None:
            known = False
            continue
        if one.kind == "step" and one.part_way:
            notes.append(f"{one.label} does not go all across and is left out of the size.")
            continue
        half = one.stitches * gauge.stitch_mm / 2
        profile.append((half, height))
        height += gauge.height_mm(one.height)
        profile.append((half, height))
    notes.extend(_unknown_notes(worked))
    if not known or not profile:
        return PieceSize(piece.name, True, None, None, None, tuple(profile), (), False, tuple(notes))
    if border:
        notes.append("Rounds worked about a piece in rows are counted as a border on every side.")
        profile = [(half + border, z) for half, z in profile]
        profile = [(profile[0][0], -border), *profile, (profile[-1][0], height + border)]
        profile = [(half, z + border) for half, z in profile]
    widest = 2 * max(half for half, _ in profile)
    return PieceSize(piece.name, True, widest, height + 2 * border, 0.0, tuple(profile), (), False, tuple(notes))


def _unknown_notes(worked: Sequence[Worked]) -> list[str]:
    """One sentence for all rounds that could not be worked out."""
    labels = list(dict.fromkeys(one.label for one in worked if one.stitches is None and not one.part_way))
    if not labels:
        return []
    return [f"{_listed(labels)} could not be worked out, so the size of this piece is not known."]


def ruffle_notes(sized: Sequence[RoundSize], *, little: bool = True) -> list[str]:
    """What is said of rounds that lie flat and ruffle: one sentence for each stretch that ruffles much.

    One more for all that do so a little, which handling may smooth out, unless `little` is left out.
    """
    stretches = [list(same) for _, same in groupby(sized, lambda one: (one.ruffles, _much(one)))]
    ruffled = [stretch for stretch in stretches if stretch[0].ruffles]
    notes = [_much_note(stretch) for stretch in ruffled if _much(stretch[0])]
    few = [stretch for stretch in ruffled if not _much(stretch[0])]
    return [*notes, _little_note(few)] if few and little else notes


def _much(one: RoundSize) -> bool:
    return one.fullness > LITTLE


def _much_note(stretch: Sequence[RoundSize]) -> str:
    lies, grows = ("lies", "it grows") if len(stretch) == 1 else ("lie", "they grow")
    fullest = max(one.fullness for one in stretch)
    grows = f"{grows} {_against_flat(fullest)} a flat round does"
    return f"{_named(stretch)} {lies} flat and will ruffle: by this gauge {grows}."


def _against_flat(fullness: float) -> str:
    """ "27% more than", "about 2.5 times as much as"."""
    if fullness < _SEVERAL:
        return f"{fullness - 1:.0%} more than"
    times = round(2 * fullness) / 2 if fullness < 3 else round(fullness)
    return "about twice as much as" if times == 2 else f"about {times:g} times as much as"


def _little_note(stretches: Sequence[Sequence[RoundSize]]) -> str:
    rounds = [one for stretch in stretches for one in stretch]
    # A share that rounds to nothing is still more than flat.
    share = max(0.01, max(one.fullness for one in rounds) - 1)
    lies = "lies" if len(rounds) == 1 else "lie"
    return (
        f"{_listed([_named(stretch) for stretch in stretches])} {lies} flat and by this gauge will ruffle a little "
        f"({share:.0%} more than flat); handling may smooth it."
    )


def _named(stretch: Sequence[RoundSize]) -> str:
    return stretch[0].label if len(stretch) == 1 else f"{stretch[0].label} to {stretch[-1].label}"


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _is_closed(piece: Piece) -> bool:
    last = piece.rounds[-1] if piece.rounds else None
    notes = (*piece.notes, *(last.notes if last else ()))
    return any(note.kind == "close" for note in notes) or bool(last and _closes(last.instructions))


def _closes(instructions: Sequence[Instruction]) -> bool:
    return any(
        (isinstance(item, Act) and item.kind == "close") or (isinstance(item, Repeat) and _closes(item.body))
        for item in instructions
    )
