"""What a change of an earlier round does to those after it: they are worked out again, and what is new is told.

A round is kept as it was said. Where one before it is split or joined, "in each stitch around" comes to another total,
and what fitted may fit no more. Nothing of that happens in silence.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import takewhile

from companion.dictation.draft import Draft, DraftPiece, DraftRound
from companion.dictation.result import Told
from companion.dictation.script import Worked, each_round, word_of
from companion.dictation.shaping import opened


@dataclass(frozen=True, slots=True)
class _Changed:
    """Rounds `first` to `last`, as they are numbered now, all with the same news."""

    first: int
    last: int
    was: Worked
    now: Worked


def knock_on(before: Draft, after: Draft) -> Iterator[Told]:
    """What is to be told of rounds that were not touched themselves, but come to something else than before."""
    for old, new in zip(before.pieces, after.pieces, strict=False):
        if old.rounds != new.rounds:
            for changed in _grouped(_changed(before, after, opened(old), opened(new))):
                yield _told(changed, word_of(new))


def _changed(before: Draft, after: Draft, old: DraftPiece, new: DraftPiece) -> Iterator[_Changed]:
    was, now = each_round(before, old), each_round(after, new)
    # Only the last round of a piece can have nothing in it; that is not written.
    for one, two in _untouched(old.rounds[: len(was)], new.rounds[: len(now)]):
        if _news(was[one]) != _news(now[two]):
            yield _Changed(two + 1, two + 1, was[one], now[two])


def _untouched(old: tuple[DraftRound, ...], new: tuple[DraftRound, ...]) -> Iterator[tuple[int, int]]:
    """Where each round that is still as it was said stood, and where it stands now; from 0."""
    both = [(one.items, two.items) for one, two in zip(old, new, strict=False)]
    head = sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], both))
    ends = [(one.items, two.items) for one, two in zip(reversed(old[head:]), reversed(new[head:]), strict=False)]
    tail = sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], ends))
    yield from ((at, at) for at in range(head))
    yield from ((len(old) - at, len(new) - at) for at in range(tail, 0, -1))


def _news(counts: Worked) -> tuple[int | None, ...]:
    """What of a round would be told: its total, and with what numbers it does not fit."""
    return (counts.gives,) if counts.fits else (counts.gives, counts.takes, counts.below)


def _grouped(found: Iterator[_Changed]) -> Iterator[_Changed]:
    held: _Changed | None = None
    for each in found:
        if (
            held is not None
            and each.first == held.last + 1
            and (_news(held.was), _news(held.now)) == (_news(each.was), _news(each.now))
        ):
            held = replace(held, last=each.last)
            continue
        if held is not None:
            yield held
        held = each
    if held is not None:
        yield held


def _told(changed: _Changed, word: str) -> Told:
    was, now, one = changed.was, changed.now, changed.first == changed.last
    slots: dict[str, int | str] = {"word": word, "round": changed.first, "last": changed.last}
    if now.gives is None:
        return "round_unknown_now" if one else "rounds_unknown_now", slots
    if not now.fits and now.takes is not None and now.below is not None:
        slots |= {"takes": now.takes, "below": now.below}
        return "round_unfitting_now" if one else "rounds_unfitting_now", slots
    slots |= {"stitches": now.gives}
    if was.gives is None or was.gives == now.gives:
        return "round_fits_now" if one else "rounds_fit_now", slots
    return "round_changed" if one else "rounds_changed", slots | {"was": was.gives}
