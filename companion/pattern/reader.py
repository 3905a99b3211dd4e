"""Reads a written pattern: text in, `Pattern` out. `read` never raises, whatever the text."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final

from companion.pattern.checks import short
from companion.pattern.counting import PieceCounter
from companion.pattern.definitions import defined
from companion.pattern.files import MAX_TEXT, PatternFileError, text_of
from companion.pattern.layout import Layout
from companion.pattern.lexer import Token, Vocabulary, fold, usual
from companion.pattern.model import Note, Part, Pattern, Piece, Problem, Terms
from companion.pattern.notes import note_of, sentences
from companion.pattern.numberless import repeats_so_far
from companion.pattern.page import Document, Line, NoteDraft, RoundDraft, Text
from companion.pattern.problems import problem
from companion.pattern.rules import Edge, Rules, is_height
from companion.pattern.shared import Counting
from companion.pattern.sizes import sizes_in
from companion.pattern.source import Source
from companion.pattern.statements import chain_rules, shape_said
from companion.pattern.syntax import (
    ActNode,
    ChainNode,
    CountsNode,
    InOneNode,
    Node,
    RepeatNode,
    UnreadNode,
    WorkNode,
)
from companion.pattern.terms import decide, shown_terms, stated_terms
from companion.pattern.tokenkinds import STITCHY

__all__ = ["PatternFileError", "clean", "read", "read_file"]

MAX_LINE_READ: Final = 2000
"""A line without a label that is longer than this is prose."""

_CHART: Final = re.compile(
    r"(?:colou?r |stitch |crochet )?(?:chart|graph|grid|diagram)\b(?! of contents)", re.IGNORECASE
)

_EVERY_ROUND: Final = re.compile(r"\b(?:each|every) (?:round|rnd|row)s?\b")

_COMMON_RINGS: Final = frozenset({"ring", "circle", "center", "centre"})
"""Words for a ring to work into that are also words for a piece."""

_INVISIBLE: Final = dict.fromkeys(
    [0, 0xAD, 0x200B, 0x200C, 0x200D, 0x200E, 0x200F, 0xFEFF, 0x2060, *range(0x202A, 0x202F), *range(0x2066, 0x206A)]
)
_LINE_ENDS: Final = str.maketrans(dict.fromkeys("\r\v\f\x1c\x1d\x1e\x85\u2028\u2029", "\n"))


def read_file(path: str | Path, *, terms: Terms | None = None, size: int | None = None) -> Pattern:
    """The pattern in a file: text, Markdown, PDF, HTML, docx or odt. Raises PatternFileError if it cannot be read."""
    return read(text_of(Path(path)), terms=terms, size=size)


def read(text: str, *, terms: Terms | None = None, size: int | None = None) -> Pattern:
    """The pattern in a text. `terms` says how to read it where the maker knows, `size` which of several sizes, from 1.

    Never raises: what cannot be read is kept as written and reported in `problems`.
    """
    text = clean(text)
    if len(text) > MAX_TEXT:
        message = f"This text has {len(text)} characters, too many for a pattern."
        found = problem("too_large", 1, 1, message, "Check that it is the right file.")
        return Pattern("", terms or "US", (), (found,), text)
    return _Reader(text, terms, size).read()


def clean(text: str) -> str:
    """The text that lines and columns of problems point into: plain line ends, no characters that cannot be seen."""
    text = text.replace("\r\n", "\n").translate(_LINE_ENDS).replace("\u00ad\n", "")
    return text.translate(_INVISIBLE)


class _Reader:
    """Reads one text, step by step: the page, the terms, the writer's own words, then piece by piece."""

    def __init__(self, text: str, asked: Terms | None, size: int | None) -> None:
        self.text = text
        self.asked = asked
        self.problems: list[Problem] = []
        self.source = Source(text, self._vocabulary(size))
        self.instructions: dict[str, bool] = {}

    def read(self) -> Pattern:
        """The pattern."""
        document = Layout(self.text, self._is_instruction).run()
        stated = stated_terms(self.text)
        rounds = [e for piece in document.pieces for e in piece.entries if isinstance(e, RoundDraft)]
        terms = decide(self.source, self.asked, stated, shown_terms(self.source, rounds), self.problems)
        rules = Rules(terms=terms)
        vocabulary = defined(document.definitions, self.source.vocabulary, rules)
        if vocabulary is not self.source.vocabulary:
            self.source = Source(self.text, vocabulary)
        chain_rules(self.text, vocabulary, rules)
        pieces = self._shaped(self._pieces(document, rules))
        if not pieces:
            hint = "Begin each round on its own line, as in: Rnd 1: 6 sc in a magic ring [6]."
            self.problems.append(problem("nothing_to_work", 1, 1, "No round or row was found in this text.", hint))
        self._pictures(document)
        self._perhaps_rounds(document)
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
            hook="; ".join(document.of("hook")),
            yarn="; ".join(document.of("yarn")),
            gauge="; ".join(document.of("gauge")),
            abbreviations=tuple((d.short, d.long) for d in document.definitions),
            notes=tuple(self._note(text) for text in document.texts if text.kind == "notes"),
            assembly=self._assembly(document),
            cautions=tuple(document.of("caution")),
            parts=self._parts(document),
        )

    # --- the page ---

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

    def _is_instruction(self, text: str) -> bool:
        """Whether a line without a label reads as stitches from end to end."""
        if len(text) > MAX_LINE_READ:
            return False
        known = self.instructions.get(text)
        if known is None:
            known = self.instructions[text] = self._reads_as_stitches(text)
        return known

    def _reads_as_stitches(self, text: str) -> bool:
        vocabulary = self.source.vocabulary
        line = Source(text, vocabulary)
        tokens = line.tokens(0, len(text))
        refers = any(token.type in ("REPEAT", "ROUND") for token in tokens[:2])
        makes = any(token.type in STITCHY or token.type == "RING" for token in tokens)
        counts = any(token.type == "ROUND" for token in tokens)
        if not (makes or (refers and counts)) or _names_a_thing(tokens):
            return False
        nodes = line.parsed(0, len(text))
        return (
            (_has_work(nodes) or repeats_so_far(nodes)) and not _has_unread(nodes) and not _states_a_rule(nodes, text)
        )

    def _note(self, text: Text) -> Note:
        return note_of(text.words, self.source.span(text.line.start, text.line.end))

    def _parts(self, document: Document) -> tuple[Part, ...]:
        """Every line of the page that is neither a round nor a note among rounds."""
        lines = [(text.line, text.kind) for text in document.texts]
        lines += [(piece.line, "piece") for piece in document.pieces if piece.headed]
        parts = [Part(kind, self.source.span(line.start, line.end)) for line, kind in lines]
        return tuple(sorted(parts, key=lambda part: part.span.line))

    def _assembly(self, document: Document) -> tuple[Note, ...]:
        """The steps of assembly: a sentence each."""
        return tuple(
            note_of(text.words[a:b], self.source.span(text.line.start, text.line.end))
            for text in document.texts
            if text.kind == "assembly"
            for a, b in sentences(text.words)
        )

    def _pictures(self, document: Document) -> None:
        """Say where something is only in a chart or a grid, which cannot be read aloud."""
        lines = [text.line for text in document.texts if text.kind in ("notes", "assembly")]
        lines += [
            Line(e.line, e.start, self.text[e.start : e.end])
            for p in document.pieces
            for e in p.entries
            if isinstance(e, NoteDraft)
        ]
        for line in lines:
            found = _CHART.search(line.text)
            if found is not None:
                column = found.start() + 1
                message = f"“{found[0]}”: something here is only in a picture, which cannot be read aloud."
                hint = "Have someone describe it, or write it out in words."
                self.problems.append(problem("picture_only", line.number, column, message, hint))

    def _perhaps_rounds(self, document: Document) -> None:
        """Say which lines look like rounds and became notes, so that no piece is lost unnoticed."""
        for line in document.perhaps_rounds:
            message = f"“{short(line.text.strip())}” looks like a round, but no label was found. It is kept as a note."
            hint = "If it is a round, begin it with its label, such as Rnd 3."
            self.problems.append(problem("stitches_in_note", line.number, 1, message, hint))

    # --- the pieces ---

    def _pieces(self, document: Document, rules: Rules) -> list[Piece]:
        """All pieces counted. Where errors come of what was assumed of starting chains, the other way is tried."""
        said = dict(rules.chain_counts)
        pieces, problems, assumed = self._count(document, rules, said)
        for key in sorted(assumed):
            errors = sum(p.severity == "error" for p in problems)
            if not errors:
                break
            rules.practice[key] = not assumed[key]
            again = self._count(document, rules, said)
            # a chain before single crochet hardly ever counts: one wrong total is the likelier slip
            enough = 1 if is_height(key, 2) else 2
            if errors - sum(p.severity == "error" for p in again[1]) >= enough:
                pieces, problems = again[0], again[1]
            else:
                del rules.practice[key]
        self.problems.extend(problems)
        return pieces

    def _count(
        self, document: Document, rules: Rules, said: dict[str, bool]
    ) -> tuple[list[Piece], list[Problem], dict[str, bool]]:
        """The pieces, their problems, and what was assumed of starting chains by stitch."""
        rules.chain_counts = dict(said)
        rules.edges.clear()
        rules.rows.clear()
        rules.rounds.clear()
        shared = Counting(self.source, rules)
        pieces: list[Piece] = []
        edge: Edge | None = None
        last: int | None = None
        for draft in document.pieces:
            first = next((e for e in draft.entries if isinstance(e, RoundDraft)), None)
            number = first.label.numbers[0][0] if first and first.label and first.label.numbers else None
            goes_on = number is not None and last is not None and number == last + 1 and number > 1
            on_it = goes_on or draft.goes_on
            counter = PieceCounter(shared, edge if on_it else None, last if goes_on else None)
            pieces.append(counter.count(draft))
            edge, last = counter.edge, counter.last_number
        return pieces, shared.problems, shared.assumed

    def _shaped(self, pieces: list[Piece]) -> list[Piece]:
        """The pieces with the shape the pattern states, where their own rounds do not show it."""
        said = shape_said(self.text)
        return [
            replace(piece, shape=said)
            if said and piece.shape is None and not any(r.kind == "row" for r in piece.rounds)
            else piece
            for piece in pieces
        ]


