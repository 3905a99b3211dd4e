"""What every handler of answers needs: filling sentences, naming places, reading stretches aloud."""

from __future__ import annotations

import re
from collections.abc import Mapping

from companion.pattern.model import Act, Note, Pattern, Round, Terms, Work
from companion.place.answers import Reading, Run
from companion.place.where import Where
from companion.wording.instructions import Instructions, first_place, flat, then
from companion.wording.motions import stitch_kinds
from companion.wording.numbers import cardinal, counted, metres, ordinal, stitches
from companion.wording.sentences import Verbosity, sentences
from companion.wording.spoken import Speakable, sentence

_ROUND = re.compile(r"(?<!{)\b([Rr])ound(s?)\b")
_ABOUT_ROUNDS = re.compile(r"(?:(?:notices|talk)\.shape|talk\.measured|(?:sums|help|session|dictation)\.)")
"""Sentences whose word "round" means rounds, or a command as it is said."""


class Tools:
    """One pattern spoken in one set of terms, at a verbosity that may change.

    Methods that name something return words without capital or full stop; methods that read something aloud return
    whole sentences.
    """

    def __init__(self, pattern: Pattern, terms: Terms | None = None, verbosity: Verbosity = "full") -> None:
        self.pattern = pattern
        self.terms: Terms = terms or pattern.terms
        self.verbosity = verbosity
        self.in_rows = self._in_rows(None)
        self.speak = Speakable(self.terms, pattern.terms, dict(pattern.abbreviations))
        self.instructions = Instructions(self.terms, self.speak)

    @property
    def full(self) -> bool:
        """True where all is said."""
        return self.verbosity == "full"

    # --- rounds and rows ---

    @property
    def noun(self) -> str:
        """What the sentences being said are about: "round", or "row" in a piece worked in rows."""
        return "row" if self.in_rows else "round"

    def about(self, where: Where | None) -> None:
        """The sentences to come are about that place; None for no place in particular."""
        self.in_rows = self._in_rows(where.piece if where else None)

    def rounds(self, number: int, piece: str | None = None) -> str:
        """So many rounds, or rows, of the piece (the one that is talked about): "eighteen rows"."""
        return counted(number, ("row" if self._in_rows(piece) else "round") if piece else self.noun)

    def _in_rows(self, piece: str | None) -> bool:
        """Whether that piece is worked in rows; without one, whether all are. Assembly steps are as their pattern."""
        named = [one for one in self.pattern.pieces if one.name == piece] or list(self.pattern.pieces)
        kinds = [{entry.kind for entry in one.rounds if entry.kind != "step"} for one in named]
        return bool(kinds) and all(found == {"row"} for found in kinds)

    # --- sentences -----------------------------------------------------------------------------------------------

    def text(self, key: str, **slots: str) -> str:
        """The sentence of that key at the present verbosity. A slot written with a capital gets one: "{Made} made".

        Where rows are talked about, its own word "round" becomes "row", which has an edge and no marker; what the slots
        hold stays as it is.
        """
        capitals = {name.capitalize(): capital(words) for name, words in slots.items()}
        written = sentences()[key].text(self.verbosity)
        if self.in_rows and not _ABOUT_ROUNDS.match(key):
            written = _ROUND.sub(r"\1ow\2", written).replace("from the marker", "from the edge")
        return written.format(**slots, **capitals)

    def command(
        self, name: str, number: int | None = None, written: str = "", numbers: Mapping[str, int] | None = None
    ) -> str:
        """A command as the maker says it: ("have_done", 12) -> "I have done twelve".

        `numbers` are its numbers by slot, where it has more than one.
        """
        entry = sentences().get(f"commands.{name}")
        if entry is None:
            return name.replace("_", " ")
        several = numbers or {}
        said = cardinal(number) if number is not None else ""
        units = {
            "rounds": self.rounds(number or 0),
            "repeats": counted(number or 0, "repeat"),
            "stitches": stitches(number or 0),
            "increases": counted(several["increases"], "increase") if "increases" in several else "",
            "decreases": counted(several["decreases"], "decrease") if "decreases" in several else "",
            "over": stitches(several.get("stitches", 0)),
            "metres": metres(several.get("metres", 0) + several.get("half", 0) / 2),
        }
        filled = entry.text(self.verbosity).format(number=said, name=self.speak(written), **units)
        return " ".join(filled.split())

    # --- places --------------------------------------------------------------------------------------------------

    def round(self, where: Where) -> str:
        """The round's name: "round five", "row two", "the edging"; of the assembly "this step"."""
        if where.kind == "assembly":
            return "this step"
        if where.round is None or where.kind == "step":
            return self.speak(where.label).rstrip(".") or "this step"
        return f"{where.kind} {cardinal(where.round)}"

    def piece(self, name: str, copy: int = 1, copies: int = 1) -> str:
        """The piece's name: "the body", "the second ear"."""
        spoken = self.speak(name).lower().removeprefix("the ")
        return f"the {ordinal(copy)} {spoken}" if copies > 1 else f"the {spoken}"

    def piece_at(self, where: Where) -> str:
        """The name of the piece that place is in."""
        return self.piece(where.piece, where.copy, where.copies)

    def place(self, where: Where) -> str:
        """Round and piece: "round five of the second ear"; without the piece where the pattern has only one."""
        if where.kind == "assembly":
            return f"the assembly, at: {self.speak(where.label).rstrip('.')}"
        alone = len(self.pattern.pieces) == 1 and where.copies == 1
        return self.round(where) if alone else f"{self.round(where)} of {self.piece_at(where)}"

    def entry(self, where: Where) -> Round | None:
        """The round of the pattern at that place; None for the assembly, or a place of another pattern."""
        for piece in self.pattern.pieces:
            if piece.name != where.piece:
                continue
            for entry in piece.rounds:
                if where.round is None:
                    if entry.label == where.label:
                        return entry
                elif entry.first is not None and entry.last is not None and entry.first <= where.round <= entry.last:
                    return entry
        return None

    # --- stretches -----------------------------------------------------------------------------------------------

    def run(self, run: Run, where: Where) -> str:
        """A stretch of equal work still to make, in words: "three single crochet", "one more in the same stitch"."""
        entry = self.entry(where)
        kinds = stitch_kinds(flat(entry.instructions)) if entry else frozenset({"sc"})
        motions = self.instructions.motions
        phrases: list[str] = []
        colour = ""
        for leaf in run.before:
            if isinstance(leaf, Act) and leaf.kind == "colour":
                colour = f" in {self.speak(leaf.text)}"
            elif not (isinstance(leaf, Act) and leaf.kind == "ring"):
                phrases.append(motions.say(leaf, kinds=kinds))
        whole = run.motions
        if run.within:
            whole -= 1
            if isinstance(run.instruction, Work):
                phrases.append(f"{cardinal(run.instruction.in_one - run.within)} more in the same stitch")
            else:
                phrases.append("the rest of the group in the same stitch")
        if whole:
            work = run.instruction
            first = first_place(work, entry) if entry and isinstance(work, Work) else ""
            phrases.append(motions.say(work, whole, kinds=kinds, place=first) + colour)
        return then(phrases)

    def reading(self, reading: Reading, *, plain_total: bool = False) -> str:
        """A round, a repeat or a stretch read aloud. `plain_total`: a printed total that differs is said elsewhere."""
        where, entry = reading.where, reading.entry
        if reading.note is not None:
            return self.text("notices.step", text=self.note(reading.note))
        if reading.grain == "round":
            return self._round(entry, where, plain_total) if entry else ""
        runs = sentence(then([self.run(run, where) for run in reading.runs]))
        if reading.grain == "repeat" and reading.runs and reading.runs[0].repeat is not None:
            number, of = reading.runs[0].repeat, reading.runs[0].repeats or 0
            runs = f"Repeat {cardinal(number)} of {cardinal(of)}: {runs[0].lower()}{runs[1:]}"
        if where.stitch or entry is None:
            return runs
        heading = sentence(self.instructions.name(entry, where.nth))
        return " ".join([heading, self.instructions.total(entry, full=self.full, plain=plain_total), runs])

    def _round(self, entry: Round, where: Where, plain_total: bool) -> str:
        if where.nth > 1 and not self.full:
            heading = self.instructions.name(entry, where.nth)
            return f"{sentence(heading)} {self.instructions.total(entry, full=False, plain=plain_total)}"
        return self.instructions.round(entry, where.nth, full=self.full, plain_total=plain_total)

    def note(self, note: Note) -> str:
        """What the pattern says, as written, without full stop."""
        return self.speak(note.text).rstrip(".")


def capital(text: str) -> str:
    """The text with a capital first letter."""
    return text[:1].upper() + text[1:]


def joined(*parts: str) -> str:
    """Sentences one after the other; empty ones fall away."""
    return " ".join(part.strip() for part in parts if part.strip())
