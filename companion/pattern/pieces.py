"""A piece counted round by round: totals, what each round is worked into, and where something does not add up.

One slip is one error. What a round makes is always what its instructions make; which number the next round goes on
from is decided by which of the two the next round fits.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Final

from companion.pattern.document import NoteDraft, PieceDraft, RoundDraft
from companion.pattern.lexer import Phrases
from companion.pattern.model import Basis, Chain, Note, Piece, Problem, Round, Span, Total
from companion.pattern.notes import note_of, sentences
from companion.pattern.parse import parse
from companion.pattern.problems import problem
from companion.pattern.stitches import table
from companion.pattern.syntax import Node
from companion.pattern.workout import Edge, Rules, TooLarge, Worked, Workout

MAX_ENTRIES: Final = 400
"""Rounds of one range that are listed one by one when the total changes; a longer range is reported."""


class Source:
    """The source text with its vocabulary: parses stretches of it and tells lines and columns."""

    def __init__(self, text: str, vocabulary: Phrases) -> None:
        self.text = text
        self.vocabulary = vocabulary
        self._starts = [0]
        for i, char in enumerate(text):
            if char == "\n":
                self._starts.append(i + 1)
        self._parse = lru_cache(maxsize=4096)(lambda part: parse(part, vocabulary))

    def nodes(self, start: int, end: int) -> tuple[Node, ...]:
        """The parsed instructions of a stretch; offsets in them count from `start`."""
        return self._parse(self.text[start:end])

    def at(self, offset: int) -> tuple[int, int]:
        """Line and column, from 1, of an offset."""
        low, high = 0, len(self._starts)
        while high - low > 1:
            middle = (low + high) // 2
            if self._starts[middle] <= offset:
                low = middle
            else:
                high = middle
        return low + 1, offset - self._starts[low] + 1

    def span(self, start: int, end: int) -> Span:
        """The Span of a stretch."""
        line, column = self.at(start)
        end_line, end_column = self.at(end)
        return Span(line, column, end_line, end_column)


@dataclass(slots=True)
class _State:
    """Where the counting of a piece has got to."""

    edge: Edge = field(default_factory=lambda: Edge(kind="none"))
    pending: Chain | None = None
    last_number: int | None = None
    prints_totals: bool = False
    colour: str | None = None


class PieceCounter:
    """Counts one piece. `rules` is shared by all pieces of a pattern; problems go to `problems`."""

    def __init__(
        self, source: Source, rules: Rules, problems: list[Problem], edge: Edge | None = None, last: int | None = None
    ) -> None:
        self.source = source
        self.rules = rules
        self.problems = problems
        self.state = _State(edge=edge or Edge(kind="none"), last_number=last)
        self.by_number: dict[int, tuple[int, int]] = {}
        self.rounds: list[Round] = []
        self.worked: list[Worked] = []
        self.joined = self.turned = False

    def count(self, draft: PieceDraft) -> Piece:
        """The piece with all its rounds."""
        drafts = [entry for entry in draft.entries if isinstance(entry, RoundDraft)]
        self.state.prints_totals = sum(self._prints(d) for d in drafts) * 2 > len(drafts)
        notes: list[Note] = []
        colour: str | None = None
        k = 0
        for entry in draft.entries:
            if isinstance(entry, RoundDraft):
                k += 1
                following = drafts[k] if k < len(drafts) else None
                self._round(entry, following)
                continue
            for note in self._notes(entry):
                if note.kind == "colour" and not self.rounds and colour is None:
                    colour = self.state.colour = _colour_of(note.text)
                elif note.kind == "colour":
                    self.state.colour = _colour_of(note.text) or self.state.colour
                if self.rounds:
                    self.rounds[-1] = replace(self.rounds[-1], notes=(*self.rounds[-1].notes, note))
                else:
                    notes.append(replace(note, when="before"))
        span = self.source.span(draft.start, draft.end)
        rows = any(r.kind == "row" for r in self.rounds)
        shape = "turned" if self.turned or (rows and not self.joined) else "joined" if self.joined else None
        if draft.aside and colour is None and draft.aside.lower().startswith(("in ", "with ", "using ")):
            colour = _colour_of(draft.aside)
        return Piece(draft.name, draft.make, tuple(self.rounds), span, tuple(notes), shape, colour)  # type: ignore[arg-type]

    def _prints(self, draft: RoundDraft) -> bool:
        from companion.pattern.syntax import TotalNode

        return any(isinstance(node, TotalNode) for node in self.source.nodes(draft.body, draft.end))

    def _notes(self, entry: NoteDraft) -> list[Note]:
        text = self.source.text[entry.start : entry.end]
        return [note_of(text[a:b], self.source.span(entry.start + a, entry.start + b)) for a, b in sentences(text)]

    # --- one entry ---

    def _round(self, draft: RoundDraft, following: RoundDraft | None) -> None:
        label = draft.label
        nodes = self.source.nodes(draft.body, draft.end)
        stretches = label.numbers if label is not None and label.numbers else ((None, None),)
        for first, last in stretches:
            if first is not None and last is not None:
                self._numbering(first, last, draft)
                self.by_number[first] = (draft.body, draft.end)
            self._stretch(draft, nodes, first, last, following)

    def _stretch(
        self,
        draft: RoundDraft,
        nodes: Sequence[Node],
        first: int | None,
        last: int | None,
        following: RoundDraft | None,
    ) -> None:
        state = self.state
        worked = self._work(draft, nodes, state.edge, state.pending)
        if worked is None:
            self._report(
                "too_large",
                draft.body,
                "This round has more stitches than can be meant.",
                "Look for a number with too many digits.",
            )
            self._append(draft, Worked(there=state.edge.stitches), first, last, "unknown", None)
            state.edge, state.pending = Edge(), None
            return
        times = 1 if first is None or last is None else last - first + 1
        if worked.as_round is not None:
            self._as_round(draft, worked, first, last, following)
            return
        changes = (
            times > 1
            and worked.gives is not None
            and worked.there is not None
            and (worked.gives != worked.there or worked.edge_kind != "stitches" or worked.chain_left > 0)
        )
        if not changes:
            self._finish(draft, worked, first, last, following)
            return
        if times > MAX_ENTRIES:
            self._report(
                "too_large",
                draft.start,
                f"This range stands for {times} rounds.",
                "Look for a number with too many digits.",
            )
            self._finish(draft, worked, first, last, following)
            return
        assert first is not None and last is not None
        if worked.remainder is None and worked.takes == worked.there:
            again = self._work(draft, nodes, self._edge_after(worked, worked.gives), worked.pending_chain)
            if (
                again is not None
                and (again.takes != again.there or again.gives is None)
                and worked.edge_kind == "stitches"
            ):
                # the second round of the range does not fit what the first one makes: one problem, one entry
                self._finish(draft, worked, first, last, following, twice=again)
                return
        declared = _totals_of(nodes)
        for n in range(first, last + 1):
            final = n == last
            one = self._work(draft, nodes, state.edge, state.pending)
            if one is None:
                return
            if declared and len(declared) == times:
                one.declared = Total(
                    declared[n - first], None, str(declared[n - first]), one.declared.span if one.declared else None
                )
            elif not final:
                one.declared = None
            self._finish(draft, one, n, n, following if final else None, quiet=not final)

    def _work(self, draft: RoundDraft, nodes: Sequence[Node], edge: Edge, pending: Chain | None) -> Worked | None:
        text = self.source.text[draft.body : draft.end]

        def span(start: int, end: int) -> Span:
            return self.source.span(draft.body + start, draft.body + end)

        try:
            return Workout(self.rules, edge, span, text).run(nodes, pending)
        except TooLarge:
            return None

    def _as_round(
        self, draft: RoundDraft, worked: Worked, first: int | None, last: int | None, following: RoundDraft | None
    ) -> None:
        """ "Repeat rounds 3 and 4": the entries of those rounds, in turn, as often as the label says."""
        reference = worked.as_round
        assert reference is not None
        known = [self.by_number.get(n) for n in range(reference.first, min(reference.last, reference.first + 50) + 1)]
        ranges = [stretch for stretch in known if stretch is not None]
        if not ranges or len(ranges) != len(known):
            self._report(
                "unknown_reference",
                draft.body,
                f"Round {reference.first} is referred to, but it is not in this piece above.",
                "Check the number.",
            )
            worked.takes = worked.gives = None
            self._finish(draft, worked, first, last, following)
            return
        n0, n1 = (first or 0), (last or 0)
        if n1 - n0 >= MAX_ENTRIES:
            n1 = n0 + MAX_ENTRIES
        one_entry = len(ranges) == 1 and n1 > n0
        for n in range(n0, n1 + 1):
            body, end = ranges[(n - n0) % len(ranges)]
            source = RoundDraft(draft.label, draft.start, body, end, draft.line)
            again = self._work(source, self.source.nodes(body, end), self.state.edge, self.state.pending)
            if again is None:
                return
            again.as_round = None
            again.declared = worked.declared if n == n1 else None
            if one_entry and again.gives == again.there:
                again.declared = worked.declared
                self._finish(draft, again, first, last, following)
                return
            self._finish(
                draft,
                again,
                n if first is not None else None,
                n if first is not None else None,
                following if n == n1 else None,
                quiet=n != n1,
            )

    # --- checks ---

    def _numbering(self, first: int, last: int, draft: RoundDraft) -> None:
        state = self.state
        kind = draft.label.kind if draft.label else "round"
        if state.last_number is None:
            if first > 1 and not self.rounds:
                self._report(
                    "missing_round",
                    draft.start,
                    f"The first {kind} here is number {first}.",
                    "Look for the ones before it.",
                )
        elif first <= state.last_number:
            what = f"{kind.capitalize()} {first} comes after {kind} {state.last_number}"
            again = (
                f"{kind.capitalize()} {first} is there twice."
                if first in self.by_number or first == state.last_number
                else f"{what}."
            )
            self._report("duplicate_round", draft.start, again, "Renumber it, or take out the one that is not meant.")
        elif first > state.last_number + 1:
            missing = state.last_number + 1
            which = f"{kind} {missing} is" if first - missing == 1 else f"{kind}s {missing} to {first - 1} are"
            self._report(
                "missing_round",
                draft.start,
                f"After {kind} {state.last_number} comes {kind} {first}: {which} missing.",
                "Look for it in the pattern, or renumber.",
            )
        state.last_number = max(last, state.last_number or 0)

    def _finish(
        self,
        draft: RoundDraft,
        worked: Worked,
        first: int | None,
        last: int | None,
        following: RoundDraft | None,
        *,
        quiet: bool = False,
        twice: Worked | None = None,
    ) -> None:
        declared = worked.declared
        printed = declared.stitches if declared is not None else None
        made = worked.gives
        basis: Basis = "worked_out"
        goes_on = made
        name = draft.label.text if draft.label is not None else "This line"
        for node in worked.unread:
            words = " ".join(self.source.text[draft.body + node.start : draft.body + node.end].split())
            self._report(
                "unreadable",
                draft.body + node.start,
                f"{name}: “{_short(words)}” could not be read as stitches.",
                "It is read aloud as written; check it by eye, or write it in the usual abbreviations.",
            )
        if made is None:
            basis = "pattern_says" if printed is not None else "unknown"
            goes_on = printed
        wrong = False
        if made is not None and printed is not None and made != printed:
            wrong = True
            goes_on = self._mismatch(draft, worked, made, printed, following, name)
        elif not self._fits(worked) or twice is not None:
            wrong = True
            self._does_not_fit(draft, worked, name, twice)
        if worked.round_count is not None and first is not None and last is not None:
            count = worked.round_count.count
            if count != last - first + 1:
                self._report(
                    "rounds_miscounted",
                    draft.body + worked.round_count.start,
                    f"{name} is {last - first + 1} rounds, but it says {count} rounds.",
                    "Correct one of the two.",
                )
        if worked.assumed_chain is not None and not quiet:
            self._chain_assumed(draft, worked, name)
        for node in worked.doubtful:
            words = " ".join(self.source.text[draft.body + node.start : draft.body + node.end].split())
            self._report(
                "reading_assumed",
                draft.body + node.start,
                f"{name}: “{_short(words)}” is taken as that many in each stitch.",
                "Write “in each of the next” if that is meant.",
            )
        if printed is None and made is None and not worked.unread:
            self._report(
                "total_missing",
                draft.start,
                f"{name} has no printed total, and it cannot be worked out.",
                "Write the total at the end.",
            )
        elif (
            printed is None
            and made is not None
            and self.state.prints_totals
            and worked.has_work
            and made != worked.there
            and not wrong
            and not quiet
        ):
            self._report(
                "total_missing",
                draft.start,
                f"{name} has no printed total; it works out at {made}.",
                f"Add [{made}] at its end.",
            )
        self._append(draft, worked, first, last, basis, goes_on)

    def _fits(self, worked: Worked) -> bool:
        if worked.remainder is not None:
            return False
        there, takes = worked.there, worked.takes
        if takes is None or there is None or worked.uses_spaces or worked.unread:
            return True
        if worked.edge_kind == "ring" or not worked.has_work or worked.chain_ring:
            return True
        if worked.into is not None and worked.edge_kind != "chain":
            return True
        if worked.leaves and takes <= there:
            return True
        if worked.edge_kind == "chain":
            return takes in (there, 2 * there - 2, 2 * there - 1, 2 * there)
        return takes == there

    def _mismatch(
        self, draft: RoundDraft, worked: Worked, made: int, printed: int, following: RoundDraft | None, name: str
    ) -> int:
        """Report a printed total that disagrees; the number to go on from."""
        offset = draft.body
        misfit = ""
        if not self._fits(worked) and worked.there is not None and worked.takes is not None:
            misfit = f" It takes {worked.takes} of the {worked.there} that are there."
        goes_on = made
        blame = ""
        if following is not None:
            with_made = self._fits_next(following, worked, made)
            with_printed = self._fits_next(following, worked, printed)
            if with_printed and not with_made:
                goes_on = printed
                blame = " The next round fits only the printed total, so the instruction is probably wrong."
            elif with_made and not with_printed:
                blame = " The next round fits what is worked out, so the printed total is probably wrong."
        hint = (
            f"Print {made}, or correct the instruction so that it makes {printed}."
            if goes_on == made
            else f"Correct the instruction so that it makes {printed}."
        )
        span = worked.declared.span if worked.declared else None
        line, column = (span.line, span.column) if span else self.source.at(offset)
        self.problems.append(
            problem(
                "total_mismatch",
                line,
                column,
                f"{name} makes {made} stitches, but {printed} is printed.{misfit}{blame}",
                hint,
            )
        )
        return goes_on

    def _fits_next(self, following: RoundDraft, worked: Worked, count: int) -> bool:
        rules = copy.deepcopy(self.rules)
        counter = PieceCounter(self.source, rules, [])
        nodes = self.source.nodes(following.body, following.end)
        again = counter._work(following, nodes, self._edge_after(worked, count), worked.pending_chain)
        if again is None or again.gives is None:
            return False
        printed = again.declared.stitches if again.declared else None
        return counter._fits(again) and (printed is None or printed == again.gives)

    def _does_not_fit(self, draft: RoundDraft, worked: Worked, name: str, twice: Worked | None) -> None:
        there, takes = worked.there, worked.takes
        if twice is not None:
            self._report(
                "does_not_fit",
                draft.body,
                f"{name}: worked once it makes {worked.gives} stitches, and the second time it would take {twice.takes}.",
                "Write these rounds out one by one.",
            )
            return
        if worked.remainder is not None:
            each, room, over = worked.remainder
            times = room // each if each else 0
            self._report(
                "does_not_fit",
                draft.body,
                f"{name}: {times} repeats of {each} take {room - over} stitches, and {over} of the {room} there are left over.",
                f"A repeat over {each} stitches fits {room - over} or {room - over + each} stitches.",
            )
            return
        more = "more than" if (takes or 0) > (there or 0) else "fewer than"
        self._report(
            "does_not_fit",
            draft.body,
            f"{name} takes {takes} stitches, {more} the {there} that are there.",
            _repeat_hint(worked),
        )

    def _chain_assumed(self, draft: RoundDraft, worked: Worked, name: str) -> None:
        assert worked.assumed_chain is not None
        key, chains, counts, offset = worked.assumed_chain
        flag = (key, counts)
        if flag in _flagged(self.problems):
            return
        stitch = table()[key].names(self.rules.terms).name if key in table() else key
        how = "counts as a stitch" if counts else "does not count as a stitch"
        self._report(
            "chain_assumed",
            draft.body + offset,
            f"{name}: the pattern does not say whether the starting chain of {chains} counts before {stitch}; taken as common practice has it: it {how}.",
            "Say in the pattern whether it counts.",
        )

    def _report(self, kind: str, offset: int, message: str, hint: str = "") -> None:
        line, column = self.source.at(offset)
        self.problems.append(problem(kind, line, column, message, hint))

    # --- results ---

    def _edge_after(self, worked: Worked, count: int | None) -> Edge:
        if not worked.has_work and worked.chain_left:
            if worked.chain_ring:
                return Edge(0, "ring")
            if worked.joins:
                return Edge(worked.chain_left, "stitches")
            return Edge(None, "chain", worked.chain_left)
        if not worked.has_work and any(getattr(i, "kind", "") == "ring" for i in worked.instructions):
            return Edge(0, "ring")
        if not worked.has_work:
            return self.state.edge
        return Edge(count, "stitches", 0, worked.chain_spaces or None)

    def _append(
        self, draft: RoundDraft, worked: Worked, first: int | None, last: int | None, basis: Basis, goes_on: int | None
    ) -> None:
        source = self.source
        stitches = worked.gives
        if basis == "pattern_says" and worked.declared is not None:
            stitches = worked.declared.stitches
        label = draft.label
        kind = label.kind if label is not None else "step"
        into = worked.into
        if worked.edge_kind == "ring":
            into = "ring"
        elif worked.edge_kind == "chain" and into is None:
            into = "chain"
        there = worked.there
        if worked.edge_kind in ("stitches", "none") and into not in (None, "chain space", "row end", "ring"):
            there = worked.takes
        elif worked.edge_kind == "chain" and worked.takes is not None and there is not None and worked.takes > there:
            there = worked.takes
        elif not worked.has_work and worked.chain_left:
            there = 0
        text = " ".join(source.text[draft.body : draft.end].split())
        self.rounds.append(
            Round(
                label.text if label is not None else "",
                kind,
                first,
                last,
                worked.instructions,
                worked.steps,
                there,
                stitches,
                worked.declared,
                basis,
                text,
                source.span(draft.start, draft.end),
                into,
                worked.chain_spaces,
                (),
                self.state.colour,
            )
        )
        self.worked.append(worked)
        self.joined = self.joined or worked.joins
        self.turned = self.turned or worked.turns
        self.state.edge = self._edge_after(worked, goes_on)
        self.state.pending = worked.pending_chain


def _flagged(problems: Sequence[Problem]) -> set[tuple[str, bool]]:
    found = set()
    for item in problems:
        if item.kind == "chain_assumed":
            counts = "it counts" in item.message
            for key, entry in table().items():
                if f"before {entry.us.name};" in item.message or f"before {entry.uk.name};" in item.message:
                    found.add((key, counts))
    return found


def _short(words: str) -> str:
    return words if len(words) <= 80 else words[:77] + "..."


def _colour_of(text: str) -> str | None:
    import re

    match = re.match(
        r"\W*(?:with|in|using|change to|switch to|change colou?r to|join|colou?r:?|yarn:?)\s+(?:the\s+)?(.+?)(?:\s+yarn|\s+colou?r)?[.:,;]*$",
        text.strip(),
        re.IGNORECASE,
    )
    return match[1] if match and len(match[1]) <= 40 else None


def _totals_of(nodes: Sequence[Node]) -> tuple[int, ...]:
    from companion.pattern.syntax import TotalNode

    for node in nodes:
        if isinstance(node, TotalNode):
            return node.each
    return ()


def _repeat_hint(worked: Worked) -> str:
    """The smallest mending: another number of repeats that fits exactly."""
    from companion.pattern.model import Repeat
    from companion.pattern.workout import takes_of

    def takes(items: Sequence[object]) -> int:
        total = 0
        for item in items:
            if isinstance(item, Repeat):
                total += takes(item.body) * item.times
            else:
                total += takes_of(item) * getattr(item, "count", 1)  # type: ignore[arg-type]
        return total

    there = worked.there
    repeats = [item for item in worked.instructions if isinstance(item, Repeat)]
    if there is not None and worked.takes is not None and len(repeats) == 1:
        body = takes(repeats[0].body)
        rest = worked.takes - body * repeats[0].times
        if body and (there - rest) > 0 and (there - rest) % body == 0:
            return f"{(there - rest) // body} repeats would fit exactly."
    return "Check this round and the total of the one before."


Reporter = Callable[[str, int, str, str], None]
