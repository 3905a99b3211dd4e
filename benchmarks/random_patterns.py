"""Random patterns with totals counted by a second, independent counter.

The counter knows no grammar and no arithmetic of rounds: it walks along a plain row of single stitches, takes them one
after the other and puts new ones on another row. A pattern is made so that every round comes out even; `spoil` then
plants one fault. Everything follows from the seed.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from typing import Literal

Motion = tuple[str, int, int]  # kind, stitches taken, stitches given
Plan = list["Item"]


@dataclass(frozen=True, slots=True)
class Item:
    """One thing in a round: "work", "inc", "dec", "skip" `n` times, several "in one", or a "repeat" of `body`."""

    kind: Literal["work", "inc", "dec", "skip", "in one", "repeat"]
    n: int
    stitch: str = "sc"
    body: tuple[Item, ...] = ()


@dataclass(frozen=True, slots=True)
class MadeRound:
    """A round as written, and its counts by the walk along the row."""

    text: str
    into: int
    total: int


@dataclass(frozen=True, slots=True)
class Made:
    """A whole pattern as text, with its rounds by piece."""

    text: str
    terms: Literal["US", "UK"]
    pieces: tuple[tuple[str, tuple[MadeRound, ...]], ...]


SINGLE: dict[str, Motion] = {
    "work": ("work", 1, 1),
    "inc": ("inc", 1, 2),
    "dec": ("dec", 2, 1),
    "skip": ("skip", 1, 0),
}
UK = {"sc": "dc", "hdc": "htr", "dc": "tr", "tr": "dtr"}
PLAIN = ("sc", "hdc", "dc", "tr")


# --- the second counter ---


def motions(items: Plan | tuple[Item, ...]) -> list[Motion]:
    """The items as single motions, one after the other."""
    row: list[Motion] = []
    for item in items:
        for _ in range(item.n):
            if item.kind == "repeat":
                row += motions(item.body)
            elif item.kind == "in one":
                made = sum(one[2] for one in motions(item.body))
                row.append(("in one", 1, made))
            else:
                row.append(
                    {"work": ("work", 1, 1), "inc": ("inc", 1, 2), "dec": ("dec", 2, 1), "skip": ("skip", 1, 0)}[
                        item.kind
                    ]
                )
    return row


def walk(items: Plan, row: list[str]) -> list[str]:
    """Work the items along a row of stitches, one by one; the new row. AssertionError if it comes out uneven."""
    new: list[str] = []
    at = 0
    for _, takes, gives in motions(items):
        for _ in range(takes):
            assert at < len(row), "more taken than is there"
            at += 1
        new += ["stitch"] * gives
    assert at == len(row), "stitches left over"
    return new


# --- making rounds that come out even ---


def plan(rng: random.Random, there: int) -> Plan:
    """Items that take exactly `there` stitches."""
    stitch = rng.choices(PLAIN, (8, 1, 2, 1))[0]
    kind = rng.random()
    if kind < 0.2:
        return [Item("work", there, stitch)]
    if kind < 0.65:
        divisors = [d for d in range(2, there + 1) if there % d == 0 and there // d >= 1 and there // d <= 24]
        if divisors:
            times = rng.choice(divisors)
            return [Item("repeat", times, body=tuple(fragment(rng, there // times, stitch, deep=rng.random() < 0.2)))]
    return fragment(rng, there, stitch, deep=True)


def fragment(rng: random.Random, there: int, stitch: str, deep: bool) -> Plan:
    """A row of items that takes exactly `there` stitches."""
    items: Plan = []
    left = there
    while left:
        kind = rng.random()
        if deep and left >= 6 and kind < 0.2:
            each, times = rng.randint(1, 3), rng.randint(2, 3)
            if each * times <= left:
                items.append(Item("repeat", times, body=tuple(fragment(rng, each, stitch, deep=False))))
                left -= each * times
                continue
        if kind < 0.35:
            items.append(Item("inc", 1, stitch))
            left -= 1
        elif kind < 0.5 and left >= 2:
            items.append(Item("dec", 1, stitch))
            left -= 2
        elif kind < 0.55:
            items.append(Item("in one", 1, body=(Item("work", 1, "sc"), Item("work", rng.randint(1, 3), "dc"))))
            left -= 1
        elif kind < 0.6 and left >= 2 and items and items[-1].kind != "skip":
            items.append(Item("skip", 1))
            left -= 1
        else:
            n = rng.randint(1, left)
            if items and items[-1].kind == "work":
                items[-1] = Item("work", items[-1].n + n, stitch)
            else:
                items.append(Item("work", n, stitch))
            left -= n
    return items


# --- writing them down in many ways ---


class Hand:
    """One writer's habits."""

    def __init__(self, rng: random.Random, terms: Literal["US", "UK"]) -> None:
        self.terms = terms
        self.rng = rng
        self.order = rng.choice(("3 sc", "3sc", "sc 3", "sc in next 3 sts"))
        self.shaping = rng.choice(("word", "written out"))
        self.group = rng.choice(("() x", "[] times", "* rep", "**"))
        self.total = rng.choice(("[n]", "(n)", "(n sts)", "= n", ". n sts.", "<n>"))
        self.label = rng.choice(("Rnd {}: ", "R{}: ", "Round {}: ", "Rnd {}. ", "**Rnd {}:** "))

    def name(self, stitch: str) -> str:
        """The stitch's abbreviation in the writer's terms."""
        return UK[stitch] if self.terms == "UK" else stitch

    def line(self, number: int, items: Plan, total: int) -> str:
        """A whole round."""
        end = {
            "[n]": f" [{total}]",
            "(n)": f" ({total})",
            "(n sts)": f" ({total} sts)",
            "= n": f" = {total}",
            ". n sts.": f". {total} sts.",
            "<n>": f" <{total}>",
        }
        return self.label.format(number) + self.row(items, 0) + end[self.total]

    def row(self, items: Plan | tuple[Item, ...], depth: int) -> str:
        """Items, separated by commas."""
        return ", ".join(self.item(item, depth) for item in items)

    def item(self, item: Item, depth: int) -> str:
        """One item."""
        if item.kind == "repeat":
            return self.repeat(item, depth)
        if item.kind == "in one":
            return f"({self.row(item.body, depth + 1)}) in next st"
        if item.kind == "skip":
            return f"{'miss' if self.terms == 'UK' else 'sk'} {item.n} st"
        name = self.name(item.stitch)
        if item.kind == "inc":
            return f"2 {name} in next st" if self.shaping == "written out" else f"{name} inc"
        if item.kind == "dec":
            return f"{name}2tog" if self.shaping == "written out" else f"{name} dec"
        if self.order == "sc in next 3 sts":
            return f"{name} in next st" if item.n == 1 else f"{name} in next {item.n} sts"
        return {"3 sc": f"{item.n} {name}", "3sc": f"{item.n}{name}", "sc 3": f"{name} {item.n}"}[self.order]

    def repeat(self, item: Item, depth: int) -> str:
        """A repeat; stars only on the outside, since they do not nest."""
        body = self.row(item.body, depth + 1)
        if depth == 0 and self.group == "* rep" and item.n > 1:
            return f"*{body}; rep from * {item.n - 1} more times"
        if depth == 0 and self.group == "**":
            return f"*{body}* {item.n} times"
        return f"[{body}] {item.n} times" if (self.group == "[] times") != (depth % 2 == 1) else f"({body}) x {item.n}"


