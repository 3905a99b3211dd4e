"""A piece counted round by round: what each round is worked into, what it makes, and what the next goes on from."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import Final

from companion.pattern import checks
from companion.pattern.arithmetic import adds_up
from companion.pattern.counted import Counted
from companion.pattern.entries import entry_of
from companion.pattern.labels import Label, find_label
from companion.pattern.landmarks import kinds_of, landmarks_of
from companion.pattern.model import Act, Chain, Note, Piece, Round, Total, Unread
from companion.pattern.notes import colour_of, note_of, sentences
from companion.pattern.numberless import numbered_on
from companion.pattern.page import NoteDraft, PieceDraft, RoundDraft
from companion.pattern.referring import MOST_REFERRED, referred
from companion.pattern.remarks import remarks
from companion.pattern.rules import LOOPS_OF, Edge
from companion.pattern.said import joins_into_round
from companion.pattern.shared import Counting, Stretch
from companion.pattern.starts import going_on
from companion.pattern.steps import lay_out
from companion.pattern.syntax import Repeated, TotalNode
from companion.pattern.unlabelled import LeftOut, uncounted
from companion.pattern.worked import Worked

MAX_ENTRIES: Final = 400
"""Rounds of one range that are listed one by one where the total changes; a longer range is reported."""


class PieceCounter:
    """Counts one piece. `edge` and `last` are where an earlier piece left off, if this one goes on from it."""

    def __init__(self, shared: Counting, edge: Edge | None = None, last: int | None = None) -> None:
        self.shared = shared
        self.source = shared.source
        self.edge = edge or Edge(kind="none")
        self.last_number = last
        self.pending: Chain | None = None
        self.in_force = "sc"
        self.colour: str | None = None
        self.prints_totals = False
        self.edge_lost = False  # reported once, where the count was lost
        self.counts: dict[int, int] = {}
        self.by_number: dict[int, Stretch] = {}
        self.drafts: list[RoundDraft] = []
        self.numbered: frozenset[int] = frozenset()
        self.rounds: list[Round] = []
        self.held: dict[int, tuple[int, RoundDraft]] = {}
        self.notes_after: dict[int, list[Note]] = {}
        self.joined = self.turned = False

    def count(self, draft: PieceDraft) -> Piece:
        """The piece with all its rounds and notes."""
        self.counts = self.shared.rules.rounds.setdefault(_short_name(draft.name), {})
        self.shared.by_piece[draft.name.lower()] = self.by_number
        entries = self._in_their_turn(draft)
        drafts = self.drafts = [entry for entry in entries if isinstance(entry, RoundDraft)]
        self.prints_totals = sum(map(self._prints_total, drafts)) * 2 > len(drafts)
        notes: list[Note] = []
        colour = colour_of(draft.aside) if draft.aside else None
        self.colour = colour
        k = 0
        for entry in entries:
            if isinstance(entry, RoundDraft):
                k += 1
                self._round(entry, drafts[k] if k < len(drafts) else None)
                continue
            self._report_uncounted(entry)
            for note in self._notes(entry):
                if note.kind == "colour" and (named := colour_of(note.text)):
                    self.colour = named
                    colour = colour or (named if not self.rounds else None)
                if not self.rounds and self.edge.kind == "none" and LOOPS_OF.search(note.text):
                    there = self.shared.rules.edge_named(note.text)
                    self.edge = Edge(there, "none" if there is None else "stitches")
                if joins_into_round(note.text):
                    self.edge = self.edge._replace(row=None)
                if self.rounds:
                    self.notes_after.setdefault(len(self.rounds) - 1, []).append(note)
                else:
                    notes.append(replace(note, when="before"))
        self._release(only_next=False)
        for k, found in self.notes_after.items():
            self.rounds[k] = replace(self.rounds[k], notes=(*self.rounds[k].notes, *found))
        span = self.source.span(draft.line.start, draft.end)
        rows = any(r.kind == "row" for r in self.rounds)
        shape = "turned" if self.turned or (rows and not self.joined) else "joined" if self.joined else None
        if self.edge.stitches is not None:
            rules = self.shared.rules
            finished = rules.edges if self.edge.row is None else rules.rows
            finished[_short_name(draft.name)] = self.edge.stitches
        return Piece(draft.name, draft.make, tuple(self.rounds), span, tuple(notes), shape, colour)  # type: ignore[arg-type]

    def _in_their_turn(self, draft: PieceDraft) -> list[RoundDraft | NoteDraft]:
        """The entries but "Even rounds: sc around", which is held for all of them that the piece leaves out.

        Where it leaves out none, it is a note; where it stands in the notes, it is one already.
        """
        entries: list[RoundDraft | NoteDraft] = []
        numbered = numbered_on(draft.entries, self.source.parsed, self.last_number)
        drafts = [entry for entry in numbered if isinstance(entry, RoundDraft)]
        self.numbered = _numbered(drafts)
        for entry in numbered:
            label = entry.label if isinstance(entry, RoundDraft) else None
            if not isinstance(entry, RoundDraft) or label is None or label.every is None or label.numbers:
                entries.append(entry)
            elif entry.in_notes and entry.is_row is not any(d.is_row for d in drafts if d.label and d.label.numbers):
                continue  # said of rounds, and this piece has rows
            elif not self._hold_every_other(entry, self.last_number or 0, label.every) and not entry.in_notes:
                entries.append(NoteDraft(entry.outset, entry.end, entry.line))
        return entries

    def _prints_total(self, draft: RoundDraft) -> bool:
        if draft.label is not None and draft.label.aside_total is not None:
            return True
        return any(isinstance(node, TotalNode) for node in self.source.parsed(draft.body, draft.end))

    def _text(self, draft: RoundDraft) -> str:
        return self.source.text[draft.body : draft.end]

    def _notes(self, entry: NoteDraft) -> list[Note]:
        text = self.source.text[entry.start : entry.end]
        return [note_of(text[a:b], self.source.span(entry.start + a, entry.start + b)) for a, b in sentences(text)]

    def _report_uncounted(self, entry: NoteDraft) -> None:
        text = self.source.text[entry.start : entry.end]
        label = find_label(text)
        if not self.rounds or (label is not None and label.every is not None):
            return  # "Even rounds: sc around", which every one of them says for itself
        if uncounted(self.source.parsed(entry.start, entry.end), text):
            message = f"“{checks.short(text)}” stands among the rounds without a label. It is read aloud, not counted."
            hint = "If it is a round of its own, begin it with its label, as in: Row 8:"
            checks.report(self, "stitches_in_note", entry.start, message, hint)

    # --- one entry of the page ---

    def _round(self, draft: RoundDraft, following: RoundDraft | None) -> None:
        label = draft.label
        stretch = Stretch.of(draft)
        if draft.left_out is not None:
            self._left_out(draft, stretch, draft.left_out)
            return
        if label is not None and label.next_number:
            number = (self.last_number or 0) + 1
            self.last_number = number + label.several - 1
            if label.several > 1:
                self._stretch(draft, stretch, number, self.last_number, following)
            else:
                self._stretch(draft, stretch, None, None, following)
                self.by_number[number] = stretch
            return
        numbers = self._sized(label) if label is not None else ()
        if not numbers:
            self._stretch(draft, stretch, None, None, following)
            return
        self._release(only_next=True)
        for first, last in numbers[1:]:  # "Rows 2, 4 and 6": the later ones come when their turn has come
            self.held[first] = (last, draft)
        if label is not None and label.every is not None:
            self._hold_every_other(draft, numbers[-1][1], label.every)
            if any((self.last_number or 0) < n < numbers[0][0] for n in self.numbered):
                self.held[numbers[0][0]] = (numbers[0][1], draft)  # "Row 4 and all even rows", said before row 3
                return
        self._counted(draft, *numbers[0], following)
        self._release(only_next=True)

    def _left_out(self, draft: RoundDraft, stretch: Stretch, left_out: LeftOut) -> None:
        """ "Continue in this way until 8 sts remain": nobody knows how many rounds these are.

        After them there are as many stitches as before, as many as is said, or it is unknown.
        """
        text = self._text(draft)
        message = f"“{checks.short(text)}” stands for rounds that are not written out. It is read aloud, not counted."
        checks.report(self, "rounds_not_written", draft.start, message, "Write each of these rounds on its own line.")
        words = (Unread(text, (0, len(text))),)
        there, kind = self.edge.stitches, self.edge.kind
        steps = lay_out(words, chain_takes=True)
        worked = Worked(
            words, steps, there=there, edge_kind=kind, takes=None, gives=None, has_work=True, row=self.edge.row
        )
        self.rounds.append(entry_of(self, Counted(draft, stretch, worked, None, None, None, None)))
        n = left_out.again
        even = n is not None and self.counts.get(n) == self.counts.get(n - 1, 0) == there
        if left_out.stitches is not None or not (left_out.same or even):
            self.edge = self.edge._replace(stitches=left_out.stitches)

    def _hold_every_other(self, draft: RoundDraft, after: int, parity: int) -> bool:
        """ "Row 2 and all even rows": the later ones too, as far as the piece is numbered and no row is their own.

        Whether there are any.
        """
        end = min(max(self.numbered, default=after), after + 2 * MAX_ENTRIES)
        there = self.numbered | self.held.keys()
        found = [n for n in range(after + 1, end + 1) if n % 2 == parity and n not in there]
        self.held.update((n, (n, draft)) for n in found)
        return bool(found)

    def _sized(self, label: Label) -> tuple[tuple[int, int], ...]:
        """The numbers of a label; "Rows 3-30 (36, 44)" ends where the chosen size ends."""
        vocabulary = self.source.vocabulary
        others = [int(n) for n in re.findall(r"\d{1,5}", label.aside)] if vocabulary.sizes > 1 else []
        if not label.numbers or vocabulary.size == 1 or len(others) != vocabulary.sizes - 1:
            return label.numbers
        first, last = label.numbers[-1]
        return (*label.numbers[:-1], (first, max(first, others[vocabulary.size - 2] or last)))

    def _counted(self, draft: RoundDraft, first: int, last: int, following: RoundDraft | None) -> None:
        checks.numbering(self, draft, first, last)
        self.last_number = max(last, self.last_number or 0)
        self._stretch(draft, Stretch.of(draft), first, last, following)

    def _release(self, *, only_next: bool) -> None:
        """Count the rounds that were named earlier and held back, as far as their turn has come."""
        while self.held:
            first = min(self.held)
            if only_next and first != (self.last_number or 0) + 1:
                return
            last, draft = self.held.pop(first)
            self._counted(draft, first, last, None)

    def _stretch(
        self, draft: RoundDraft, stretch: Stretch, first: int | None, last: int | None, following: RoundDraft | None
    ) -> None:
        worked = self._work(stretch)
        if worked.as_round is not None:
            self._as_round(draft, worked, first, last, following)
            return
        times = 1 if first is None or last is None else last - first + 1
        if worked.gives is None:
            steady = self._stays_as_printed(worked, stretch)
        else:
            same = worked.gives == worked.there and worked.edge_kind == "stitches" and not worked.chain_left
            steady = worked.there is None or same
        if times == 1 or steady:
            self._finish(Counted(draft, stretch, worked, worked.declared, first, last, following))
        elif times > MAX_ENTRIES:
            checks.too_long_a_range(self, draft, times)
            self._finish(Counted(draft, stretch, worked, worked.declared, first, last, following))
        else:
            assert first is not None
            assert last is not None
            self._changing(draft, stretch, worked, first, last, following)

    def _stays_as_printed(self, worked: Worked, stretch: Stretch) -> bool:
        """Whether a round of which only the printed total is known makes that many again, worked into so many."""
        printed = worked.declared.stitches if worked.declared is not None else None
        if printed is None:
            return True
        again = self.shared.work(stretch, self.edge_after(worked, printed), worked.pending_chain, self.in_force)
        return again.gives in (None, printed)

    def _changing(
        self, draft: RoundDraft, stretch: Stretch, worked: Worked, first: int, last: int, following: RoundDraft | None
    ) -> None:
        """A range whose total changes from round to round: one entry a round, unless it fits only once."""
        if worked.fits and worked.edge_kind == "stitches" and worked.gives is not None:
            again = self.shared.work(
                stretch, self.edge_after(worked, worked.gives), worked.pending_chain, self.in_force
            )
            if again.gives is None or not again.fits:
                self._finish(Counted(draft, stretch, worked, worked.declared, first, last, following, second=again))
                return
        each = worked.each
        for n in range(first, last + 1):
            one = self._work(stretch)
            if one.too_large:
                self._finish(Counted(draft, stretch, one, one.declared, n, last, following))
                return
            declared = one.declared if n == last else None
            if len(each) == last - first + 1:
                declared = Total(each[n - first], None, str(each[n - first]))
            self._finish(
                Counted(draft, stretch, one, declared, n, n, following if n == last else None, listed=n != last)
            )

    def _as_round(
        self, draft: RoundDraft, worked: Worked, first: int | None, last: int | None, following: RoundDraft | None
    ) -> None:
        """ "Repeat rounds 3 and 4", "as for body": the instructions of those rounds, in turn."""
        assert worked.as_round is not None
        stretches = referred(self, worked.as_round, first, last)
        if stretches is None:
            checks.unknown_reference(self, draft, worked)
            blank = Worked(
                there=self.edge.stitches,
                edge_kind=self.edge.kind,
                takes=None,
                gives=None,
                declared=worked.declared,
                has_work=True,
                row=self.edge.row,
            )
            self._finish(Counted(draft, Stretch.of(draft), blank, worked.declared, first, last, following))
            return
        if first is not None and last is not None:
            self._as_often_as_said(draft, worked.as_round.far, len(stretches), first, last)
        n0 = first or 0
        n1 = min(last or 0, n0 + MOST_REFERRED)
        for n in range(n0, n1 + 1):
            stretch = stretches[(n - n0) % len(stretches)]
            one, again = self._once_more(stretch, numbered=first is not None)
            if one.too_large:
                self._finish(
                    Counted(draft, stretch, one, worked.declared, n if first is not None else None, last, following)
                )
                return
            if len(stretches) == 1 and one.gives is not None and one.gives == one.there:
                self._finish(Counted(draft, stretch, one, worked.declared, first, last, following, again=again))
                return
            number = n if first is not None else None
            declared = worked.declared if n == n1 else None
            if len(worked.each) == n1 - n0 + 1:
                declared = Total(worked.each[n - n0], None, str(worked.each[n - n0]))
            self._finish(
                Counted(
                    draft, stretch, one, declared, number, number, following if n == n1 else None, n != n1, again=again
                )
            )

    def _as_often_as_said(self, draft: RoundDraft, far: Repeated, rounds: int, first: int, last: int) -> None:
        """Report where so many rounds are repeated otherwise than the numbers beside them say."""
        said = far.counts(first - 1)
        if far.times:  # "3 times" may count the first time, too
            said = (rounds * far.times, rounds * (far.times - 1))
        if (said or far.counts_rounds) and last - first + 1 not in said:
            checks.miscounted(self, draft, last - first + 1, said[0] if said else None)

    def _once_more(self, stretch: Stretch, *, numbered: bool) -> tuple[Worked, bool]:
        """A round that is repeated, and whether it began in a ring or on a chain, and now goes on with what is there.

        What goes on without a number, or after the yarn is cut, begins anew.
        """
        worked = self._work(stretch)
        before = self.rounds[-1].instructions if self.rounds else ()
        cut = any(isinstance(item, Act) and item.kind == "fasten_off" for item in before)
        anew = not numbered or cut or self.edge.kind != "stitches" or not self.edge.stitches
        if anew or going_on(self.source.parsed(stretch.start, stretch.end)) is None:
            return worked, False
        return self.shared.work(stretch, self.edge, self.pending, self.in_force, again=True), True

    def _work(self, stretch: Stretch) -> Worked:
        return self.shared.work(stretch, self.edge, self.pending, self.in_force)

    # --- finishing one entry ---

    def _finish(self, entry: Counted) -> None:
        """Check one entry and keep it."""
        draft, worked, first, last = entry.draft, entry.worked, entry.first, entry.last
        if entry.declared is None and draft.label is not None and draft.label.aside_total is not None:
            beside = draft.label.aside_total
            entry = replace(entry, declared=Total(beside, None, str(beside)))
        if worked.too_large:
            checks.too_large(self, draft)
        checks.readable(self, entry)
        goes_on = adds_up(self, entry)
        remarks(self, entry)
        for n in range(first or 1, min(last or 0, (first or 1) + MAX_ENTRIES) + 1):
            self.by_number.setdefault(n, entry.stretch)  # what a later "repeat round 4" means
        self.rounds.append(entry_of(self, entry))
        if first is not None and last is not None and goes_on is not None:
            for n in range(first, min(last, first + MAX_ENTRIES) + 1):
                self.counts[n] = goes_on
        self.edge = self.edge_after(worked, goes_on)
        self.edge_lost = goes_on is None
        self.pending = worked.pending_chain
        self.in_force = worked.in_force
        self.joined = self.joined or worked.joins
        self.turned = self.turned or worked.turns

    def edge_after(self, worked: Worked, count: int | None) -> Edge:
        """What the next round is worked into, if this one made `count`."""
        if worked.gives is not None and not worked.has_work:
            if worked.chain_left and worked.chain_ring:
                return Edge(0, "ring", worked.chain_left)
            if worked.chain_left:
                return Edge(worked.chain_left, "stitches") if worked.joins else Edge(None, "chain", worked.chain_left)
            if any(getattr(item, "kind", "") == "ring" for item in worked.instructions):
                return Edge(0, "ring")
            return self.edge
        known = count == worked.gives
        landmarks, kinds = (landmarks_of(worked), kinds_of(worked)) if known else ((), ())
        return Edge(count, "stitches", 0, worked.chain_spaces, worked.chains, worked.row, landmarks, kinds)


def _numbered(drafts: Iterable[RoundDraft]) -> frozenset[int]:
    """The numbers that have a label of their own."""
    stretches = (stretch for draft in drafts if draft.label is not None for stretch in draft.label.numbers)
    return frozenset(n for first, last in stretches for n in range(first, min(last, first + MAX_ENTRIES) + 1))


def _short_name(name: str) -> str:
    """ "Back Legs" -> "leg": how other rounds call the piece."""
    words = name.lower().split()
    return words[-1].removesuffix("s") if words else ""
