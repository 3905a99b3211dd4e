"""Tokens put in order for the grammar: what each bracket is for, where stars open and close, which clauses are acts.

Crochet notation uses the same brackets for repeats, for several stitches in one, for totals and for asides, and the
same star to open and to close. What a bracket is for shows in what it holds and in what follows it; a grammar with
one token of lookahead cannot see that, so it is settled here, in one pass over the tokens.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from companion.pattern.acts import act_at
from companion.pattern.edgewords import edge_word, names_side
from companion.pattern.lexer import Token, Vocabulary
from companion.pattern.references import as_round
from companion.pattern.setphrases import STITCHY, UNIT, compose
from companion.pattern.totals import fold_trailing_total, looks_like_total

MAX_DEPTH: Final = 12
"""Brackets nested deeper than any pattern needs; what is deeper is not read as brackets."""

_PLACES: Final = frozenset({
    "IN", "EACH", "NEXT", "FIRST", "LAST", "SAME", "ORD", "OVER", "RING", "SPACE", "FROM_HOOK", "SKIPPED",
})  # fmt: skip
_AFTER_A_REPEAT: Final = frozenset({
    "OFTEN", "MORE_TIMES", "OFTEN_IN_ALL", "TIMES", "NUM", "REPEAT", "IN", "EACH", "AROUND", "REPSTAR", "TO_LAST",
    "OVER", "NEXT", "STAR",
})  # fmt: skip
_MADE: Final = frozenset({"STITCH", "INC", "DEC", "TOG", "SLST"})
_APART: Final = frozenset({"STITCH", "SLST", "CH", "SKIP", "TOG"})
_NAMING: Final = frozenset({"SPREAD", "GATHER", "PICOT", "INC", "DEC", "TOG"})
_COUNTED: Final = STITCHY | {"NUM"}
_LOOPS: Final = {"BACK_LOOP": "back", "FRONT_LOOP": "front", "BOTH_LOOPS": "both", "LAYERS": "layers"}
_OPEN: Final = frozenset(("SEP", "GOPEN", "SOPEN", "TOTAL_OPEN"))


def arrange(tokens: Sequence[Token], text: str, vocabulary: Vocabulary) -> list[Token]:
    """The token row the grammar reads. Every offset stays that of `text`, which the tokens came from."""
    composed = compose([t for t in tokens if t.type != "FILLER"], vocabulary)
    return _Arranger(fold_trailing_total(composed), text).run()


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


class _Arranger:
    """One pass over composed tokens. Nothing looks further ahead than the end of the present clause or bracket."""

    def __init__(self, tokens: list[Token], text: str) -> None:
        self.tokens = tokens
        self.text = text
        self.match = pair_brackets(tokens)
        self.out: list[Token] = []
        self.star_open = False
        self.aside_held: list[Token] = []  # said in the middle of a clause; it follows when that is over

    def run(self) -> list[Token]:
        self._stretch(0, len(self.tokens))
        self._separate(Token("SEP", "", len(self.text), len(self.text)))
        self._tidy_end()
        return self.out

    def _stretch(self, i: int, end: int) -> None:
        fresh = True  # at the beginning of a clause
        tokens = self.tokens
        while i < end:
            token = tokens[i]
            kind = token.type
            if kind == "VOID":
                i += 1
                continue
            if kind in ("REPEAT", "AS") and (found := as_round(tokens, i, end, self.text)):
                self._separate(token)
                self.out.append(found[0])
                i, fresh = found[1], False
                continue
            if kind == "JOIN" and not fresh and self.out and self.out[-1].type in ("NUM", "CH"):
                self._separate(Token("SEP", "", token.start, token.start))
                fresh = True  # "ch 4 joined with sl st to form a ring"
            if fresh and kind not in ("SEP", "OPEN", "CLOSE", "STAR", "COLON", "DASH", "THEN", "AND"):
                act = act_at(tokens, i, self._clause_end(i, end))
                if act is not None:
                    i = self._act(act, i, end)
                    fresh = False
                    continue
            fresh = False
            if kind == "OPEN" and i in self.match:
                self._bracket(i, self.match[i])
                fresh = bool(self.out) and self.out[-1].type == "SEP"
                i = self.match[i] + 1
                continue
            if kind in ("SEP", "COLON", "DASH", "THEN", "EQUALS", "OPEN", "CLOSE"):
                if not (kind == "COLON" and self.out and self.out[-1].type in ("SPACE", "RING", "ST")):
                    self._separate(token)
                fresh = True
            elif kind == "AND":
                i, fresh = self._and(i, end)
                continue
            elif kind == "REPSTAR":
                self._rep_star(token)
            elif kind == "STAR":
                i = self._star(i)
                fresh = True
                continue
            elif kind in _LOOPS:
                self._loop(i, end)
            elif kind in ("ACROSS", "AROUND", "OF", "ON") or (kind == "IN" and names_side(tokens, i, end)):
                named, i = edge_word(tokens, i, end, self.text)
                if named is not None:
                    self.out.append(named)
                continue
            elif kind in ("OFTEN", "MORE_TIMES", "OFTEN_IN_ALL") and self._after_closing():
                self._drop_separator()
                self.out.append(token)
            elif kind == "WITH" and i + 1 < end and tokens[i + 1].type in _COUNTED:
                self._separate(token)  # "magic ring with 6 sc"
                fresh = True
            elif kind in ("IN", "WITH") and self._colour_after(i, end):
                i = self._hoist_colour(i, end)
                continue
            elif kind == "NUM" and (self._bare_ring_number(i, end) or self._number_of_the_last(i, end)):
                self.out += (token, token._replace(type="STITCH", value=""))
            else:
                if kind == "NUM" or kind in STITCHY:
                    self._part(token, tokens[i + 1].type if i + 1 < end else "")
                self.out.append(token)
            i += 1

    # --- separators ---

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
        if self.out and self.out[-1].type == "IN" and any(t.type == "ACT" and t.value == "ring" for t in self.out):
            self.out.pop()  # "make a ring and work six into it"
        if self.out and self.out[-1].type not in _OPEN:
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
        if following in _PLACES:
            self._drop_separator()
            self.out.append(Token("ALSO", token.value, token.start, token.end))
            return i + 1 + (following == "IN"), False
        if following in ("ACROSS", "AROUND") and self.out and self.out[-1].type == "FROM_HOOK":
            self.out += (token._replace(type="ALSO"), token._replace(type="EACH"))  # "in 3rd ch from hook and across"
            return i + 1, False
        self._separate(token)
        return i + 1, True

    def _clause_end(self, i: int, end: int) -> int:
        j = i
        tokens = self.tokens
        while j < end and tokens[j].type not in ("SEP", "OPEN", "CLOSE", "STAR", "EQUALS", "DASH"):
            j += 1
        return j

    def _after_closing(self) -> bool:
        """Whether the last thing was a bracket or a starred stretch, so that "…), 6 times" belongs to it."""
        k = len(self.out) - 1
        while k >= 0 and self.out[k].type == "SEP":
            k -= 1
        return k >= 0 and self.out[k].type in ("GCLOSE", "SCLOSE")

    def _tidy_end(self) -> None:
        self._drop_separator()
        if self.star_open:
            k = max(i for i, token in enumerate(self.out) if token.type == "SOPEN")
            last = self.out[-1]
            if last.type in ("OFTEN", "MORE_TIMES", "OFTEN_IN_ALL") and len(self.out) > k + 2:  # "*3 sc, inc (6 times)"
                self.out.insert(len(self.out) - 1, Token("SCLOSE", "*", last.start, last.start))
            else:  # nothing closes it: a footnote mark, or a bullet
                del self.out[k]
            self.star_open = False
        self._drop_separator()
        while self.out and self.out[0].type == "SEP":
            del self.out[0]

    # --- stars ---

    def _star(self, i: int) -> int:
        token = self.tokens[i]
        following = self.tokens[i + 1].type if i + 1 < len(self.tokens) else ""
        after = self.tokens[i + 2].type if i + 2 < len(self.tokens) else ""
        closing = self._after_closing()
        times = following == "NUM" and not self.star_open and bool(self.out) and after not in STITCHY
        if times and (closing or after in ("", "OPEN", "SEP")):  # "(sc, inc) *6", "sc, inc, *6"
            if closing:
                self._drop_separator()
            number = self.tokens[i + 1]
            self.out.append(Token("OFTEN", number.value, token.start, number.end))
            return i + 2
        if not self.star_open:
            self._separate(token)
            self.out.append(token._replace(type="SOPEN"))
        elif self.out[-1].type == "SOPEN":
            return i + 1
        else:
            self._drop_separator()
            self.out.append(token._replace(type="SCLOSE"))
        self.star_open = not self.star_open
        return i + 1

    def _rep_star(self, token: Token) -> None:
        self._drop_separator()
        if self.star_open:
            self.out.append(token)
            self.star_open = False
        elif self.out and self.out[-1].type == "SCLOSE":  # "*sc, inc* rep from * to *"
            self.out.append(token._replace(type="REPEAT"))
        else:
            self._separate(token)
            self.out.append(token._replace(type="REPEAT"))

    # --- words that move ---

    def _clause_start(self) -> int:
        k = len(self.out)
        while k and self.out[k - 1].type not in _OPEN and self.out[k - 1].type != "LOOP":
            k -= 1
        return k

    def _loop(self, i: int, end: int) -> None:
        """Move a loop word to the front of its clause: "sc in BLO of each st" becomes LOOP "sc in each st"."""
        token = self.tokens[i]
        if self.out and self.out[-1].type in ("IN", "ON"):
            following = self.tokens[i + 1].type if i + 1 < end else ""
            if following not in _PLACES | UNIT | {"OF", "NUM"}:
                self.out.pop()
        k = self._clause_start()
        if not (k and self.out[k - 1].type == "LOOP" and self.out[k - 1].value == _LOOPS[token.type]):
            self.out.insert(k, Token("LOOP", _LOOPS[token.type], token.start, token.end))

    def _colour_after(self, i: int, end: int) -> bool:
        """Whether "in red", "with B" here names the colour of the stitches just before it."""
        if not self.out or self.out[-1].type in _OPEN or i + 1 >= end:
            return False
        following = self.tokens[i + 1]
        if following.type in ("COLOUR", "COLOUR_NAME"):
            return True
        if following.type == "RING" and following.value == "mc":
            return self.tokens[i].type == "WITH" or self.out[-1].type in ("AROUND", "ST")
        return following.type == "WORD" and (len(str(following.value)) == 1 or str(following.value) == "cc")

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
        if not (self.out and any(t.type == "ACT" and t.value == "ring" for t in self.out)):
            return False
        following = self.tokens[i + 1].type if i + 1 < end else "SEP"
        return self.out[-1].type in _OPEN and following in ("SEP", "OPEN", "CLOSE", "DASH", "EQUALS")

    def _number_of_the_last(self, i: int, end: int) -> bool:
        """ "1 sc, 2 in the next": so many of the stitch before."""
        following = self.tokens[i + 1].type if i + 1 < end else ""
        return following == "IN" and (not self.out or self.out[-1].type in _OPEN)

    # --- brackets and acts ---

    def _act(self, act: tuple[str, int], i: int, end: int) -> int:
        kind, stop = act
        last = self.tokens[stop - 1]
        self.out.append(Token("ACT", kind, self.tokens[i].start, last.end))
        if stop < end:
            self._separate(Token("SEP", "", last.end, last.end))
        return stop

    def _bracket(self, i: int, j: int) -> None:
        inside = self.tokens[i + 1 : j]
        types = {t.type for t in inside}
        opening, closing = self.tokens[i], self.tokens[j]
        after = self.tokens[j + 1].type if j + 1 < len(self.tokens) else ""
        if not inside:
            return
        if "COUNTS" in types:
            self._aside("COUNTS", 0 if "NOT" in types else 1, i, j)
        elif [t.type for t in inside] == ["NUM", "ROUND"]:
            self._aside("COUNT_OF_ROUNDS", inside[0].value, i, j)
        elif (
            looks_like_total(inside)
            and (self.out or opening.value == "=")
            and (after not in _AFTER_A_REPEAT or (after == "STAR" and j + 2 == len(self.tokens)))
        ):
            if self.out and self.out[-1].type == "SOPEN":  # "*(8)*", the total set in italics
                self.out.pop()
                self.star_open = False
            self._total(inside, opening, closing)
        elif len(inside) == 1 and inside[0].type in _NAMING and self._after_work() and after not in _AFTER_A_REPEAT:
            self._aside("ACT", "note", i, j)  # "5 dc in next st (shell made)"
        elif types & STITCHY or "OPEN" in types:
            self._group(i, j)
        else:
            kind = "colour" if types <= {"COLOUR_NAME", "COLOUR", "NUM"} or self._is_yarn(inside) else "note"
            self._aside("ACT", kind, i, j)

    @staticmethod
    def _is_yarn(inside: Sequence[Token]) -> bool:
        return len(inside) == 1 and (
            (inside[0].type == "WORD" and len(str(inside[0].value)) == 1) or inside[0].value in ("mc", "cc")
        )

    def _after_work(self) -> bool:
        """Whether a clause with stitches has just been said."""
        clause = self.out[self._clause_start() :]
        return any(t.type in STITCHY or t.type == "ACT" for t in clause)

    def _aside(self, terminal: str, value: str | int, i: int, j: int) -> None:
        """A bracket from `i` to `j` that makes no stitches. In the middle of a clause it waits for its end."""
        opening, closing = self.tokens[i], self.tokens[j]
        aside = Token(terminal, value, opening.start, closing.end)
        following = [t.type for t in self.tokens[j + 1 : j + 3]]
        goes_on = following[:1] in (["IN"], ["AROUND"]) or (following[:1] == ["AND"] and following[1] in _PLACES)
        if goes_on and self.out and self.out[-1].type not in _OPEN:
            self.aside_held.append(aside)
            return
        self._separate(opening)
        self.out.append(aside)
        self._separate(closing)

    def _group(self, i: int, j: int) -> None:
        opening, closing = self.tokens[i], self.tokens[j]
        if self.out and self.out[-1].type in ("GCLOSE", "SCLOSE"):
            self._separate(opening)
        self.out.append(Token("GOPEN", "(", opening.start, opening.end))
        saved, self.star_open = self.star_open, False
        begin = len(self.out)
        self._stretch(i + 1, j)
        self._drop_separator()
        if self.star_open:  # a star in the bracket that nothing closes there
            k = max(n for n in range(begin, len(self.out)) if self.out[n].type == "SOPEN")
            del self.out[k]
        self.star_open = saved
        if self.out[-1].type == "GOPEN":
            self.out.pop()
            return
        self.out.append(Token("GCLOSE", ")", closing.start, closing.end))
        self._after_group(j)

    def _after_group(self, j: int) -> None:
        """ "(…) 6" means six times; "(…), repeat 6 times" belongs to the bracket; "(…) 6 sc" goes on."""
        tokens = self.tokens
        if j + 1 >= len(tokens):
            return
        after = tokens[j + 1]
        if after.type == "NUM":
            beyond = tokens[j + 2].type if j + 2 < len(tokens) else ""
            total = beyond == "OPEN" and looks_like_total(tokens[j + 3 : self.match.get(j + 2, j + 3)])
            if (beyond not in STITCHY and beyond not in ("ST", "OPEN")) or total:
                tokens[j + 1] = after._replace(type="OFTEN")
            else:
                self._separate(Token("SEP", "", after.start, after.start))
        elif after.type in STITCHY:
            self._separate(Token("SEP", "", after.start, after.start))
        k = j + 1
        while k < len(tokens) and tokens[k].type in ("SEP", "THEN", "DASH"):
            k += 1
        if (
            k > j + 1
            and k < len(tokens)
            and tokens[k].type == "REPEAT"
            and not as_round(tokens, k, len(tokens), self.text)
        ):
            for m in range(j + 1, k):
                tokens[m] = tokens[m]._replace(type="VOID")

    def _total(self, inside: Sequence[Token], opening: Token, closing: Token) -> None:
        self._separate(Token("SEP", "", opening.start, opening.start))
        self.out.append(Token("TOTAL_OPEN", "", opening.start, opening.start))
        for token in inside:
            if token.type == "NUM" or token.type in UNIT or token.type == "SPACE":
                self.out.append(token)
            elif token.type in ("SEP", "AND", "THEN", "DASH"):
                self._separate(token)
        self._drop_separator()
        self.out.append(Token("TOTAL_CLOSE", "", closing.end, closing.end))
        self._separate(Token("SEP", "", closing.end, closing.end))
