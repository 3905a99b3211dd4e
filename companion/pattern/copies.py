"""How often a piece is made, said beside its rounds: "Make 2.", "Make two of these", "Make another"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final, NamedTuple

from companion.pattern.lexer import Token, fold
from companion.pattern.tokenkinds import CLAUSE_ENDS

NUMBER_WORDS: Final = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10,
    "twelve": 12, "a pair": 2,
}  # fmt: skip
_COPIES: Final = (
    r"make (?:(?P<more>another|one more|a second)(?: one)?|(?P<n>\d{1,3}|" + "|".join(NUMBER_WORDS) + r")"
    r"(?: of (?:these|them|this|each)| pieces| in all| in total)?)(?: the same(?: way)?| alike| like this)?"
)
_WORKED: Final = r"\b(?:ring|loop|circle|sts?|stitch(?:es)?|ch|chain|rounds?|rnds?|rows?|each|next|first|last)\b"
_WHOLE: Final = re.compile(
    r"\W*" + _COPIES + r"(?:,? (?P<aside>(?:in|with|using) (?!.*" + _WORKED + r")[\w ,&/-]{1,40}))?\W*"
)
_AT_THE_END: Final = re.compile(r"(?:^|[.;:!?)\]] ?)" + _COPIES + r"[ .!]*$")


class Copies(NamedTuple):
    """How often a piece is made, and what is said beside: the 2 and the "in grey" of "Make 2 in grey"."""

    number: int
    aside: str


def copies_said(text: str) -> Copies | None:
    """How often a line that says nothing else has its piece made; None for any other line."""
    match = _WHOLE.fullmatch(_even(text))
    return Copies(_number(match), match["aside"] or "") if match is not None else None


def copies_at_the_end(text: str) -> Copies | None:
    """That of "Rnd 5: sc around. Fasten off. Make 2."; None where its last sentence is another."""
    match = _AT_THE_END.search(_even(text))
    return Copies(_number(match), "") if match is not None else None


def without_copies(tokens: Sequence[Token], text: str) -> list[Token]:
    """The tokens with each "make 2" of a whole clause as a note: its number is neither of stitches nor a total."""
    out: list[Token] = []
    i = 0
    while i < len(tokens):
        token = tokens[i]
        if token.value == "make" and (not out or out[-1].type == "SEP"):
            end = next((k for k in range(i, len(tokens)) if tokens[k].type in CLAUSE_ENDS), len(tokens))
            if copies_said(text[token.start : tokens[end - 1].end]) is not None:
                out.append(Token("ACT", "note", token.start, tokens[end - 1].end))
                i = end
                continue
        out.append(token)
        i += 1
    return out


def _even(text: str) -> str:
    return re.sub(r"\s+", " ", fold(text)).strip()


def _number(match: re.Match[str]) -> int:
    if match["more"] is not None:
        return 2
    return NUMBER_WORDS.get(match["n"], 0) or int(match["n"])
