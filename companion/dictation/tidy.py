"""From making to pattern: the shortest usual notation of what was worked.

Runs become repeats ("2 sc, inc, 2 sc, inc" is "(2 sc, inc) x 2"), equal rounds become ranges. What is written is read
again and must come out stitch for stitch the same; where it does not, the draft's own notation is kept.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from companion.pattern.model import (
    Act,
    Chain,
    InOne,
    Instruction,
    Pattern,
    Piece,
    Repeat,
    Round,
    Skip,
    Total,
    Unread,
    Work,
)
from companion.pattern.reader import read
from companion.pattern.writing import write

_Motions = tuple[tuple[object, int, int], ...]


def tidied(pattern: Pattern) -> str:
    """The pattern written out, every total with it."""
    totalled = replace(pattern, pieces=tuple(_totalled(piece) for piece in pattern.pieces))
    short = replace(totalled, pieces=tuple(_short(piece) for piece in totalled.pieces))
    for text in (write(short), write(totalled), _source_with_totals(pattern)):
        again = read(text)
        if laid_out(again) == laid_out(pattern) and _doubts(again) <= _doubts(pattern):
            return text
    return pattern.source


def _doubts(pattern: Pattern) -> set[str]:
    """What the reader had to ask or assume, beside totals that are not printed."""
    return {problem.kind for problem in pattern.problems} - {"total_missing"}


def _total(entry: Round) -> Total | None:
    """The total to be printed, where it was worked out."""
    return Total(entry.stitches) if entry.basis == "worked_out" and entry.stitches else entry.declared


def _totalled(piece: Piece) -> Piece:
    return replace(piece, rounds=tuple(replace(entry, declared=_total(entry)) for entry in piece.rounds))


def _source_with_totals(pattern: Pattern) -> str:
    """The draft's own notation, with the total at the end of every line that has one."""
    lines = pattern.source.splitlines()
    totals: dict[int, set[int | None]] = {}
    for piece in pattern.pieces:
        for entry in piece.rounds:
            total = _total(entry)
            totals.setdefault(entry.span.end_line, set()).add(total.stitches if total else None)
    for line, found in totals.items():
        only = found.pop()
        if only is not None and not found:
            lines[line - 1] += f" [{only}]"
    return "\n".join(lines) + "\n"


def laid_out(pattern: Pattern) -> list[tuple[str, int, list[tuple[int | None, int | None, _Motions]]]]:
    """Every round of every piece by itself, motion by motion: what two ways of writing a pattern must agree in."""
    return [
        (
            piece.name.casefold(),
            piece.make,
            [
                (entry.worked_into, entry.stitches, _motions(entry))
                for entry in piece.rounds
                for _ in range(entry.times)
            ],
        )
        for piece in pattern.pieces
    ]


def _motions(entry: Round) -> _Motions:
    return tuple((_alone(step.instruction), step.takes, step.gives) for step in entry.steps)


def _alone(item: Instruction) -> object:
    """The motion without how many of it stand together, and without its words."""
    match item:
        case Work() | InOne() | Skip():
            return replace(item, count=1)
        case Act():
            return item.kind, item.text if item.kind == "colour" else ""
        case _:
            return item


# --- rounds into ranges ------------------------------------------------------------------------------------------


def _short(piece: Piece) -> Piece:
    rounds: list[Round] = []
    for entry in piece.rounds:
        entry = replace(entry, instructions=shortest(entry.instructions))
        if rounds and _goes_on(rounds[-1], entry):
            rounds[-1] = replace(rounds[-1], last=entry.last, notes=entry.notes)
        else:
            rounds.append(entry)
    return replace(piece, rounds=tuple(rounds))


def _goes_on(before: Round, entry: Round) -> bool:
    """True where the round is the one before once more, with nothing to be said between them."""
    return (
        before.last is not None
        and entry.first == before.last + 1
        and before.kind == entry.kind
        and not before.notes
        and before.instructions == entry.instructions
        and before.stitches == entry.stitches
        and before.worked_into == entry.worked_into
        and before.basis == entry.basis == "worked_out"
        and not any(isinstance(item, Act) and item.kind == "colour" for item in entry.instructions)
    )


# --- runs into repeats -------------------------------------------------------------------------------------------


def shortest(items: Sequence[Instruction]) -> tuple[Instruction, ...]:
    """The same work in the fewest instructions."""
    flat = tuple(_merged(_simple(items)))
    while (repeat := _best_repeat(flat)) is not None:
        start, length, times = repeat
        body = flat[start : start + length]
        flat = (*flat[:start], Repeat(times, body), *flat[start + length * times :])
    return flat


def _simple(items: Sequence[Instruction]) -> Iterator[Instruction]:
    """Each repeat short in itself; a repeat of one motion as so many of it."""
    for item in items:
        if not isinstance(item, Repeat):
            yield item
            continue
        body = shortest(item.body)
        only = body[0] if len(body) == 1 else None
        if item.times == 1:
            yield from body
        elif isinstance(only, Work) and not only.from_hook and not only.same:
            yield replace(only, count=only.count * item.times)
        elif isinstance(only, Repeat):
            yield Repeat(only.times * item.times, only.body)
        else:
            yield Repeat(item.times, body)


def _merged(items: Iterator[Instruction]) -> Iterator[Instruction]:
    """Neighbours that are the same motion, as one."""
    held: Instruction | None = None
    for item in items:
        if isinstance(held, Work) and isinstance(item, Work) and replace(held, count=item.count) == item:
            held = replace(held, count=held.count + item.count)
            continue
        if held is not None:
            yield held
        held = item
    if held is not None:
        yield held


def _best_repeat(items: tuple[Instruction, ...]) -> tuple[int, int, int] | None:
    """Where a run begins, how long its part is, how often it comes: the one that shortens most."""
    best: tuple[int, int, tuple[int, int, int]] | None = None
    for length in range(2, len(items) // 2 + 1):
        for start in range(len(items) - 2 * length + 1):
            body = items[start : start + length]
            if any(isinstance(item, Chain | Act | Unread) or _from_hook(item) for item in body):
                continue
            times = 1
            while items[start + times * length : start + (times + 1) * length] == body:
                times += 1
            gain = length * (times - 1)
            if times > 1 and (best is None or (gain, -length) > best[:2]):
                best = gain, -length, (start, length, times)
    return best[2] if best else None


def _from_hook(item: Instruction) -> bool:
    return isinstance(item, Work | InOne) and bool(item.from_hook)
