"""Abbreviations a writer defines: they take effect on the words the pattern is read by."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from companion.pattern.lexer import CAPITALS, Vocabulary, extend, fold, lex
from companion.pattern.model import Work
from companion.pattern.page import Definition
from companion.pattern.parse import parse
from companion.pattern.rules import Rules
from companion.pattern.stitches import table
from companion.pattern.syntax import ChainNode, InOneNode, Node, WorkNode

_MOST: Final = 200
_COLOUR: Final = re.compile(
    r"\b(?:colou?r|yarn|main|contrast|white|black|red|blue|green|yellow|orange|pink|purple|brown|gr[ae]y|cream|beige)\b"
)
_DEFINABLE: Final = re.compile(r"[a-z][a-z0-9 '/-]{0,24}")


def defined(definitions: Sequence[Definition], vocabulary: Vocabulary, rules: Rules) -> Vocabulary:
    """The vocabulary with the writer's own words; what they stand for goes into `rules.own`."""
    own: dict[str, tuple[str, str]] = {}
    for definition in definitions[:_MOST]:
        short = fold(re.sub(r"\([^)]*\)|\[[^\]]*\]", "", definition.short)).strip(" .*")
        if not _DEFINABLE.fullmatch(short) or re.search(r"\d", short):
            continue
        tokens = lex(short, vocabulary.phrases)
        known = tokens[0].type if len(tokens) == 1 else None
        if known in (None, "WORD", "RING", "COLOUR_NAME", "COLOUR", "FILLER", "NOTE") and _is_colour(
            short, definition.long
        ):
            own[short] = ("COLOUR_NAME", short)
            continue
        as_letter = short in CAPITALS and definition.short.strip(" .*").isupper()
        if known not in (None, "WORD", "SPREAD", "INC", "DEC", "FILLER") and not as_letter:
            continue
        work = _meaning(definition.long, vocabulary, rules)
        if work is None or (known in ("INC", "DEC") and (work.in_one, work.together) in ((2, 1), (1, 2))):
            continue
        rules.own[short] = work
        own[short] = ("STITCH", short)
    if not own:
        return vocabulary
    return Vocabulary(extend(vocabulary.phrases, own), vocabulary.sizes, vocabulary.size)


def _is_colour(short: str, long: str) -> bool:
    return len(short) <= 3 and _COLOUR.search(fold(long)) is not None and "crochet" not in fold(long)


def _meaning(long: str, vocabulary: Vocabulary, rules: Rules) -> Work | None:
    """What a definition stands for as one motion, where it is one: "5 dc in the same stitch"; None where it is not."""
    if len(long) > 200:
        return None
    nodes = [node for node in parse(long.strip(" ."), vocabulary) if not isinstance(node, ChainNode)]
    if len(nodes) != 1:
        return None
    node = nodes[0]
    if isinstance(node, InOneNode):
        made = _made(node.body)
        has_chain = any(isinstance(child, ChainNode) for child in node.body)
        if made is None or made < 2:
            return None
        return Work("v-st" if has_chain and made == 2 else "shell", 1, in_one=made)
    if not isinstance(node, WorkNode) or not isinstance(node.n, int):
        return None
    entry = rules.look_up(node.word) if node.word else table()["sc"]
    if entry is None:
        return None
    if entry.kind == "spread":
        return Work(entry.key, 1, in_one=node.parts[1] if node.parts else entry.gives)
    if node.n == 1:
        return Work(entry.key, 1, node.in_one, node.together, invisible=node.invisible)
    if re.search(r"\bsame\b|\bone\b|\bin next st", fold(long)):
        return Work(entry.key, 1, in_one=node.n)
    return None


def _made(body: Sequence[Node]) -> int | None:
    """How many stitches a group makes, where it is nothing but plain stitches and chains."""
    made = 0
    for node in body:
        if isinstance(node, WorkNode) and isinstance(node.n, int):
            made += node.n * node.in_one
        elif not isinstance(node, ChainNode):
            return None
    return made
