"""What is said while a pattern is taken down: each round's structure and total, and what does not fit."""

from __future__ import annotations

from collections.abc import Mapping

from companion.pattern.model import Pattern, Round, Terms
from companion.pattern.reader import read
from companion.place.answers import SettingChanged
from companion.wording.instructions import Instructions
from companion.wording.numbers import cardinal, counted
from companion.wording.sentences import Verbosity, sentences
from companion.wording.speaker import Wording
from companion.wording.spoken import Speakable, sentence
from companion.wording.tools import capital, joined

_NOTHING = read("")
_NOUNS = {"rounds": ("round", "rounds"), "pieces": ("piece", "pieces"), "stitches": ("stitch", "stitches")}


class DictationWording:
    """The sentences of a dictation, in the designer's terms. `verbosity` may be changed at any time."""

    def __init__(self, terms: Terms, verbosity: Verbosity = "full") -> None:
        self.verbosity: Verbosity = verbosity
        self.terms = terms
        self._speak = Speakable(terms)
        self._instructions = Instructions(terms, self._speak)

    def text(self, name: str, slots: Mapping[str, int | str] | None = None) -> str:
        """The sentence of that name; numbers in words, the slots `rounds`, `pieces` and `stitches` with their noun."""
        filled = {}
        for slot, value in (slots or {}).items():
            if isinstance(value, str):
                filled[slot] = self._speak(value)
            elif slot in _NOUNS:
                filled[slot] = counted(value, *_NOUNS[slot])
            else:
                filled[slot] = cardinal(value)
        filled |= {slot.capitalize(): capital(words) for slot, words in filled.items()}
        return sentences()[f"dictation.{name}"].text(self.verbosity).format(**filled)

    def news(self, name: str, place: str) -> str:
        """What happened to the sound, an entry of session.yaml; `place` is the sentence that says where we are."""
        return sentences()[f"session.{name}"].text(self.verbosity).format(Place=place.rstrip("."))

    def setting(self, answer: SettingChanged) -> str:
        """How it is spoken from now on, in the words of every talk."""
        return self.of_every_talk.say(answer)

    @property
    def of_every_talk(self) -> Wording:
        """The sentences that have nothing to do with what is talked about."""
        return Wording(_NOTHING, self.terms, self.verbosity)

    def two_ways(self, first: Round, second: Round) -> str:
        """The question which of two ways a line is meant in, each read with its total."""
        options = {"first": self.option(first), "second": self.option(second)}
        return sentences()["dictation.two_ways"].text(self.verbosity).format(**options)

    def round(self, entry: Round, takes: int | None, below: int | None, gives: int | None, *, fits: bool) -> str:
        """The round's structure and its worked-out total.

        `takes` of the `below` stitches that are there, `gives` so many; None where that is not known. Where it does not
        fit, that is said with both numbers.
        """
        if fits or takes is None or below is None or gives is None:
            return self._instructions.round(entry, full=self.verbosity == "full")
        work = joined(sentence(self._instructions.name(entry)), self.work(entry))
        if takes > below:
            return joined(work, self.text("takes_too_many", {"takes": takes, "below": below, "gives": gives}))
        left = below - takes
        return joined(work, self.text("so_far", {"gives": gives, "takes": takes, "below": below, "left": left}))

    def work(self, entry: Round) -> str:
        """What is worked in the round, without its name and its total."""
        return self._instructions.work(entry)

    def option(self, entry: Round) -> str:
        """What is worked in the round, and its total."""
        return joined(self.work(entry), self._instructions.total(entry))

    def name(self, entry: Round) -> str:
        """What the round is called: "round five"."""
        return self._instructions.name(entry)

    def whole(self, pattern: Pattern) -> str:
        """The whole pattern read aloud, piece by piece."""
        parts = []
        for piece in pattern.pieces:
            parts.append(
                self.text("piece_made" if piece.make > 1 else "piece", {"name": piece.name.lower(), "make": piece.make})
            )
            parts += [sentence(self._speak(note.text)) for note in piece.notes]
            for entry in piece.rounds:
                parts.append(self._instructions.round(entry, full=self.verbosity == "full"))
                parts += [sentence(self._speak(note.text)) for note in entry.notes]
        return joined(*parts)
