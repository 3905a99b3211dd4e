"""What is answered: each round's structure and total, where the designer is, and what is asked."""

from __future__ import annotations

from companion.dictation.chains import asked_about
from companion.dictation.draft import Draft, DraftPiece
from companion.dictation.knock_on import knock_on
from companion.dictation.result import Result, Slots
from companion.dictation.script import Worked, last_round, word_of
from companion.pattern.model import Pattern
from companion.wording.dictation import DictationWording
from companion.wording.numbers import listed
from companion.wording.tools import joined

_ANSWERS = ("choose_all", "choose_last", "stitches_instead", "correct", "scratch", "redo")


class Replies:
    """The answers of one dictation. Every total in them was worked out by the reader of patterns."""

    def __init__(self, wording: DictationWording) -> None:
        self.wording = wording

    def to(self, name: str, slots: Slots, before: Draft, result: Result, draft: Draft) -> str:
        """The answer to a command that was taken: what became of it, and what has to be asked now."""
        changed = [
            self.wording.text(say, told) for say, told in (*result.more, *knock_on(before, draft), *result.notes)
        ]
        return joined(self._direct(name, slots, before, result, draft), *changed)

    def _direct(self, name: str, slots: Slots, before: Draft, result: Result, draft: Draft) -> str:
        if draft.question:
            return self.question(draft)
        if before.question and name not in _ANSWERS:
            return joined(self.wording.text("left_out"), self._next(name, slots, before, result, draft))
        return self._next(name, slots, before, result, draft)

    def _next(self, name: str, slots: Slots, before: Draft, result: Result, draft: Draft) -> str:
        # What is asked of a chain comes first: until it is answered the total would rest on a guess.
        return self._chain(before, draft) or self._told(name, slots, before, result, draft)

    def _told(self, name: str, slots: Slots, before: Draft, result: Result, draft: Draft) -> str:
        said = self.wording.text(result.say, result.slots) if result.say else ""
        if name in ("scratch", "redo"):
            return joined(said, self.where(draft))
        if not result.reads:
            return said
        if draft.piece is not None and draft.piece.free:
            return joined(said, self._since(before, draft))
        total = slots.get("total")
        counts = last_round(draft)
        if isinstance(total, int) and counts is not None and counts.gives not in (None, total):
            said = self.wording.text("total_disagrees", {"said": total, "total": counts.gives or 0})
            return joined(self.round(draft), said)
        return joined(said, self.round(draft))

    def question(self, draft: Draft) -> str:
        """Which of two ways a line is meant in."""
        first, second = (last_round(draft, piece) for piece in draft.question)
        return self.wording.two_ways(first.entry, second.entry) if first and second else ""

    def shown(self, result: Result) -> str:
        """The round that a line of stitches would make, with its total; "" where it makes none, or it is not clear."""
        if result.draft is None or not result.reads or result.draft.question:
            return ""
        counts = last_round(result.draft)
        return self.wording.option(counts.entry) if counts is not None else ""

    def _chain(self, before: Draft, draft: Draft) -> str:
        """What the next round needs to know of a chain, asked when it first matters."""
        asked = asked_about(draft)
        if asked is None or asked == asked_about(before):
            return ""
        return self.wording.text(asked.kind, {"chains": asked.chains})

    def round(self, draft: Draft) -> str:
        """The last round that has work in it, with its total; "" where there is none."""
        counts = last_round(draft)
        return self._read(counts) if counts is not None else ""

    def _read(self, counts: Worked) -> str:
        return self.wording.round(counts.entry, counts.takes, counts.below, counts.gives, fits=counts.fits)

    def _since(self, before: Draft, draft: Draft) -> str:
        """While working freely: what was just said, and all that was made since the last round ended."""
        piece, counts = draft.piece, last_round(draft)
        if piece is None or counts is None or counts.gives is None:
            return ""
        work = self.wording.work(counts.entry) if (new := _new(before, piece)) is None else self._work(draft, new)
        return joined(work, self.wording.text("since", {"stitches": counts.gives}))

    def _work(self, draft: Draft, piece: DraftPiece) -> str:
        counts = last_round(draft, piece)
        return self.wording.work(counts.entry) if counts is not None else ""

    def where(self, draft: Draft) -> str:
        """The piece, the round and its total so far."""
        piece = draft.piece
        if piece is None:
            return self.wording.text("nothing_yet")
        counts = last_round(draft)
        slots: Slots = {"name": piece.name, "word": word_of(piece), "round": piece.number}
        if piece.round.has_work and counts is not None:
            if piece.free and counts.gives is not None:
                return self.wording.text("where_freely", {**slots, "stitches": counts.gives})
            return joined(self.wording.text("where", slots), self._read(counts))
        empty = self.wording.text("where_empty", slots)
        if counts is None or counts.gives is None:
            return empty
        return joined(empty, self.wording.text("before", {"stitches": counts.gives}))

    def unfitting(self, pattern: Pattern) -> str:
        """Which rounds do not add up, "" where all do."""
        wrong = {problem.line for problem in pattern.errors}
        names = [
            self.wording.name(entry) for piece in pattern.pieces for entry in piece.rounds if entry.span.line in wrong
        ]
        return self.wording.text("unfitting", {"names": listed(names)}) if names else ""

    def assumed(self, pattern: Pattern) -> str:
        """At which rounds it is not known whether a chain is a stitch, "" where it is known of all."""
        names = [
            self.wording.name(entry)
            for piece in pattern.pieces
            for entry in piece.rounds
            if any(problem.kind == "chain_assumed" and problem.line == entry.span.line for problem in pattern.problems)
        ]
        return self.wording.text("assumed", {"names": listed(names)}) if names else ""


def _new(before: Draft, piece: DraftPiece) -> DraftPiece | None:
    """The piece with only what was added to its present round; None where the round was not just gone on with."""
    was = before.piece
    if was is None or len(was.rounds) != len(piece.rounds) or not was.round.items:
        return None
    old, new = was.round.items, piece.round.items
    if new[: len(old)] != old or new == old:
        return None
    return piece.with_round(type(piece.round)(new[len(old) :]))
