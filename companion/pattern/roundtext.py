"""One round written out clean, in US or UK terms. What is written reads back to the same instructions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from companion.pattern.lexer import lex, usual
from companion.pattern.model import (
    Act,
    Chain,
    InOne,
    Instruction,
    Loop,
    Repeat,
    Round,
    Skip,
    Terms,
    Unread,
    Work,
)
from companion.pattern.stitches import by_spelling, table


def in_terms(text: str, written: Terms, wanted: Terms) -> str:
    """Prose with the stitches it names in other terms: "first hdc" in US terms is "first htr" in UK terms."""
    if written == wanted:
        return text
    out, at = [], 0
    for token in lex(text, usual().phrases):
        word = str(token.value)
        if token.type == "SKIP":
            other = {"US": "skip", "UK": "miss"}[wanted]
        elif token.type == "STITCH" and word in by_spelling(written):
            entry = by_spelling(written)[word]
            names, others = entry.names(written), entry.names(wanted)
            other = others.abbreviations[0] if word in names.abbreviations else others.name
        else:
            continue
        out.append(text[at : token.start] + other)
        at = token.end
    return "".join(out) + text[at:]


def round_text(entry: Round, terms: Terms, in_force: str = "sc", *, written: Terms | None = None) -> tuple[str, str]:
    """One round as text, and the key of the stitch in force after it.

    `terms` are those to write, `in_force` is the stitch before this round, `written` the terms the pattern was read in
    where they are others.
    """
    writer = _Writer(written or terms, terms, in_force, entry)
    body = writer.sequence(entry.instructions)
    label = _label(entry)
    total = ""
    if entry.declared is not None and entry.declared.stitches is not None:
        total = f" [{entry.declared.stitches}]"
    elif entry.basis == "worked_out" and entry.stitches and entry.worked_into is not None:
        total = f" [{entry.stitches}]"
    text = f"{body}{total}" if label is None else f"{label}: {body}{total}"
    return text, writer.in_force


def _label(entry: Round) -> str | None:
    word = {"round": "Rnd", "row": "Row", "step": ""}[entry.kind]
    if entry.first is None:
        return entry.label or None
    return f"{word} {entry.first}" if entry.first == entry.last else f"{word}s {entry.first}-{entry.last}"


_LOOPS: Final[dict[Loop, str]] = {"front": "FLO ", "back": "BLO ", "third": "3rd loop only ", "both": ""}


class _Writer:
    """Writes the instructions of one round."""

    def __init__(self, written: Terms, terms: Terms, in_force: str, entry: Round) -> None:
        self.written: Terms = written
        self.terms: Terms = terms
        self.entry = entry
        self.named: set[str] = set()
        self._in_force = in_force
        works = list(_stitches(entry.instructions))
        plain = {item.stitch for item in works if item.in_one == item.together == 1}
        self.uniform = len({item.stitch for item in works}) == 1 and (bool(plain) or works[0].stitch == in_force)
        # A motion that is all of a round goes all around, unless it is said that it is one.
        done = [item for item in entry.instructions if not isinstance(item, Act)]
        self.one = "1 " if len(done) == 1 and isinstance(done[0], Work) else ""
        self.ring_said = False
        self.closed = not any(getattr(item, "from_hook", 0) for item in entry.instructions)

    @property
    def in_force(self) -> str:
        """The stitch that a bare "inc" means after this round; empty where it names several."""
        if not self.named:
            return self._in_force
        return next(iter(self.named)) if len(self.named) == 1 else ""

    def sequence(self, items: Sequence[Instruction]) -> str:
        """The items, separated by commas."""
        parts: list[str] = []
        for k, item in enumerate(items):
            before = items[k - 1] if k else None
            following = items[k + 1] if k + 1 < len(items) else None
            if self._is_suggested(item):  # the pattern leaves open where, and so does what is written
                if before is None or not self._is_suggested(before):
                    parts.append(in_terms(self.entry.suggested, self.written, self.terms))
                continue
            if isinstance(item, Chain) and item.counts and isinstance(following, Work | InOne) and following.from_hook:
                continue  # the chains skipped at the start: "in 4th ch from hook" says them
            text = self._along(item, following) or self.item(item) + self._skipped(item, before)
            if isinstance(item, Chain) and item.role == "space" and self._opens(items, k):
                text += " (counts as a space)"
            aside = isinstance(item, Act) and text.startswith("(")  # "5 dc in next st (shell made)"
            if parts and (aside or parts[-1].endswith(" with")):  # "join to the first leg with", "sc"
                parts[-1] += f" {text}"
            else:
                parts.append(text)
        return ", ".join(filter(None, parts))

    def _opens(self, items: Sequence[Instruction], k: int) -> bool:
        """Whether the `k`-th of the items is the first thing made in the round."""
        return items is self.entry.instructions and all(isinstance(item, Act) for item in items[:k])

    def _is_suggested(self, item: Instruction) -> bool:
        """Whether it is a part of what the pattern says in the words of `Round.suggested`."""
        if not self.entry.suggested:
            return False
        if isinstance(item, Repeat):
            return all(self._is_suggested(one) for one in item.body)
        if not isinstance(item, Work) or item.at is None:
            return False
        self.named.add(item.stitch)
        return " ".join(self.entry.text[slice(*item.at)].split()) == self.entry.suggested

    def _along(self, item: Instruction, following: Instruction | None) -> str:
        """ "sc in each st across" before "last sc into top of ch 3", which says no more than where that one goes."""
        explained = (
            isinstance(following, Act) and following.kind == "note" and following.text.lower().startswith("last ")
        )
        if not explained or not isinstance(item, Work) or item.into is not None or item.in_one > 1 or item.together > 1:
            return ""
        self.named.add(item.stitch)
        loop = _LOOPS[item.loop]
        return f"{loop}{self._name(item.stitch)} in each st across"

    def _skipped(self, item: Instruction, before: Instruction | None) -> str:
        """What the chains skipped before a tall stitch are, which is not plain from the stitches alone."""
        if not isinstance(item, Work) or not item.from_hook:
            return ""
        entry = table().get(item.stitch)
        counts = isinstance(before, Chain) and before.role == "start" and before.counts
        if not counts and (entry is None or not item.from_hook - 1 >= entry.height >= 2):
            return ""
        return f" (skipped ch {'counts' if counts else 'does not count'} as a stitch)"

    def item(self, item: Instruction) -> str:
        """One instruction."""
        if isinstance(item, Work):
            return self._work(item)
        if isinstance(item, Repeat):
            return f"({self.sequence(item.body)}) x {item.times}"
        if isinstance(item, InOne):
            return self._in_one(item)
        if isinstance(item, Chain):
            return self._chain(item)
        if isinstance(item, Skip):
            word = "miss" if self.terms == "UK" else "sk"
            return f"{word} {item.count} st" + ("s" if item.count > 1 else "")
        if isinstance(item, Unread):
            return item.text
        return self._act(item)

    def _name(self, key: str) -> str:
        entry = table().get(key)
        return entry.names(self.terms).abbreviations[0] if entry is not None else key

    def _work(self, item: Work) -> str:
        entry = table().get(item.stitch)
        gathered = entry is not None and entry.kind == "spread"
        loop = _LOOPS[item.loop]
        name = self._name(item.stitch)
        where = self._where(item)
        bare = self._bare(item) if not gathered and not where and not item.same else ""
        together = item.together // 2 if item.into == "both layers" else item.together
        if bare:
            text = f"{self.one}{bare}" if item.count == 1 else f"{bare} x {item.count}"
        elif gathered:
            text = f"{item.in_one}-{self._name('dc')} {name}" if item.stitch != "v-st" else name
            text = text if item.count == 1 else f"({text}) x {item.count}"
        elif together == 2 and item.invisible:
            text = f"{name} invdec" + (f" x {item.count}" if item.count > 1 else "") + where
        elif together > 1:
            text = f"{name}{together}tog" if " " not in name else f"{name} {together} tog"
            text = f"{self.one}{text}" if item.count == 1 else f"{text} x {item.count}"
            text += where
        elif item.in_one > 1:
            place = where or (
                " in same st"
                if item.same
                else " in next st"
                if item.count == 1
                else f" in each of next {item.count} sts"
            )
            text = f"{item.in_one} {name}{place}"
        elif item.same:
            text = f"{name} in same st"
        elif where.startswith(" in each of next"):
            text = name + where
        elif item.from_hook and item.count > 1:
            text = f"in {ordinal(item.from_hook)} ch from hook, {item.count} {name}"
        else:
            text = f"{item.count} {name}{where}"
        if not bare and entry is not None and entry.kind in ("basic", "post") and item.stitch != "sl st":
            self.named.add(item.stitch)
        return loop + text

    def _bare(self, item: Work) -> str:
        """ "inc" or "dec", where the whole round is in one stitch; empty where it would not be clear in which."""
        if not self.uniform or item.together == item.in_one:
            return ""
        if item.in_one == 2 and item.together == 1 and not item.invisible:
            return "inc"
        if item.together == 2 and item.in_one == 1:
            return "invdec" if item.invisible else "dec"
        return ""

    def _where(self, item: Work) -> str:
        if item.from_hook:
            return f" in {ordinal(item.from_hook)} ch from hook"
        if item.into is None:
            if self.entry.into == "chain" and self.closed and item.in_one == item.together == 1 and not item.same:
                return f" in each of next {item.count} ch"
            return ""
        if item.into == "ring":
            return " in ring" if self.ring_said else " in magic ring"
        if item.into == "chain space":
            if item.same:
                return " in same sp"
            return " in next sp" if item.count == 1 else f" in each of next {item.count} sps"
        if item.into == "both layers":
            return " through both layers"
        if item.into == "chains":
            return " in next ch" if item.count == 1 else f" in each of next {item.count} ch"
        if item.into == "skipped stitch":
            return " in skipped st" if item.count == 1 else f" in each of {item.count} skipped sts"
        if item.into == "row end":
            return " in row ends"
        return f" along {item.into}"

    def _in_one(self, item: InOne) -> str:
        body = self.sequence(item.body)
        if item.from_hook:
            return f"({body}) in {ordinal(item.from_hook)} ch from hook"
        if item.into == "ring":
            return f"({body}) in ring"
        if item.into == "chain space":
            where = (
                "in same sp" if item.same else "in next sp" if item.count == 1 else f"in each of next {item.count} sps"
            )
        else:
            where = (
                "in same st" if item.same else "in next st" if item.count == 1 else f"in each of next {item.count} sts"
            )
        return f"({body}) {where}"

    def _chain(self, item: Chain) -> str:
        text = f"ch {item.count}"
        if item.role == "start" and not (item.at is None and item.counts):
            return f"{text} (counts as a stitch)" if item.counts else f"{text} (does not count as a stitch)"
        return "" if item.at is None else text

    def _act(self, item: Act) -> str:
        if item.kind == "ring":
            self.ring_said = True
            return "magic ring"
        if item.kind == "colour":
            return f"with {item.text}"
        if item.kind == "join" and "ring" in item.text:  # "join with sl st to form a ring"
            self.ring_said = True
        return in_terms(item.text, self.written, self.terms)


def ordinal(n: int) -> str:
    """1st, 2nd, 3rd, 4th, 11th, 22nd."""
    if n % 100 in (11, 12, 13):
        return f"{n}th"
    return f"{n}{ {1: 'st', 2: 'nd', 3: 'rd'}.get(n % 10, 'th') }"


def _stitches(items: Sequence[Instruction]) -> Iterator[Work]:
    """All plain and shaped stitches of the table's basic and post kinds, in order."""
    for item in items:
        if isinstance(item, Work):
            entry = table().get(item.stitch)
            if entry is not None and entry.kind in ("basic", "post") and item.stitch != "sl st":
                yield item
        elif isinstance(item, Repeat | InOne):
            yield from _stitches(item.body)