def _names_a_thing(tokens: Sequence[Token]) -> bool:
    """Whether a line is one common word, "Circle", "Shell", "BOBBLE": pieces are called so; "magic ring" is not."""
    named = [token for token in tokens if token.type not in ("FILLER", "COLON", "SEP")]
    return len(named) == 1 and (named[0].type != "RING" or named[0].value in _COMMON_RINGS)


def _has_work(nodes: tuple[Node, ...]) -> bool:
    return any(
        isinstance(node, WorkNode | InOneNode | RepeatNode | ChainNode)
        or (isinstance(node, ActNode) and node.kind == "ring")
        for node in nodes
    )


def _states_a_rule(nodes: tuple[Node, ...], text: str) -> bool:
    """Whether a line only says what a chain counts as, or how every round is joined: "Ch 3 counts as dc throughout"."""
    said = [node for node in nodes if not (isinstance(node, ActNode) and node.kind in ("note", "join"))]
    rule = any(isinstance(node, CountsNode) for node in said) or _EVERY_ROUND.search(fold(text)) is not None
    return rule and all(isinstance(node, ChainNode | CountsNode) for node in said)


def _has_unread(nodes: tuple[Node, ...]) -> bool:
    return any(
        isinstance(node, UnreadNode) or (isinstance(node, RepeatNode | InOneNode) and _has_unread(node.body))
        for node in nodes
    )
