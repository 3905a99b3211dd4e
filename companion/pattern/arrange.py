"""Tokens put in order for the grammar: what each bracket is for, where stars open and close, which clauses are acts.

Crochet notation uses the same brackets for repeats, for several stitches in one, for totals and for asides, and the
same star to open and to close. What a bracket is for shows in what it holds and in what follows it; a grammar with
one token of lookahead cannot see that, so it is settled here, in one pass over the tokens.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import takewhile
from typing import Final

from companion.pattern.acts import act_at
from companion.pattern.clauses import LOOPS, OPEN, PLACES, Clauses, counted_as
from companion.pattern.copies import without_copies
from companion.pattern.edgewords import edge_word, names_side
from companion.pattern.endwords import shaped_at_ends
from companion.pattern.evenwords import spread_evenly
from companion.pattern.goingon import ended_before_work, has_number_or_place
from companion.pattern.lexer import Token, Vocabulary
from companion.pattern.omitting import omitted_at
from companion.pattern.references import as_round, works_rounds
from companion.pattern.setphrases import compose
from companion.pattern.starts import into_the_chain, starts_from_hook
from companion.pattern.tokenkinds import STITCHY, UNIT
from companion.pattern.totals import fold_trailing_total, is_total_at, looks_like_total

_AFTER_A_REPEAT: Final = frozenset({
    "OFTEN", "MORE_TIMES", "OFTEN_IN_ALL", "TIMES", "NUM", "REPEAT", "IN", "EACH", "AROUND", "REPSTAR", "TO_LAST",
    "OVER", "NEXT", "STAR",
})  # fmt: skip
_NAMING: Final = frozenset({"SPREAD", "GATHER", "PICOT", "INC", "DEC", "TOG"})
_IN_A_CHAIN_REMARK: Final = UNIT | {"COUNTS", "INCLUDES", "NOT", "TOP", "NUM", "FIRST", "AS"}
_ALTERNATE: Final = frozenset({"alternate", "alternating"})
_HOW_OFTEN: Final = frozenset({"OFTEN", "OFTEN_IN_ALL", "MORE_TIMES", "AROUND", "TO_LAST"})
_COUNTED: Final = STITCHY | {"NUM"}


def arrange(tokens: Sequence[Token], text: str, vocabulary: Vocabulary) -> list[Token]:
    """The token row the grammar reads. Every offset stays that of `text`, which the tokens came from."""
    if any(token.type == "ORD" for token in tokens):
        tokens = starts_from_hook(tokens)
    if any(token.value == "make" for token in tokens):
        tokens = without_copies(tokens, text)
    composed = compose([t for t in tokens if t.type != "FILLER"], vocabulary)
    if any(token.type == "FROM_HOOK" for token in composed):
        composed = into_the_chain(composed)
    if any(token.type in ("INC", "DEC", "TOG", "EVENLY") for token in composed):
        composed = spread_evenly(composed, text)
    if any(token.type in ("END", "SIDE", "ROW_END", "FIRST", "LAST") for token in composed):
        composed = shaped_at_ends(composed)
    return _Arranger(_bracketed(fold_trailing_total(composed)), text).run()


def _bracketed(tokens: list[Token]) -> list[Token]:
    """ "6 times: 3 sc, inc (30)": what is said before a colon to be repeated goes to the full stop, or to the total."""
    if [t.type for t in tokens[:3]] in (["REPEAT", "OFTEN", "COLON"], ["REPEAT", "OFTEN_IN_ALL", "COLON"]):
        tokens = tokens[1:]
    if [t.type for t in tokens[:2]] not in (["OFTEN", "COLON"], ["OFTEN_IN_ALL", "COLON"]):
        return tokens
    for j in range(2, len(tokens)):
        token = tokens[j]
        if is_total_at(tokens, j) or (token.type, token.value) == ("SEP", "."):
            break
    else:
        j = len(tokens)
    often, colon, body = tokens[0], tokens[1], tokens[2:j]
    if not body:
        return tokens
    end = body[-1].end
    opening, close = colon._replace(type="OPEN", value="("), Token("CLOSE", ")", end, end)
    return [often._replace(type="NUM"), opening, *body, close, *tokens[j:]]


def _makes_more(inside: Sequence[Token]) -> bool:
    """ "(ch 3 counts as first dc, 2 dc in same st)": more than what the chain is said to be, as "dc, ch 1" is."""
    parted = [k + 1 for k, token in enumerate(inside[:-1]) if token.type == "SEP"]
    return any(
        has_number_or_place(inside, k, len(inside)) and "CH" not in [t.type for t in inside[k : k + 2]] for k in parted
    )


def _chain_remark(inside: Sequence[Token]) -> int:
    """Where a total goes on with whether the starting chain is among it: "(18 dc, counting turning ch)"; or 0."""
    for k in range(1, len(inside)):
        rest = {token.type for token in inside[k:]}
        says = rest & {"COUNTS", "INCLUDES"} and rest & {"CH", "TOP"} and rest <= _IN_A_CHAIN_REMARK
        if says and inside[k].type not in UNIT and looks_like_total(inside[:k]):
            return k
    return 0


class _Arranger(Clauses):
    """One pass over composed tokens. Nothing looks further ahead than the end of the present clause or bracket."""

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
            found = None
            if kind in ("REPEAT", "AS") or (fresh and token.value in _ALTERNATE):
                found = as_round(tokens, i, end, self.text, begins=fresh)
            elif kind == "ROUND" and fresh:
                found = works_rounds(tokens, i, end, self.text)
            if found is not None:
                self._separate(token)
                self.out.append(found[0])
                i, fresh = found[1], False
                continue
            if kind == "REPEAT" and fresh and not self.out and i + 1 < end and tokens[i + 1].type == "OPEN":
                i += 1  # "repeat (sc, inc) 6 times"
                continue
            if kind == "JOIN" and not fresh and self.out and self.out[-1].type in ("NUM", "CH"):
                self._separate(Token("SEP", "", token.start, token.start))
                fresh = True  # "ch 4 joined with sl st to form a ring"
            if fresh and kind == "LAST" and (stop := self._explained_last(i, end)):
                self.out.append(Token("ACT", "note", token.start, tokens[stop - 1].end))
                i, fresh = stop, False
                continue
            if fresh and kind == "OMIT" and (omitted := omitted_at(tokens, i, self._clause_end(i, end))) is not None:
                self.out.append(omitted[0])
                i, fresh = omitted[1], False
                continue
            if fresh and kind == "OTHER" and i + 1 < end and tokens[i + 1].type == "SIDE":
                self.out.append(
                    Token("REF", self.text[token.start : tokens[i + 1].end], token.start, tokens[i + 1].end)
                )
                i, fresh = i + 2, False  # "other side: 3 sc"
                continue
            if fresh and self._colour_ahead(i, end):
                self.out.append(Token("ACT", "colour", token.start, token.end))
                self._separate(tokens[i + 1])
                i += 2
                continue
            if fresh and kind not in ("SEP", "OPEN", "CLOSE", "STAR", "COLON", "DASH", "THEN", "AND"):
                clause_end = self._clause_end(i, end)
                act = ("note", clause_end) if kind == "NUM" and self._measures(i) else act_at(tokens, i, clause_end)
                if act is not None:
                    act = ended_before_work(tokens, i, act, clause_end, self.text)
                    fresh = act[0] == "turn" and act[1] < clause_end  # "turn leaving last st unworked"
                    i = self._act(act, i, end)
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
            elif kind == "COUNTS" and self._says_what_counts(token):
                i, fresh = self._counts(i, end), False
                continue
            elif kind == "NOTE" and "UNWORKED" in [t.type for t in tokens[i : self._clause_end(i, end)]]:
                self._separate(Token("SEP", "", token.start, token.start))
                fresh = True  # "sc in next 3 sts leaving the last 3 unworked"
                continue
            elif kind in LOOPS:
                self._loop(i, end)
            elif kind in ("ACROSS", "AROUND", "OF", "ON") or (kind == "IN" and names_side(tokens, i, end)):
                named, i = edge_word(tokens, i, end, self.text)
                if named is not None:
                    opens = not self.out or self.out[-1].type in OPEN
                    self.out.append(named)
                    if opens and i < end and tokens[i].type in _COUNTED:  # "on the other side sc in next 7 ch"
                        self._separate(Token("SEP", "", named.end, named.end))
                continue
            elif kind in ("OFTEN", "MORE_TIMES", "OFTEN_IN_ALL") and self._after_closing():
                self._drop_separator()
                self.out.append(token)
            elif kind == "WITH" and self._stitches_at(i + 1, end):
                self._separate(token)  # "magic ring with 6 sc", "sc around, with (sc, ch 2, sc) in each corner"
                fresh = True
            elif kind == "START_AT":
                fresh = self._start_at(token)
            elif (kind in ("IN", "WITH") and self._colour_after(i, end)) or self._colour_beside(i, end):
                i = self._hoist_colour(i, end)
                continue
            elif kind == "NUM" and (
                self._bare_ring_number(i, end) or self._number_of_the_last(i, end) or self._bare_in_bracket(i)
            ):
                self.out += (token, token._replace(type="STITCH", value=""))
            else:
                if kind == "NUM" or kind in STITCHY:
                    self._part(token, tokens[i + 1].type if i + 1 < end else "")
                self.out.append(token)
            i += 1

    def _stitches_at(self, i: int, end: int) -> bool:
        at = i + 1 if i < end and self.tokens[i].type == "OPEN" else i
        return at < end and self.tokens[at].type in _COUNTED

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
        begins = bool(self.out) and self.out[-1].type == "NUM" and self._clause_start() == len(self.out) - 1
        if begins and following == "OPEN" and not self.star_open:  # "6 * (sc, inc)"
            return i + 1
        if not self.star_open:
            self._separate(token)
            self.out.append(token._replace(type="SOPEN"))
        elif self.out[-1].type == "SOPEN":
            return i + 1
        else:
            self._drop_separator()
            self.out.append(token._replace(type="SCLOSE"))
            self._repeat_belongs(i)
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

    # --- brackets and acts ---

    def _act(self, act: tuple[str, int], i: int, end: int) -> int:
        kind, stop = act
        last = self.tokens[stop - 1]
        said = Token("ACT", kind, self.tokens[i].start, last.end)
        self.out.append(said._replace(type="UNREAD") if kind == "unread" else said)
        self.ring_said = self.ring_said or kind == "ring"
        if stop < end:
            self._separate(Token("SEP", "", last.end, last.end))
        while stop < end and self.tokens[stop].type in ("AND", "THEN"):
            stop += 1
        return stop

    def _counts(self, i: int, end: int) -> int:
        """ "ch 3 counts as dc", said with no bracket: a clause of its own."""
        negated = self.out[-1:] and self.out[-1].type == "NOT"
        first = self.out.pop() if negated else self.tokens[i]
        clause_end = self._clause_end(i, end)
        kind, stop = ended_before_work(self.tokens, i, ("counts", clause_end), clause_end, self.text)
        said = "not" if negated else counted_as(self.tokens[i:stop])
        at = first.start, self.tokens[stop - 1].end
        self._separate(Token("SEP", "", first.start, first.start))
        self.out.append(Token("UNREAD" if kind == "unread" else "COUNTS", said, *at))
        self._separate(Token("SEP", "", at[1], at[1]))
        return stop

    def _bracket(self, i: int, j: int) -> None:
        inside = self.tokens[i + 1 : j]
        types = {t.type for t in inside}
        opening, closing = self.tokens[i], self.tokens[j]
        after = self.tokens[j + 1].type if j + 1 < len(self.tokens) else ""
        if not inside:
            return
        if inside[0].type == "REPEAT" and {token.type for token in inside[1:]} <= _HOW_OFTEN:
            self._repeat_in_bracket(inside)
        elif remark := _chain_remark(inside):
            head = inside[: remark - (inside[remark - 1].type == "SEP")]
            self._total(head, opening, head[-1]._replace(start=head[-1].end))
            self.out.append(Token("COUNTS", counted_as(inside[remark:]), inside[remark].start, closing.end))
            self._separate(closing)
        elif "COUNTS" in {t.type for t in takewhile(lambda t: t.type != "OPEN", inside)} and not _makes_more(inside):
            self._aside("COUNTS", counted_as(inside), i, j)
        elif [t.type for t in inside] == ["NUM", "ROUND"]:
            self._aside("COUNT_OF_ROUNDS", inside[0].value, i, j)
        elif (
            looks_like_total(inside)
            and (self.out or opening.value == "=")
            and not self._times_first(opening)
            and (after not in _AFTER_A_REPEAT or (after == "STAR" and j + 2 == len(self.tokens)))
        ):
            if self.out and self.out[-1].type == "SOPEN":  # "*(8)*", the total set in italics
                self.out.pop()
                self.star_open = False
            self._total(inside, opening, closing)
        elif inside[0].type == "NOT" and "NUM" not in types:
            self._aside("ACT", "note", i, j)  # "sc around (no increases)"
        elif self._names_what_was_made(inside) and after not in _AFTER_A_REPEAT:
            self._aside("ACT", "note", i, j)  # "5 dc in next st (shell made)", "(picot edge)"
        elif types & STITCHY or "OPEN" in types:
            self._group(i, j)
        else:
            kind = "colour" if types <= {"COLOUR_NAME", "COLOUR", "NUM"} or self._is_yarn(inside) else "note"
            self._aside("ACT", kind, i, j)

    def _repeat_in_bracket(self, inside: Sequence[Token]) -> None:
        """ "sc, inc (repeat 6 times)" is what "sc, inc, repeat 6 times" is."""
        if self._after_closing():
            self._drop_separator()
        else:
            self._separate(inside[0]._replace(type="SEP", value=""))
        self.out += inside
        self._separate(Token("SEP", "", inside[-1].end, inside[-1].end))

    def _times_first(self, opening: Token) -> bool:
        """Whether the bracket is multiplied by a number before it: "6x [1 sc, 1 inc]"."""
        number = self.out[-1] if self.out else None
        between = self.text[number.end : opening.start].strip().lower() if number is not None else ""
        return number is not None and number.type == "NUM" and between in ("x", "×", "*", "times")

    def _names_what_was_made(self, inside: Sequence[Token]) -> bool:
        """ "(shell made)", "(first picot)": one name of something, and no number, beside stitches just said."""
        types = [token.type for token in inside]
        named = sum(kind in _NAMING for kind in types) == 1
        return named and set(types) <= _NAMING | {"WORD", "FIRST", "LAST"} and self._after_work()

    @staticmethod
    def _is_yarn(inside: Sequence[Token]) -> bool:
        return len(inside) == 1 and (
            (inside[0].type == "WORD" and len(str(inside[0].value)) == 1) or inside[0].value in ("mc", "cc")
        )

    def _aside(self, terminal: str, value: str | int, i: int, j: int) -> None:
        """A bracket from `i` to `j` that makes no stitches. In the middle of a clause it waits for its end."""
        opening, closing = self.tokens[i], self.tokens[j]
        aside = Token(terminal, value, opening.start, closing.end)
        following = [t.type for t in self.tokens[j + 1 : j + 3]]
        goes_on = following[:1] in (["IN"], ["AROUND"]) or (following[:1] == ["AND"] and following[-1] in PLACES)
        if goes_on and self.out and self.out[-1].type not in OPEN:
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
        self._repeat_belongs(j)

    def _repeat_belongs(self, j: int) -> None:
        """ "(sc, inc), repeat 6 times": what parts the repeat from the bracket or the star closed at `j` is dropped."""
        tokens = self.tokens
        k = j + 1
        while k < len(tokens) and tokens[k].type in ("SEP", "THEN", "DASH"):
            k += 1
        if (
            k > j + 1
            and k < len(tokens)
            and tokens[k].type == "REPEAT"
            and not as_round(tokens, k, len(tokens), self.text, begins=True)
        ):
            for m in range(j + 1, k):
                tokens[m] = tokens[m]._replace(type="VOID")

    def _total(self, inside: Sequence[Token], opening: Token, closing: Token) -> None:
        self._separate(Token("SEP", "", opening.start, opening.start))
        self.out.append(Token("TOTAL_OPEN", "", opening.start, opening.start))
        for token in inside:
            if token.type == "SPACE" and self.out[-1].type != "NUM":
                if not self.text[token.start : token.end].endswith("s"):  # "15 sc, ch-4 sp"; how many "sps" is not said
                    self.out += (Token("NUM", 1, token.start, token.start), token)
            elif token.type == "NUM" or token.type in UNIT or token.type == "SPACE":
                self.out.append(token)
            elif token.type in ("SEP", "AND", "THEN", "DASH"):
                self._separate(token)
        self._drop_separator()
        self.out.append(Token("TOTAL_CLOSE", "", closing.end, closing.end))
        self._separate(Token("SEP", "", closing.end, closing.end))
