"""What a line without a label is, by its words alone: a definition, the designer's name, a beginning, a step."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Final

from companion.pattern.headings import NUMBERED
from companion.pattern.lexer import fold
from companion.pattern.page import Definition, Line, PieceDraft, bare

_DEFINITION: Final = re.compile(
    r"\s*(?:[-*•]\s+)?[*_]*(?P<short>[A-Za-z0-9*(\[][\w .'/()\[\]*+-]{0,28}?)[*_]*"
    r"\s*(?:=|:|\s[-–—]+\s|\t|–|—)\s*(?P<long>\S.*)"
)
_DESIGNER: Final = re.compile(
    r"\s*(?:a\s+)?(?:(?:crochet\s+)?(?:pattern|design|designed|written|created|original design)\s+(?:is\s+)?)?"
    r"by\s+(?P<name>[^\W\d_].{1,60})$",
    re.IGNORECASE,
)
_STEP: Final = re.compile(
    r"\b(?:around|across|to end|even|evenly)\b"
    r"|^\W*(?:(?:continue|keep)\s+)?rep(?:eat(?:ing)?)?\b.*\b(?:rnd|round|row|rd)s?\b"
    r"|^\W*(?:work|alternate)\s+(?:rnd|round|row|rd)s?\s+\d"
    r"|[(\[]\s*\d+[^)\]]*[)\]]\s*\.?$"
)
_IN_EACH: Final = re.compile(r"\bin (?:each|every)\b")
_OPENING: Final = re.compile(
    r"(?:ch|chain|make|begin|commence|start|to begin|to start|work|with|using|into|in a|magic|mr)\b"
    r"|\d+\s*(?:sc|dc|hdc|ch|[.):])"
)


def definition(text: str, line: Line) -> Definition | None:
    """What "sc = single crochet" defines, None where it defines nothing."""
    match = _DEFINITION.match(text)
    return Definition(match["short"].strip(), match["long"].strip(), line) if match else None


def designer(text: str) -> str | None:
    """The name in "Designed by …", None where there is none."""
    match = _DESIGNER.match(bare(text))
    return match["name"].strip(" .") if match else None


def begins_rounds(line: Line, is_instruction: Callable[[str], bool]) -> bool:
    """Whether a line is a beginning that stands before the first round: a chain, a ring."""
    text = bare(line.text)
    return _OPENING.match(fold(text)) is not None and is_instruction(NUMBERED.sub("", text, count=1))


def is_step(line: Line, piece: PieceDraft, is_instruction: Callable[[str], bool]) -> bool:
    """Whether a line of a piece is worked: a start before the first round, or something all around.

    In a piece whose rounds have no labels "ch 1, sc in each st, turn" is one of them, too.
    """
    text = bare(line.text)
    if not is_instruction(text):
        return False
    if not piece.has_rounds:
        return True
    folded = fold(text)
    if re.search(r"\b(?:fasten off|finish off|sew|weave|tail|stuff)\b", folded):
        return False
    return _STEP.search(folded) is not None or (not piece.has_labels and _IN_EACH.search(folded) is not None)
