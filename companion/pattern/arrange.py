"""Tokens put in order for the grammar: what each bracket is for, where stars open and close, set phrases as one token.

Crochet notation uses the same brackets for repeats, for several stitches in one, for totals and for asides, and the
same star to open and to close. What a bracket is for shows in what it holds and in what follows it; a grammar with
one token of lookahead cannot see that, so it is settled here, in one pass over the tokens.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from companion.pattern.lexer import Token

MAX_DEPTH: Final = 12
"""Brackets nested deeper than any pattern needs; what is deeper is left unread."""

STITCHY: Final = frozenset(
    "STITCH GATHER SPREAD PICOT CH SLST INC DEC TOG SKIP THEM".split()
)  # tokens that stand for something made with the hook
_UNIT: Final = frozenset("ST STITCH SLST CH INC DEC GATHER SPREAD TOG PICOT".split())
_PLACES: Final = frozenset("IN EACH NEXT FIRST LAST SAME ORD OVER RING SPACE FROM_HOOK".split())

Value = str | int
Make = Callable[[Sequence[Token]], Value]


def _at(index: int) -> Make:
    return lambda tokens: tokens[index].value


def _plus(index: int, more: int) -> Make:
    return lambda tokens: int(tokens[index].value) + more


def _fixed(value: Value) -> Make:
    return lambda _: value


# Set phrases: a row of token types becomes one token. The first that matches wins; longer ones come first.
_PHRASES: Final[list[tuple[tuple[str, ...], str, Make]]] = [
    (("ORD", "CH", "HOOK"), "FROM_HOOK", _at(0)),
    (("ORD", "ST", "HOOK"), "FROM_HOOK", _at(0)),
    (("ORD", "HOOK"), "FROM_HOOK", _at(0)),
    (("TIMES", "NUM", "MORE", "TIMES"), "MORE", _at(1)),
    (("NUM", "MORE", "TIMES"), "MORE", _at(0)),
    (("NUM", "TIMES", "MORE"), "MORE", _at(0)),
    (("ONCE", "MORE"), "MORE", _fixed(1)),
    (("TWICE", "MORE"), "MORE", _fixed(2)),
    (("NUM", "MORE"), "MORE", _at(0)),
    (("TIMES", "NUM", "TIMES", "IN_ALL"), "OFTEN", _at(1)),
    (("TIMES", "NUM", "TIMES"), "OFTEN", _at(1)),
    (("TIMES", "NUM"), "OFTEN", _at(1)),
    (("NUM", "TIMES", "IN_ALL"), "OFTEN_IN_ALL", _at(0)),
    (("IN_ALL", "NUM", "TIMES"), "OFTEN_IN_ALL", _at(1)),
    (("NUM", "TIMES", "AROUND"), "OFTEN", _at(0)),
    (("NUM", "TIMES"), "OFTEN", _at(0)),
    (("TWICE",), "OFTEN", _fixed(2)),
    (("THRICE",), "OFTEN", _fixed(3)),
    (("ONCE",), "OFTEN", _fixed(1)),
    (("CH", "NUM", "SPACE"), "SPACE", _at(1)),
    (("NUM", "CH", "SPACE"), "SPACE", _at(0)),
    (("CH", "SPACE"), "SPACE", _fixed(0)),
    (("CORNER", "SPACE"), "SPACE", _fixed(0)),
    (("CORNER", "CH", "NUM", "SPACE"), "SPACE", _at(2)),
    (("CH", "NUM", "CORNER", "SPACE"), "SPACE", _at(1)),
    (("CH", "NUM", "CORNER"), "SPACE", _at(1)),
    (("CORNER",), "SPACE", _fixed(0)),
    (("TO", "LAST", "NUM", "SPACE"), "TO_LAST", _fixed(0)),
    (("REPEAT", "FROM", "STAR", "TO", "STAR"), "REPSTAR", _fixed(0)),
    (("REPEAT", "FROM", "STAR"), "REPSTAR", _fixed(0)),
    (("REPEAT", "STAR", "TO", "STAR"), "REPSTAR", _fixed(0)),
    (("REPEAT", "STAR"), "REPSTAR", _fixed(0)),
    (("REPEAT", "FROM", "START"), "REPEAT", _fixed(0)),
]  # fmt: skip
_BY_FIRST: Final[dict[str, list[tuple[tuple[str, ...], str, Make]]]] = {}
for _entry in _PHRASES:
    _BY_FIRST.setdefault(_entry[0][0], []).append(_entry)


def arrange(tokens: Sequence[Token], text: str) -> list[Token]:
    """The token row the grammar reads. Every offset stays that of `text`, the folded source the tokens came from."""
    return _Arranger(_compose([t for t in tokens if t.type != "FILLER"]), text).run()


def _to_last(tokens: Sequence[Token], i: int) -> tuple[Token, int] | None:
    """ "to last 3 sts", "until last st", "until 3 sts remain": one token and the index after it."""
    j, keep, seen = i + 1, 1, False
    if j < len(tokens) and tokens[j].type == "LAST":
        j, seen = j + 1, True
    if j < len(tokens) and tokens[j].type == "NUM":
        keep, j = int(tokens[j].value), j + 1
    if j < len(tokens) and tokens[j].type in _UNIT:
        j += 1
    if not seen:
        if j < len(tokens) and tokens[j].type == "REMAIN" and j > i + 1:
            j += 1
        else:
            return None
    return Token("TO_LAST", keep, tokens[i].start, tokens[j - 1].end), j


def _compose(tokens: list[Token]) -> list[Token]:
    out: list[Token] = []
    i, n = 0, len(tokens)
    while i < n:
        token = tokens[i]
        kind = token.type
        if kind in ("TO", "UNTIL", "AROUND"):
            start = i + 1 if kind == "AROUND" and i + 1 < n and tokens[i + 1].type in ("TO", "UNTIL") else i
            found = _to_last(tokens, start) if tokens[start].type != "AROUND" else None
            if found:
                out.append(found[0]._replace(start=token.start))
                i = found[1]
                continue
        if kind == "NUM" and i + 1 < n and tokens[i + 1].type == "TIMES" and tokens[i + 1].value == "x":
            after = tokens[i + 2].type if i + 2 < n else ""
            if after == "OPEN" or after in STITCHY:  # "6 x inc", "6 x (sc, inc)"
                out.append(token)
                i += 2
                continue
        for types, terminal, make in _BY_FIRST.get(kind, ()):
            m = len(types)
            if i + m <= n and all(tokens[i + k].type == types[k] for k in range(1, m)):
                part = tokens[i : i + m]
                out.append(Token(terminal, make(part), token.start, part[-1].end))
                i += m
                break
        else:
            out.append(token)
            i += 1
    return out


def _as_round(tokens: Sequence[Token], i: int, end: int) -> tuple[Token, int] | None:
    """ "repeat rounds 3 and 4", "as round 2": one token with the numbers, and the index after it."""
    j = i + 1
    if j + 1 >= end or tokens[j].type != "ROUND" or tokens[j + 1].type != "NUM":
        return None
    first = last = int(tokens[j + 1].value)
    j += 2
    while j + 1 < end and tokens[j].type in ("DASH", "AND", "TO") and tokens[j + 1].type in ("NUM", "ROUND"):
        j += 1
        if tokens[j].type == "ROUND":
            j += 1
        if j < end and tokens[j].type == "NUM":
            last = int(tokens[j].value)
            j += 1
    return Token("AS_ROUND", f"{first}-{last}", tokens[i].start, tokens[j - 1].end), j


class _Arranger:
    """One pass over composed tokens. Nothing here looks further ahead than the end of the present clause or bracket."""

    def __init__(self, tokens: list[Token], text: str) -> None:
        self.tokens = tokens
        self.text = text
        self.match = self._pair()
        self.out: list[Token] = []
        self.star_open = False

    def _pair(self) -> dict[int, int]:
        """Which closing bracket belongs to which opening one. Unmatched ones are in neither."""
        stack: list[int] = []
        pairs: dict[int, int] = {}
        for i, token in enumerate(self.tokens):
            if token.type == "OPEN":
                stack.append(i)
            elif token.type == "CLOSE" and stack:
                if len(stack) <= MAX_DEPTH:
                    pairs[stack[-1]] = i
                stack.pop()
        return pairs

    def run(self) -> list[Token]:
        self._trailing_total()
        self._span(0, len(self.tokens))
        self._tidy_end()
        return self.out

    # --- pieces of the pass ---

    def _span(self, i: int, end: int) -> None:
        fresh = True  # at the beginning of a clause
        while i < end:
            token = self.tokens[i]
            kind = token.type
            if kind in ("REPEAT", "AS") and (found := _as_round(self.tokens, i, end)):
                self._separate(token)
                self.out.append(found[0])
                i, fresh = found[1], False
                continue
            if fresh and kind not in ("SEP", "OPEN", "CLOSE", "STAR", "COLON", "DASH"):
                j = self._clause_end(i, end)
                act = self._act(i, j)
                if act:
                    kept = self._emit_act(act, i, j)
                    i = kept
                    fresh = False
                    continue
            fresh = False
            if kind == "OPEN" and i in self.match:
                self._bracket(i, self.match[i])
                i = self.match[i] + 1
                continue
            if kind in ("SEP", "COLON", "DASH", "THEN"):
                if kind == "COLON" and self.out and self.out[-1].type in ("SPACE", "RING", "ST", "REF"):
                    pass  # "in next ch-2 sp: 2 dc"
                else:
                    self._separate(token)
                fresh = True
            elif kind == "AND":
                following = self.tokens[i + 1].type if i + 1 < end else ""
                if following in _PLACES:
                    self._also(token)
                    if following == "IN":
                        i += 1
                else:
                    self._separate(token)
                    fresh = True
            elif kind == "REPSTAR":
                self._drop_separator()
                if self.star_open:
                    self.out.append(token)
                else:
                    self._separate(token)
                    self.out.append(token._replace(type="REPEAT"))
                self.star_open = False
            elif kind == "STAR":
                self._star(token)
                fresh = True
            elif kind in ("OPEN", "CLOSE"):
                self._separate(token)
            elif kind == "BACK_LOOP" or kind == "FRONT_LOOP" or kind == "BOTH_LOOPS":
                self._loop(token, i, end)
            elif kind == "EQUALS":
                self._separate(token)
                fresh = True
            elif kind in ("ACROSS", "AROUND", "OF", "ON"):
                i = self._across(i, end)
                continue
            else:
                self.out.append(token)
            i += 1

    def _separate(self, token: Token) -> None:
        if self.out and self.out[-1].type not in ("SEP", "GOPEN", "SOPEN", "TOTAL_OPEN"):
            self.out.append(Token("SEP", token.value, token.start, token.end))

    def _also(self, token: Token) -> None:
        """ "in 2nd ch from hook, and in each ch across": one motion, two places."""
        if self.out and self.out[-1].type == "SEP":
            self.out.pop()
        self.out.append(Token("ALSO", token.value, token.start, token.end))

    def _drop_separator(self) -> None:
        while self.out and self.out[-1].type == "SEP":
            self.out.pop()

    def _tidy_end(self) -> None:
        if self.star_open:  # a star that nothing closes: a footnote mark, or a bullet
            k = max(i for i, token in enumerate(self.out) if token.type == "SOPEN")
            del self.out[k]
            self.star_open = False
        self._drop_separator()
        while self.out and self.out[0].type == "SEP":
            del self.out[0]

    def _clause_end(self, i: int, end: int) -> int:
        j = i
        while j < end and self.tokens[j].type not in ("SEP", "OPEN", "CLOSE", "STAR", "TOTAL", "EQUALS"):
            j += 1
        return j

    def _star(self, token: Token) -> None:
        if not self.star_open:
            self._separate(token)
            self.out.append(token._replace(type="SOPEN"))
            self.star_open = True
            return
        self._drop_separator()
        self.out.append(token._replace(type="SCLOSE"))
        self.star_open = False

    def _loop(self, token: Token, i: int, end: int) -> None:
        """Move a loop word to the front of its clause: "sc in BLO of each st" becomes LOOP "sc in each st"."""
        if self.out and self.out[-1].type == "IN":
            following = [t.type for t in self.tokens[i + 1 : min(i + 3, end)]]
            if not following or following[0] not in _PLACES | _UNIT | {"OF", "NUM"}:
                self.out.pop()
        k = len(self.out)
        while k and self.out[k - 1].type not in ("SEP", "GOPEN", "SOPEN", "LOOP"):
            k -= 1
        if k and self.out[k - 1].type == "LOOP":
            return
        value = {"BACK_LOOP": "back", "FRONT_LOOP": "front", "BOTH_LOOPS": "both"}[token.type]
        self.out.insert(k, Token("LOOP", value, token.start, token.end))

    def _across(self, i: int, end: int) -> int:
        """ "across" and "along" mean the whole edge, unless a name follows: "along the first leg"."""
        j = i + 1
        while j < end and self.tokens[j].type in (
            "WORD", "CH", "SIDE", "OF", "OTHER", "ORD", "FIRST", "LAST", "NEXT", "SAME", "IN", "ON", "TOP", "REMAIN",
            "BEYOND", "ROUND", "END",
        ):  # fmt: skip
            j += 1
        names = [t for t in self.tokens[i + 1 : j] if t.type in ("WORD", "CH", "SIDE", "BEYOND")]
        token = self.tokens[i]
        if names:
            last = self.tokens[j - 1]
            name = self.text[self.tokens[i + 1].start : last.end]
            self.out.append(Token("REF", name, token.start, last.end))
            return j
        if token.type in ("ACROSS", "AROUND"):
            self.out.append(token._replace(type="AROUND"))
        return i + 1

    # --- brackets ---

    def _bracket(self, i: int, j: int) -> None:
        inside = self.tokens[i + 1 : j]
        types = {t.type for t in inside}
        opening, closing = self.tokens[i], self.tokens[j]
        after = self.tokens[j + 1].type if j + 1 < len(self.tokens) else ""
        if "COUNTS" in types:
            value = 0 if "NOT" in types else 1
            self._separate(opening)
            self.out.append(Token("COUNTS", value, opening.start, closing.end))
            self._separate(closing)
            return
        if [t.type for t in inside] == ["NUM", "ROUND"]:
            self._separate(opening)
            self.out.append(Token("COUNT_OF_ROUNDS", inside[0].value, opening.start, closing.end))
            return
        if self.out and looks_like_total(inside) and after not in (
            "OFTEN", "MORE", "OFTEN_IN_ALL", "TIMES", "NUM", "REPEAT", "IN", "EACH", "AROUND", "REPSTAR",
        ):  # fmt: skip
            self._total(inside, opening.start, closing.end)
            return
        if not inside:
            return
        if types & STITCHY or "OPEN" in types:
            self.out.append(Token("GOPEN", "(", opening.start, opening.end))
            saved, self.star_open = self.star_open, False
            self._span(i + 1, j)
            self._drop_separator()
            self.star_open = saved
            if self.out[-1].type == "GOPEN":
                self.out.pop()
                return
            self.out.append(Token("GCLOSE", ")", closing.start, closing.end))
            self._after_group(j)
            return
        self._separate(opening)
        self.out.append(Token("ACT", "note", opening.start, closing.end))
        self._separate(closing)

    def _after_group(self, j: int) -> None:
        """ "(…) 6" means six times; "(…), repeat 6 times" belongs to the bracket."""
        tokens = self.tokens
        if j + 1 < len(tokens) and tokens[j + 1].type == "NUM":
            after = tokens[j + 2].type if j + 2 < len(tokens) else ""
            if after not in STITCHY and after != "ST":
                tokens[j + 1] = tokens[j + 1]._replace(type="OFTEN")
            else:
                self.out.append(Token("SEP", "", tokens[j].end, tokens[j].end))
        k = j + 1
        while k < len(tokens) and tokens[k].type in ("SEP", "THEN"):
            k += 1
        if k > j + 1 and k < len(tokens) and tokens[k].type == "REPEAT":
            for m in range(j + 1, k):
                tokens[m] = tokens[m]._replace(type="FILLER")

    def _total(self, inside: list[Token], start: int, end: int) -> None:
        self._separate(Token("SEP", "", start, start))
        self.out.append(Token("TOTAL_OPEN", "", start, start))
        for token in inside:
            if token.type == "NUM" or token.type in _UNIT:
                self.out.append(token)
            elif token.type == "SPACE":
                self.out.append(token._replace(type="SPACE"))
            elif token.type in ("SEP", "AND", "THEN"):
                self._separate(token)
        self._drop_separator()
        self.out.append(Token("TOTAL_CLOSE", "", end, end))

    def _trailing_total(self) -> None:
        """Mark a total that stands without brackets at the end: "= 18", "- 18 sts", "18 stitches", "makes 18"."""
        tokens = self.tokens
        n = len(tokens)
        while n and tokens[n - 1].type == "SEP":
            n -= 1
        start = n
        while start and tokens[start - 1].type in _TOTAL_WORDS:
            start -= 1
        for k in range(start, n):
            kind = tokens[k].type
            marker = kind in ("EQUALS", "MAKES") or (kind == "DASH") or (kind == "IN_ALL" and k + 1 < n)
            rest = tokens[k + 1 : n]
            if marker and looks_like_total(rest) and k:
                self._fold_total(k, n, rest)
                return
        k = n
        while k > start and tokens[k - 1].type != "SEP":
            k -= 1
        rest = tokens[k:n]
        spoken = any(t.type in ("ST", "IN_ALL", "REMAIN") for t in rest)
        if k and rest and spoken and rest[0].type == "NUM" and looks_like_total(rest):
            self._fold_total(k, n, rest)

    def _fold_total(self, start: int, end: int, inside: list[Token]) -> None:
        opening = Token("OPEN", "=", self.tokens[start].start, self.tokens[start].start)
        closing = Token("CLOSE", "=", self.tokens[end - 1].end, self.tokens[end - 1].end)
        self.tokens[start:end] = [opening, *inside, closing]
        self.match = self._pair()

    # --- clauses that are no stitches ---

    def _act(self, i: int, j: int) -> tuple[str, int] | None:
        """The kind of act that the clause from `i` to `j` is, and where it ends; None where it is stitches."""
        if i >= j:
            return None
        types = [t.type for t in self.tokens[i:j]]
        first = types[0]
        if "CHAIN_RING" in types:
            return "chain_ring", j
        if first == "JOIN" or ("JOIN" in types and first == "SLST"):
            for k in range(i + 1, j - 1):
                if self.tokens[k].type == "WITH" and self.tokens[k + 1].type in ("STITCH",):
                    return "join_into", k + 1
            return "join", j
        if first == "SLST" and ("FIRST" in types or "TOP" in types) and "REPEAT" not in types:
            return "join", j
        if first == "TURN":
            return "turn" if self.tokens[i].value not in ("do not turn", "don't turn") else "note", j
        if first == "FASTEN":
            return "fasten_off", j
        if "UNWORKED" in types:
            return "leave", j
        if first == "MARK":
            return "marker", j
        if first in ("CHANGE", "WITH") or (first == "IN" and len(types) > 1 and types[1] in ("COLOUR", "WORD")):
            k = i + 1
            while k < j and self.tokens[k].type not in STITCHY and self.tokens[k].type != "NUM":
                k += 1
            return "colour", j if first == "CHANGE" else k
        if first == "FROM":
            return "note", j
        if first == "RING" or (first in ("IN", "WITH") and types[1:2] == ["RING"]):
            return "ring", i + 1 + (first != "RING")
        if first == "WORD" and not set(types) & STITCHY and "NUM" not in types:
            return ("note", j) if self.tokens[i].value in NOTE_WORDS else None
        return None

    def _emit_act(self, act: tuple[str, int], i: int, j: int) -> int:
        kind, end = act
        start = self.tokens[i].start
        self.out.append(Token("ACT", kind, start, self.tokens[end - 1].end))
        if end < j or (end < len(self.tokens) and self.tokens[end].type == "OPEN"):
            self._separate(Token("SEP", "", self.tokens[end - 1].end, self.tokens[end - 1].end))
        return end


_TOTAL_WORDS: Final = frozenset(
    "NUM ST STITCH SLST CH INC DEC GATHER SPREAD SPACE SEP AND IN_ALL REMAIN EQUALS MAKES DASH PICOT".split()
)
NOTE_WORDS: Final = frozenset(
    "stuff place put attach insert close sew weave pull secure add leave keep embroider pin remember tip note hold tie "
    "thread rs ws right wrong flatten fold optional invert gather begin lightly firmly".split()
)


def looks_like_total(tokens: Sequence[Token]) -> bool:
    """Whether the tokens are nothing but counts: "18", "18 sts", "12 sc, 6 ch-2 sps", "18 in total"."""
    rest = [t for t in tokens if t.type not in ("IN_ALL", "REMAIN", "MAKES", "EQUALS")]
    if not rest or rest[0].type != "NUM":
        return False
    expect_number = True
    for token in rest:
        if expect_number:
            if token.type != "NUM":
                return False
            expect_number = False
        elif token.type in ("SEP", "AND"):
            expect_number = True
        elif token.type not in _UNIT and token.type != "SPACE":
            return False
    return not expect_number
