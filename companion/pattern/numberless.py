"""Rounds that say how many they are, but not their numbers: "work even for 3 rounds", "repeat last 2 rows 3 times".

They take the numbers that the labels around them leave free.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from companion.pattern.labels import Kind, Label
from companion.pattern.page import NoteDraft, RoundDraft
from companion.pattern.syntax import NOT_SAID, AsRoundNode, Node, RoundCountNode
from companion.pattern.unlabelled import LeftOut

Entries = Sequence[RoundDraft | NoteDraft]


def numbered_on(
    entries: Entries, parsed: Callable[[int, int], tuple[Node, ...]], last: int | None
) -> list[RoundDraft | NoteDraft]:
    """The entries with such rounds numbered on from those before them, up to the next number that is printed.

    `last` is the number before the first entry. A repeat without a number that does not fit in so is a note.
    """
    out: list[RoundDraft | NoteDraft] = []
    kind: Kind = "round"
    following = _next_numbers(entries)
    for k, (entry, after) in enumerate(zip(entries, following, strict=True)):
        if not isinstance(entry, RoundDraft):
            out.append(entry)
            continue
        label = entry.label
        nodes = parsed(entry.body, entry.end) if label is None or _is_single(label) else ()
        if label is None:
            open_ended = repeats_so_far(nodes) and _repeats_next(entries, k + 1, parsed)
            said = _fitting(nodes, last, None if open_ended else after)
            if said and last is not None:
                entry = replace(entry, label=_label(entry, kind, last + 1, last + said))
            elif repeats_so_far(nodes) and after is None:
                entry = replace(entry, left_out=LeftOut(None, same=False, again=None))
            elif repeats_so_far(nodes):  # that its rounds are missing is told at the next number
                out.append(NoteDraft(entry.outset, entry.end, entry.line))
                continue
        elif _is_single(label) and (after is not None or _counts_rounds(nodes)):
            first = label.numbers[0][0]
            if (said := _fitting(nodes, first - 1, after)) > 1:
                end = first + said - 1
                entry = replace(
                    entry, label=replace(label, text=_named(label.kind, first, end), numbers=((first, end),))
                )
        label = entry.label
        if label is not None and label.numbers:
            last, kind = max(label.numbers[-1][1], last or 0), label.kind
        elif label is not None and label.next_number:
            last = (last or 0) + label.several
        out.append(entry)
    return out


def repeats_so_far(nodes: Sequence[Node]) -> bool:
    """Whether other rounds are repeated, and it is said which before it, how often, or how far."""
    return any(isinstance(node, AsRoundNode) and (node.back or node.far != NOT_SAID) for node in nodes)


def _repeats_next(entries: Entries, k: int, parsed: Callable[[int, int], tuple[Node, ...]]) -> bool:
    """Whether rounds are repeated once more, from entry `k` on, before any that has a number."""
    for entry in (entries[i] for i in range(k, len(entries))):
        if isinstance(entry, RoundDraft):
            if entry.label is not None:
                return False
            if repeats_so_far(parsed(entry.body, entry.end)):
                return True
    return False


def _rounds_said(nodes: Sequence[Node], last: int) -> tuple[int, ...]:
    """How many rounds the words stand for behind number `last`, in every meaning; empty where they do not say."""
    for node in nodes:
        if isinstance(node, RoundCountNode):
            return (node.n,) if node.n else ()
        if isinstance(node, AsRoundNode) and node.far.counts_rounds:
            return node.far.counts(last)
        if isinstance(node, AsRoundNode) and (node.back or node.far.times):
            return ((node.back or node.last - node.first + 1) * max(1, node.far.times),)
    return ()


def _fitting(nodes: Sequence[Node], last: int | None, after: int | None) -> int:
    """How many rounds the words stand for between two printed numbers; 0 where that is not known."""
    if last is None:
        return 0
    said = _rounds_said(nodes, last)
    if after is None:
        return said[0] if len(said) == 1 else 0
    return next((n for n in said if after == last + n + 1), 0)


def _counts_rounds(nodes: Sequence[Node]) -> bool:
    """Whether rounds are repeated for so many rounds, or up to one of them."""
    return any(isinstance(node, AsRoundNode) and node.far.counts_rounds for node in nodes)


def _is_single(label: Label) -> bool:
    return len(label.numbers) == 1 and label.numbers[0][0] == label.numbers[0][1]


def _next_numbers(entries: Entries) -> list[int | None]:
    """For each entry the number printed next after it, None where there is none."""
    found: list[int | None] = []
    number: int | None = None
    for entry in reversed(entries):
        found.append(number)
        if isinstance(entry, RoundDraft) and entry.label is not None and entry.label.numbers:
            number = entry.label.numbers[0][0]
    return found[::-1]


def _label(draft: RoundDraft, kind: Kind, first: int, last: int) -> Label:
    return Label(_named(kind, first, last), kind, ((first, last),), 0, 0, draft.body - draft.outset)


def _named(kind: Kind, first: int, last: int) -> str:
    word = "Row" if kind == "row" else "Round"
    return f"{word} {first}" if first == last else f"{word}s {first}-{last}"