def make(seed: int, rounds: int = 8) -> Made:
    """A random pattern of one or two pieces."""
    rng = random.Random(seed)
    terms: Literal["US", "UK"] = rng.choice(("US", "UK"))
    hand = Hand(rng, terms)
    lines = [f"Random thing {seed}", f"Terms: {terms}", ""]
    pieces = []
    for name in ("BODY", "TAIL")[: rng.randint(1, 2)]:
        start = rng.randint(4, 12)
        lines.append(f"{name} (make {rng.randint(1, 3)})")
        first = f"{hand.label.format(1)}{start} {hand.name('sc')} in magic ring ({start})"
        lines.append(first)
        made = [MadeRound(first, 0, start)]
        row = ["stitch"] * start
        for number in range(2, rounds + 1):
            while True:
                items = plan(rng, len(row))
                new = walk(items, row)
                if 3 <= len(new) <= 160:
                    break
            text = hand.line(number, items, len(new))
            lines.append(text)
            made.append(MadeRound(text, len(row), len(new)))
            row = new
        lines.append("Fasten off.")
        lines.append("")
        pieces.append((name, tuple(made)))
    return Made("\n".join(lines), terms, tuple(pieces))


def spoil(made: Made, seed: int) -> tuple[str, int]:
    """The pattern with one printed total changed; the text and the line of the fault."""
    rng = random.Random(seed)
    lines = made.text.split("\n")
    _, rounds = rng.choice(made.pieces)
    spoilt = rng.choice(rounds)
    at = lines.index(spoilt.text)
    head, _, tail = spoilt.text.rpartition(str(spoilt.total))
    lines[at] = f"{head}{spoilt.total + rng.choice((-1, 1, 2))}{tail}"
    return "\n".join(lines), at + 1
