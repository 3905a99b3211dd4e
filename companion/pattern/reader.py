"""Reads a written pattern: text in, `Pattern` out. `read` never raises, whatever the text."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace
from pathlib import Path
from typing import Final, Literal

from companion.errors import MakerError
from companion.pattern.counting import Counting, PieceCounter
from companion.pattern.layout import Layout
from companion.pattern.lexer import Vocabulary, fold, lex, usual
from companion.pattern.model import Note, Pattern, Piece, Problem, Terms
from companion.pattern.notes import note_of, sentences
from companion.pattern.page import Document, Line, RoundDraft
from companion.pattern.parse import parse
from companion.pattern.problems import problem
from companion.pattern.rules import Edge, Rules
from companion.pattern.sizes import sizes_in
from companion.pattern.source import Source
from companion.pattern.stitches import by_spelling, telling
from companion.pattern.syntax import ChainNode, InOneNode, Node, RepeatNode, UnreadNode, WorkNode

_INVISIBLE: Final = dict.fromkeys(
    [0, 0xAD, 0x200B, 0x200C, 0x200D, 0x200E, 0x200F, 0xFEFF, 0x2060, *range(0x202A, 0x202F), *range(0x2066, 0x206A)]
)


class PatternFileError(MakerError):
    """A pattern file that cannot be read. Its message is one clear sentence for the maker."""


def read_file(path: str | Path, *, terms: Terms | None = None, size: int | None = None) -> Pattern:
    """The pattern in a file. Raises PatternFileError where the file is missing, empty or unreadable."""
    path = Path(path)
    try:
        text = path.read_text(encoding="utf-8-sig", errors="replace")
    except FileNotFoundError:
        raise PatternFileError(f"There is no file {path}. Check the name.") from None
    except IsADirectoryError:
        raise PatternFileError(f"{path} is a folder. Name the pattern file in it.") from None
    except OSError as error:
        raise PatternFileError(f"{path} cannot be read: {error.strerror}. Check that you may open it.") from None
    if not text.strip():
        raise PatternFileError(f"{path} is empty. Check that it is the right file.")
    return read(text, terms=terms, size=size)


def clean(text: str) -> str:
    """The text as problems point into it: plain line ends, without characters that cannot be seen."""
    text = (
        text.replace("\r\n", "\n")
        .replace("\r", "\n")
        .replace("\u2028", "\n")
        .replace("\u2029", "\n")
        .replace("\f", "\n")
        .replace("\v", "\n")
    )
    return text.translate(_INVISIBLE)


def read(text: str, *, terms: Terms | None = None, size: int | None = None) -> Pattern:
    """The pattern in a text. `terms` says how to read it where the maker knows; never raises."""
    source_text = clean(text)
    return _Reader(source_text, terms, size).read()


class _Reader:
    def __init__(self, text: str, terms: Terms | None, size: int | None) -> None:
        self.text = text
        self.asked = terms
        self.problems: list[Problem] = []
        self.said_of_chains: dict[str, bool] = {}
        self.vocabulary = self._vocabulary(size)
        self.source = Source(text, self.vocabulary)

    def _vocabulary(self, size: int | None) -> Vocabulary:
        """The usual words, and the choice among the sizes the pattern is written for."""
        sizes, offset = sizes_in(self.text)
        if sizes < 2:
            return usual()
        if size is None:
            line, column = Source(self.text, usual()).at(offset)
            message = f"This pattern is written for {sizes} sizes; the first is taken."
            self.problems.append(problem("size_assumed", line, column, message, "Choose one of them by its number."))
        return Vocabulary(usual().phrases, sizes, max(1, min(size or 1, sizes)))

    def read(self) -> Pattern:
        document = Layout(self.text, self._is_instruction).run()
        stated = self._stated_terms(document)
        terms = self.asked or stated or self._shown_terms(document)
        rules = Rules(terms=terms)
        self._chain_rules(document, rules)
        self.said_of_chains = dict(rules.chain_counts)
        pieces = self._pieces(document, rules)
        shape = self._shape()
        if shape:
            pieces = [
                replace(p, shape=p.shape or shape) if not any(r.kind == "row" for r in p.rounds) else p for p in pieces
            ]
        if not pieces:
            self.problems.append(
                problem(
                    "nothing_to_work",
                    1,
                    1,
                    "No round or row was found in this text.",
                    "Begin each round on its own line, as in: Rnd 1: 6 sc in a magic ring [6].",
                )
            )
        self.problems.sort(key=lambda p: (p.line, p.column))
        return Pattern(
            title=document.title,
            terms=terms,
            pieces=tuple(pieces),
            problems=tuple(self.problems),
            source=self.text,
            terms_stated=stated is not None,
            designer=next(iter(document.of("designer")), ""),
            rights=" ".join(document.of("rights")),
            materials=tuple(document.of("materials")),
            hook=next(iter(document.of("hook")), ""),
            yarn="; ".join(document.of("yarn")),
            gauge="; ".join(document.of("gauge")),
            abbreviations=tuple((d.short, d.long) for d in document.definitions),
            notes=tuple(self._note(t.words, t.line) for t in document.texts if t.kind == "notes"),
            assembly=self._assembly(document),
            cautions=tuple(document.of("caution")),
        )

    # --- helpers ---

    def _is_instruction(self, text: str) -> bool:
        """Whether a line without a label reads as stitches from end to end."""
        if len(text) > 2000:
            return False
        fold(text)
        if not any(
            t.type in ("STITCH", "CH", "INC", "DEC", "SLST", "TOG", "RING", "GATHER", "SPREAD")
            for t in lex(text, self.vocabulary.phrases)
        ):
            return False
        nodes = parse(text, self.vocabulary).nodes
        return _has_work(nodes) and not _has_unread(nodes)

    def _note(self, words: str, line: Line) -> Note:
        return note_of(words, self.source.span(line.start, line.end))

    def _assembly(self, document: Document) -> tuple[Note, ...]:
        return tuple(
            self._note(text.words[a:b], text.line)
            for text in document.texts
            if text.kind == "assembly"
            for a, b in sentences(text.words)
        )

    def _pieces(self, document: Document, rules: Rules) -> list[Piece]:
        """All pieces counted; where errors come of what was assumed of starting chains, the other assumption is tried."""
        pieces, problems, assumed = self._count(document, rules)
        for key in sorted(assumed):
            errors = sum(p.severity == "error" for p in problems)
            if not errors:
                break
            rules.practice[key] = not assumed[key]
            again = self._count(document, rules)
            if sum(p.severity == "error" for p in again[1]) < errors:
                pieces, problems = again[0], again[1]
            else:
                del rules.practice[key]
        self.problems.extend(problems)
        return pieces

    def _count(self, document: Document, rules: Rules) -> tuple[list[Piece], list[Problem], dict[str, bool]]:
        """The pieces, their problems, and what was assumed of starting chains by stitch."""
        rules.chain_counts = dict(self.said_of_chains)
        rules.edges.clear()
        rules.rounds.clear()
        shared = Counting(self.source, rules)
        pieces: list[Piece] = []
        edge: Edge | None = None
        last: int | None = None
        for draft in document.pieces:
            first = next((e for e in draft.entries if isinstance(e, RoundDraft)), None)
            number = first.label.numbers[0][0] if first and first.label and first.label.numbers else None
            goes_on = number is not None and last is not None and number == last + 1 and number > 1
            counter = PieceCounter(shared, edge if goes_on else None, last if goes_on else None)
            pieces.append(counter.count(draft))
            edge, last = counter.edge, counter.last_number
        return pieces, shared.problems, shared.assumed

    # --- terms ---

    def _stated_terms(self, document: Document) -> Terms | None:
        for line in self.text.split("\n"):
            folded = fold(line)
            if len(folded) > 400:
                continue
            match = re.search(
                r"\b(?P<w>us|u\.s\.|american|usa|uk|u\.k\.|british|english)\b[\w\s./-]{0,24}?\b(?:terms?|terminology|notation|abbreviations?|crochet terms?|stitch names?)\b"
                r"|\bterm(?:s|inology)\s*(?:used)?\s*[:=-]?\s*(?:is|are|in)?\s*(?P<v>us|uk|american|british|u\.s\.|u\.k\.)(?!\w)",
                folded,
            )
            if match:
                word = match["w"] or match["v"]
                both = re.search(
                    r"\b(?:us|american)\b.*\b(?:uk|british)\b|\b(?:uk|british)\b.*\b(?:us|american)\b", folded
                )
                if both and re.search(r"\bnot\b|\(", folded) is None:
                    continue
                return "US" if word in ("us", "u.s.", "american", "usa") else "UK"
        return None

    def _shown_terms(self, document: Document) -> Terms:
        us, uk = telling("US"), telling("UK")
        seen: dict[Terms, tuple[int, str]] = {}
        for piece in document.pieces:
            for entry in piece.entries:
                if isinstance(entry, RoundDraft):
                    self._look(entry, us, uk, seen)
        if document.of("gauge") and re.search(r"(?im)^\W*tension\b", self.text) and "UK" not in seen:
            match = re.search(r"(?im)^\W*tension\b", self.text)
            assert match is not None
            seen["UK"] = (match.start(), "tension")
        if "US" in seen and "UK" in seen:
            later: Terms = "UK" if seen["UK"][0] > seen["US"][0] else "US"
            line, column = self.source.at(seen[later][0])
            self.problems.append(
                problem(
                    "terms_mixed",
                    line,
                    column,
                    f"“{seen['US'][1]}” is a US term and “{seen['UK'][1]}” a UK term; a pattern can only be in one of them.",
                    "Say which terms it is written in with --terms US or --terms UK, and correct the others.",
                )
            )
            return "US" if later == "UK" else "UK"
        if "US" in seen:
            return "US"
        if "UK" in seen:
            return "UK"
        self.problems.append(
            problem(
                "terms_assumed",
                1,
                1,
                "Nothing in this pattern says whether its terms are US or UK; US is assumed.",
                "Add a line “Terms: US” or “Terms: UK”, or say --terms UK.",
            )
        )
        return "US"

    def _look(
        self, entry: RoundDraft, us: frozenset[str], uk: frozenset[str], seen: dict[Terms, tuple[int, str]]
    ) -> None:
        for token in lex(self.text[entry.body : entry.end], self.vocabulary.phrases):
            word = str(token.value)
            if token.type == "TOG":
                word = re.split(r"\d", word)[0]
            if token.type in ("STITCH", "TOG") and word in us:
                seen.setdefault("US", (entry.body + token.start, word))
            elif (token.type in ("STITCH", "TOG") and word in uk) or (token.type == "SKIP" and word.startswith("miss")):
                seen.setdefault("UK", (entry.body + token.start, word))

    # --- what the pattern says about chains and shape ---

    def _chain_rules(self, document: Document, rules: Rules) -> None:
        for line in self.text.split("\n"):
            folded = fold(line)
            if "count" not in folded or len(folded) > 1000:
                continue
            for a, b in sentences(line):
                self._chain_rule(fold(line[a:b]), rules)

    def _chain_rule(self, sentence: str, rules: Rules) -> None:
        if not re.search(r"\bch\b|\bchain|\bchs\b|ch-?\d|turning", sentence) or not re.search(r"\bcount", sentence):
            return
        counts = not re.search(r"\bnot\b|n't\b|\bnever\b", sentence)
        tokens = lex(sentence, self.vocabulary.phrases)
        named = by_spelling(rules.terms)
        keys = [named[str(t.value)].key for t in tokens if t.type == "STITCH" and str(t.value) in named]
        lengths = [
            int(other.value) for token, other in itertools.pairwise(tokens) if (token.type, other.type) == ("CH", "NUM")
        ] + [
            int(token.value) for token, other in itertools.pairwise(tokens) if (token.type, other.type) == ("NUM", "CH")
        ]
        if re.search(r"\b(?:rnd|round|row|r)s?\.?\s*\d", sentence) and not re.search(
            r"throughout|every|always|all rounds|each round", sentence
        ):
            return
        for length in lengths:
            rules.chain_counts[f"ch{length}"] = counts
        if not lengths:
            for key in keys:
                rules.chain_counts[key] = counts
        if not lengths and not keys:
            rules.chain_counts["*"] = counts

    def _shape(self) -> Literal["spiral"] | None:
        folded = fold(self.text)
        if re.search(r"\bspiral|continuous rounds?\b|\bcontinuously\b|do not join|don't join|without joining", folded):
            return "spiral"
        return None


def _has_work(nodes: tuple[Node, ...]) -> bool:
    from companion.pattern.syntax import ActNode

    return any(
        isinstance(n, WorkNode | InOneNode | RepeatNode | ChainNode) or (isinstance(n, ActNode) and n.kind == "ring")
        for n in nodes
    )


def _has_unread(nodes: tuple[Node, ...]) -> bool:
    return any(
        isinstance(n, UnreadNode) or (isinstance(n, RepeatNode | InOneNode) and _has_unread(n.body)) for n in nodes
    )
