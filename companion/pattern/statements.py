"""What a pattern says of all its rounds at once: whether starting chains count, whether it is worked in a spiral."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise
from typing import Final, Literal

from companion.pattern.lexer import Token, Vocabulary, fold, lex
from companion.pattern.notes import sentences
from companion.pattern.rules import Rules

_ABOUT_CHAINS: Final = re.compile(r"\bch\b|\bchains?\b|\bchs\b|\bch-?\d|\btch\b")
_ONE_ROUND: Final = re.compile(r"^\W*(?:rnd|round|row|r|rd)s?\.?\s*\d")
_SPIRAL: Final = re.compile(
    r"\bspirals?\b|\bcontinuous rounds?\b|\bworked continuously\b|\bdo not join\b|\bdon't join\b|\bwithout joining\b"
)
_JOINED: Final = re.compile(
    r"\bjoined rounds\b|\bjoin (?:every|each) round\b"
    r"|\b(?:every|each) round (?:is joined|ends with a (?:sl st|ss|slip))"
)


def chain_rules(text: str, vocabulary: Vocabulary, rules: Rules) -> None:
    """Put what the pattern says of starting chains into `rules`; what a numbered round says is of that round alone."""
    for line in text.split("\n"):
        if len(line) > 1000 or _ONE_ROUND.match(fold(line)):
            continue
        if "count" not in (folded := fold(line)) or not _ABOUT_CHAINS.search(folded):
            continue
        for start, end in sentences(line):
            _chain_rule(fold(line[start:end]), vocabulary, rules)


def _chain_rule(sentence: str, vocabulary: Vocabulary, rules: Rules) -> None:
    if not _ABOUT_CHAINS.search(sentence) or not re.search(r"\bcount|\bconsidered\b|\btreated\b", sentence):
        return
    for part in re.split(r"[;]|\bbut\b|\bwhile\b", sentence):
        if "count" not in part and "considered" not in part and "treated" not in part:
            continue
        counts = not re.search(r"\bnot\b|n't\b|\bnever\b|\bno\b", part)
        tokens = _without_spaces(lex(part, vocabulary.phrases))
        if tokens is None:
            continue
        lengths = {
            int(b.value if a.type == "CH" else a.value)
            for a, b in pairwise(tokens)
            if (a.type, b.type) in (("CH", "NUM"), ("NUM", "CH"))
        }
        keys = {entry.key for t in tokens if t.type == "STITCH" and (entry := rules.look_up(str(t.value))) is not None}
        for length in lengths:
            rules.chain_counts.setdefault(f"ch{length}", counts)
        if not lengths:
            for key in keys:
                rules.chain_counts.setdefault(key, counts)
        if not lengths and not keys:
            rules.chain_counts.setdefault("*", counts)


def _without_spaces(tokens: Sequence[Token]) -> list[Token] | None:
    """The tokens but "and ch-1 sp", which is no length of a starting chain; None where only a space is spoken of.

    "Ch 2 counts as a ch-1 sp" does not say whether the chain is a stitch, beside the space that it is.
    """
    kept: list[Token] = []
    for token in tokens:
        if token.type == "SPACE":
            while kept and kept[-1].type in ("CH", "NUM"):
                kept.pop()
        kept.append(token)
    only = any(t.type == "SPACE" for t in kept) and not any(t.type in ("STITCH", "ST") for t in kept)
    return None if only else kept


def shape_said(text: str) -> Literal["spiral", "joined"] | None:
    """How the pattern says its rounds follow each other, None where it does not say."""
    folded = fold(text)
    if _SPIRAL.search(folded):
        return "spiral"
    return "joined" if _JOINED.search(folded) else None
