"""Rounds that say how many they are, but not their numbers: "work even for 3 rounds", "repeat last 2 rows 3 times".

They take the numbers that the labels around them leave free.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from companion.pattern.labels import Kind, Label
from companion.pattern.page import NoteDraft, RoundDraft
from companion.pattern.syntax import AsRoundNode, Node, RoundCountNode

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
    for entry, after in zip(entries, following, strict=True):
        if not isinstance(entry, RoundDraft):
            out.append(entry)
            continue
        label = entry.label
        nodes = parsed(entry.body, entry.end) if label is None or _is_single(label) else ()
        said = rounds_said(nodes)
        if label is None:
            fits = last is not None and (after is None or after == last + said + 1)
            if said and fits and last is not None:
                entry = replace(entry, label=_label(entry, kind, last + 1, last + said))
            elif said and any(isinstance(node, AsRoundNode) for node in nodes):
                out.append(NoteDraft(entry.outset, entry.end, entry.line))
                continue
        elif said > 1 and _is_single(label) and after == label.numbers[0][0] + said:
            first = label.numbers[0][0]
            entry = replace(entry, label=replace(label, numbers=((first, first + said - 1),)))
        label = entry.label
        if label is not None and label.numbers:
            last, kind = max(label.numbers[-1][1], last or 0), label.kind
        elif label is not None and label.next_number:
            last = (last or 0) + label.several
        out.append(entry)
    return out


def rounds_said(nodes: Sequence[Node]) -> int:
    """How many rounds the words stand for, 0 where they do not say."""
    for node in nodes:
        if isinstance(node, RoundCountNode):
            return node.n
        if isinstance(node, AsRoundNode) and (node.back or node.times):
            return (node.back or node.last - node.first + 1) * max(1, node.times)
    return 0


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
    word = "Row" if kind == "row" else "Round"
    text = f"{word} {first}" if first == last else f"{word}s {first}-{last}"
    return Label(text, kind, ((first, last),), 0, 0, draft.body - draft.outset)
