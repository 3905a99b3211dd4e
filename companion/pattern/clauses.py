"""Clauses of a round while its tokens are put in order: where one ends and the next begins, and words that move."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from companion.pattern.lexer import Token
from companion.pattern.tokenkinds import CLAUSE_ENDS, STITCHY, UNIT

MAX_DEPTH: Final = 12
"""Brackets nested deeper than any pattern needs; what is deeper is not read as brackets."""

MAX_CLAUSE: Final = 200
"""Tokens of a clause beyond which nobody looks ahead."""

_NEAR: Final = 40
"""Tokens back within which the bracket must open that a number alone stands in."""

PLACES: Final = frozenset({
    "IN", "EACH", "NEXT", "FIRST", "LAST", "SAME", "ORD", "OVER", "RING", "SPACE", "FROM_HOOK", "SKIPPED",
})  # fmt: skip
_MADE: Final = frozenset({"STITCH", "INC", "DEC", "TOG", "SLST"})
_APART: Final = frozenset({"STITCH", "SLST", "CH", "SKIP", "TOG"})
_COLOUR_LETTERS: Final = frozenset({"A", "B", "C", "D", "E", "F", "G", "H", "MC", "CC"})
_MEASURES: Final = frozenset({"cm", "mm", "inch", "inches", "g", "grams", "metres", "meters", "yards"})
LOOPS: Final = {
    "BACK_LOOP": "back", "FRONT_LOOP": "front", "THIRD_LOOP": "third", "BOTH_LOOPS": "both", "LAYERS": "layers",
}  # fmt: skip
OPEN: Final = frozenset(("SEP", "GOPEN", "SOPEN", "TOTAL_OPEN"))


def pair_brackets(tokens: Sequence[Token]) -> dict[int, int]:
    """Which closing bracket belongs to which opening one. Unmatched ones, and those nested too deep, are in neither."""
    stack: list[int] = []
    pairs: dict[int, int] = {}
    for i, token in enumerate(tokens):
        if token.type == "OPEN":
            stack.append(i)
        elif token.type == "CLOSE" and stack:
            if len(stack) <= MAX_DEPTH:
                pairs[stack[-1]] = i
            stack.pop()
    return pairs


def counted_as(tokens: Sequence[Token]) -> str:
    """What a chain is said to count as: "stitch", "space", both, or "not"."""
    types = {t.type for t in tokens}
    if "NOT" in types:
        return "not"
    said = ["stitch"] if types & (UNIT - {"CH"}) or "SPACE" not in types else []
    return " ".join([*said, *(["space"] if "SPACE" in types else [])])


class Clauses:
    """The tokens arranged so far, in `out`, and those still to come."""

    def __init__(self, tokens: list[Token], text: str) -> None:
        self.tokens = tokens
        self.text = text
        self.match = pair_brackets(tokens)
        self.out: list[Token] = []
        self.star_open = False
        self.ring_said = False
        self.aside_held: list[Token] = []  # said in the middle of a clause; it follows when that is over

    def _part(self, token: Token, following: str) -> None:
        """Put a separator where none is written: "6 sc 6 hdc", "sc2 inc1", "sc sc inc"."""
        if not self.out:
            return
        before = self.out[-1].type
        earlier = self.out[-2].type if len(self.out) > 1 else ""
        if token.type == "NUM":
            complete = (before in _MADE and (earlier == "NUM" or before in ("INC", "DEC"))) or before in ("ST", "OFTEN")
            parted = complete and following in STITCHY
        elif before == "NUM":
            parted = earlier in _MADE and not (len(self.out) > 2 and self.out[-3].type in _MADE)
        else:
            parted = (
                before in ("INC", "DEC", "TOG") or (before == "STITCH" and token.type in _APART)
            ) and token.type in STITCHY
        if parted:
            self._separate(Token("SEP", "", token.start, token.start))

    def _separate(self, token: Token) -> None:
        if self.ring_said and self.out and self.out[-1].type == "IN":
            self.out.pop()  # "make a ring and work six into it"
        if self.out and self.out[-1].type not in OPEN:
            self.out.append(Token("SEP", token.value, token.start, token.end))
        while self.aside_held:
            aside = self.aside_held.pop(0)
            self.out += (aside, aside._replace(type="SEP", value=""))

    def _drop_separator(self) -> None:
        while self.out and self.out[-1].type == "SEP":
            self.out.pop()

    def _and(self, i: int, end: int) -> tuple[int, bool]:
        """ "in 2nd ch from hook, and in each ch across" is one motion in two places; any other "and" parts clauses."""
        token = self.tokens[i]
        following = self.tokens[i + 1].type if i + 1 < end else ""
        if following == "CH" and self._each_chain_too(i + 2, end):
            self._drop_separator()
            self.out += (token._replace(type="ALSO"), token._replace(type="EACH"))
            return i + 1, False
        if following in PLACES:
            self._drop_separator()
            before = [one.type for one in self.out[-2:]]
            self.out.append(token._replace(type="ALSO"))
            if following == "SPACE" and before[:1] == ["EACH"] and before[-1] in UNIT:
                self.out.append(token._replace(type="EACH"))  # "in each st and sp": in each of both
            return i + 1 + (following == "IN"), False
        if following in ("ACROSS", "AROUND") and self.out and self.out[-1].type == "FROM_HOOK":
            self.out += (token._replace(type="ALSO"), token._replace(type="EACH"))  # "in 3rd ch from hook and across"
            return i + 1, False
        self._separate(token)
        return i + 1, True

    def _each_chain_too(self, i: int, end: int) -> bool:
        """Whether the "ch" before `i` in "sc in each sc and ch around" is a place: not "sc in each sc and ch 1"."""
        before = [token.type for token in self.out[-2:]]
        after = self.tokens[i].type if i < end else ""
        return before[:1] == ["EACH"] and before[-1] in UNIT and after in CLAUSE_ENDS | {"AROUND", "ACROSS"}

    def _clause_end(self, i: int, end: int) -> int:
        j = i
        tokens = self.tokens
        end = min(end, i + MAX_CLAUSE)
        while j < end and tokens[j].type not in ("SEP", "OPEN", "CLOSE", "STAR", "EQUALS", "DASH"):
            j += 1
        return j

    def _after_closing(self) -> bool:
        """Whether the last thing was a bracket or a starred stretch, so that "…), 6 times" belongs to it."""
        k = len(self.out) - 1
        while k >= 0 and self.out[k].type == "SEP":
            k -= 1
        return k >= 0 and self.out[k].type in ("GCLOSE", "SCLOSE")

    def _clause_start(self) -> int:
        k = len(self.out)
        while k and self.out[k - 1].type not in OPEN and self.out[k - 1].type != "LOOP":
            k -= 1
        return k

    def _after_work(self) -> bool:
        """Whether a clause with stitches has just been said."""
        clause = self.out[self._clause_start() :]
        return any(t.type in STITCHY or t.type == "ACT" for t in clause)

    def _loop(self, i: int, end: int) -> None:
        """Move a loop word to the front of its clause: "sc in BLO of each st" becomes LOOP "sc in each st"."""
        token = self.tokens[i]
        following = self.tokens[i + 1].type if i + 1 < end else ""
        begins = self._clause_start() == len(self.out) - 1 and following in STITCHY | {"NUM"}  # "in BLO sc around"
        places = PLACES - {"IN"} | UNIT | {"NUM"}  # "in back loops only in each st": what follows has its own "in"
        if self.out and self.out[-1].type in ("IN", "ON") and (begins or following not in places):
            self.out.pop()
        if following == "OF" and self.tokens[i + 2 : i + 3] and self.tokens[i + 2].type in PLACES | UNIT | {"NUM"}:
            self.tokens[i + 1] = self.tokens[i + 1]._replace(type="IN")  # "in BLO of first 10 sts"
        k = self._clause_start()
        if not (k and self.out[k - 1].type == "LOOP" and self.out[k - 1].value == LOOPS[token.type]):
            self.out.insert(k, Token("LOOP", LOOPS[token.type], token.start, token.end))

    def _says_what_counts(self, token: Token) -> bool:
        """Whether "counts" here is said of a chain: "counts as dc", "does not count"; not "count your stitches"."""
        return str(token.value) not in ("count", "counts", "counted") or bool(self.out and self.out[-1].type == "NOT")

    def _start_at(self, token: Token) -> bool:
        """Put where the first stitch goes before the clause it is said in: "4 sc starting in 2nd ch from hook".

        Whether it begins that clause.
        """
        k = self._clause_start()
        if k and self.out[k - 1].type == "LOOP":
            k -= 1
        first = k == len(self.out)
        self.out[k:k] = [token, Token("SEP", "", token.end, token.end)]
        return first

    def _colour_after(self, i: int, end: int) -> bool:
        """Whether "in red", "with B" here names the colour of the stitches just before it."""
        if not self.out or self.out[-1].type in OPEN or i + 1 >= end:
            return False
        following = self.tokens[i + 1]
        if following.type in ("COLOUR", "COLOUR_NAME"):
            return True
        if following.type == "RING" and following.value == "mc":
            return self.tokens[i].type == "WITH" or self.out[-1].type in ("AROUND", "ST")
        return following.type == "WORD" and (len(str(following.value)) == 1 or str(following.value) == "cc")

    def _names_colour(self, i: int) -> bool:
        """Whether the token at `i` is a colour, or a letter for one; "MC" is a ring where "CC" is not said."""
        token = self.tokens[i]
        if token.type == "COLOUR_NAME":
            return True
        word = self.text[token.start : token.end]
        if token.type == "RING":
            return word == "MC" and any(self.text[one.start : one.end] == "CC" for one in self.tokens)
        return token.type == "WORD" and word in _COLOUR_LETTERS

    def _colour_beside(self, i: int, end: int) -> bool:
        """Whether the token at `i` names the colour of counted stitches: "6 sc A, 6 sc B", "4 grey sc"."""
        if not self._names_colour(i):
            return False
        following = self.tokens[i + 1].type if i + 1 < end else ""
        clause = [one.type for one in self.out[self._clause_start() :]]
        after = following in (CLAUSE_ENDS | {"STAR", "REPSTAR"}) and clause in (["NUM", "STITCH"], ["STITCH", "NUM"])
        between = clause == ["NUM"] and following in STITCHY
        return after or between

    def _colour_ahead(self, i: int, end: int) -> bool:
        """Whether a letter with a colon names the colour of what follows: "A: 6 sc, B: 6 sc"."""
        return i + 1 < end and self.tokens[i + 1].type == "COLON" and self._names_colour(i)

    def _hoist_colour(self, i: int, end: int) -> int:
        """Put the colour before the clause it is said at the end of."""
        j = i + 1
        while j < end and self.tokens[j].type in ("COLOUR", "COLOUR_NAME", "WORD", "RING", "AND"):
            if j + 1 < end and self.tokens[j].type == "COLOUR" and self.tokens[j + 1].type == "NUM":
                j += 1
            j += 1
        start, stop = self.tokens[i].start, self.tokens[j - 1].end
        k = self._clause_start()
        self.out[k:k] = [Token("ACT", "colour", start, stop), Token("SEP", "", start, start)]
        return j

    def _bare_ring_number(self, i: int, end: int) -> bool:
        """ "MR 6", "magic ring, 6": the number alone is so many of the stitch in force."""
        following = self.tokens[i + 1].type if i + 1 < end else "SEP"
        if not self.out or self.out[-1].type not in OPEN or following not in ("SEP", "OPEN", "CLOSE", "DASH", "EQUALS"):
            return False
        return self.ring_said

    def _measures(self, i: int) -> bool:
        """ "stuff lightly, 3 cm deep": a measure that goes on with the advice before it."""
        advised = [(t.type, t.value) for t in self.out[-2:-1]] == [("ACT", "note")] and self.out[-1].type == "SEP"
        following = self.tokens[i + 1 : i + 3]
        apart = [one.type for one in following[:1]] == ["ST"] and following[-1].value == "apart"
        return advised and bool(following) and (following[0].value in _MEASURES or apart)

    def _bare_in_bracket(self, i: int) -> bool:
        """ "(inc, 2) x 6": the number alone, beside shaping, is so many of the stitch in force."""
        if not self.out or self.out[-1].type not in ("GOPEN", "SEP") or self.tokens[i + 1 : i + 2] == []:
            return False
        if self.tokens[i + 1].type not in ("SEP", "CLOSE"):
            return False
        opening = next(
            (k for k in range(i - 1, max(-1, i - _NEAR), -1) if self.tokens[k].type in ("OPEN", "CLOSE")), None
        )
        if opening is None or self.tokens[opening].type != "OPEN":
            return False
        return any(t.type in ("INC", "DEC", "TOG") for t in self.tokens[opening : self.match.get(opening, opening)])

    def _explained_last(self, i: int, end: int) -> int:
        """The end of "last dc into top of 3 ch", said of what goes all along the row before it; or 0."""
        stop = self._clause_end(i, end)
        before = self.out[:-1] if self.out and self.out[-1].type == "SEP" else self.out
        k = len(before)
        while k and before[k - 1].type not in OPEN:
            k -= 1
        along = any(t.type in ("AROUND", "REPSTAR") or (t.type == "EACH" and t.value != "rem") for t in before[k:])
        return stop if along and i + 1 < end and self.tokens[i + 1].type in STITCHY else 0

    def _number_of_the_last(self, i: int, end: int) -> bool:
        """ "1 sc, 2 in the next": so many of the stitch before."""
        following = self.tokens[i + 1].type if i + 1 < end else ""
        return following == "IN" and (not self.out or self.out[-1].type in OPEN)
