"""The grammar's LALR(1) tables, and the loop that follows them.

lark makes the tables from `grammar.lark`, once for each version of the grammar; they are kept in the user's cache
folder. Following them takes two dozen lines, so that a start needs no lark at all, and a round costs a third of the
time.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, Final, NamedTuple

from companion.pattern.data import kept
from companion.pattern.lexer import Token

_END: Final = "$END"
_REMEMBERED: Final = 4096
"""Rows of token types whose steps are remembered: most rounds of a pattern differ in their numbers alone."""
_LONGEST: Final = 200
"""Tokens of the longest row whose steps are remembered."""


class UnexpectedToken(Exception):  # noqa: N818  (it ends a parse; it is no error of the program)
    """The tokens do not follow the grammar. `token` is the first that does not fit, None for the end of the row."""

    def __init__(self, token: Token | None) -> None:
        super().__init__(token)
        self.token = token


class _Rule(NamedTuple):
    """What is done where a rule has matched: its symbol, how many children it has, and what is made of them.

    `make` is None where the only child stands for the whole. `blanks` has a None for each child that may be there and
    is not: how many before each child, and after the last. A rule that `splices` gives its children to the rule above,
    which `gathers` them. A `plain` one does nothing of all this: its children are those it has.
    """

    symbol: str
    length: int
    make: Callable[[list[Any]], Any] | None
    blanks: tuple[int, ...]
    splices: bool
    gathers: bool
    plain: bool


class _Several(list[Any]):
    """The children of a rule that the rule above takes as its own."""


class Tables:
    """The tables of one grammar, with a method of `build` for every rule of that name."""

    def __init__(self, grammar: Path, build: object) -> None:
        start, end, rows, rules = kept(grammar, made_by_lark)
        self._start: int = start
        self._end: int = end
        self._rows: list[dict[str, int]] = rows
        self._steps: dict[tuple[str, ...], list[_Rule | None]] = {}
        self._rules = [
            _Rule(
                symbol,
                length,
                getattr(build, name) if name else None,
                tuple(blanks),
                splices,
                gathers,
                plain=not (blanks or splices or gathers),
            )
            for symbol, length, name, blanks, splices, gathers in rules
        ]

    def parse(self, tokens: Sequence[Token]) -> Any:
        """What `build` makes of a whole row of tokens. Raises UnexpectedToken."""
        types = tuple([token.type for token in tokens])
        steps = self._steps.get(types)
        if steps is None:
            steps = self._follow(tokens)
            if len(self._steps) < _REMEMBERED and len(types) < _LONGEST:
                self._steps[types] = steps
        return _built(steps, tokens)

    def _follow(self, tokens: Sequence[Token]) -> list[_Rule | None]:
        """The steps through a row of tokens: None takes the next token, a rule has matched what came before."""
        rows, rules, end = self._rows, self._rules, self._end
        steps: list[_Rule | None] = []
        states: list[int] = [self._start]
        row = rows[self._start]
        for token in (*tokens, None):
            kind = token.type if token is not None else _END
            while (action := row.get(kind)) is not None and action < 0:
                rule = rules[~action]
                if rule.length:
                    del states[-rule.length :]
                if rule.length != 1 or rule.make is not None or not rule.plain:  # else the child stands for the whole
                    steps.append(rule)
                state = rows[states[-1]][rule.symbol]
                if token is None and state == end:
                    return steps
                states.append(state)
                row = rows[state]
            if action is None:
                raise UnexpectedToken(token)
            steps.append(None)
            states.append(action)
            row = rows[action]
        raise UnexpectedToken(None)


def _built(steps: list[_Rule | None], tokens: Sequence[Token]) -> Any:
    """What the rules make of the tokens, step by step."""
    values: list[Any] = []
    coming = iter(tokens)
    for rule in steps:
        if rule is None:
            values.append(next(coming))
            continue
        children: list[Any] = []
        if rule.length:
            children = values[-rule.length :]
            del values[-rule.length :]
        values.append(rule.make(children) if rule.plain and rule.make is not None else _made(rule, children))
    return values[0]


def _made(rule: _Rule, children: list[Any]) -> Any:
    """What a matched rule makes of its children."""
    if rule.splices and children and type(children[0]) is _Several and not rule.blanks:
        several = children[0]  # one after the other, "(SEP item)*": the list grows, and is never copied
        for child in children[1:]:
            if type(child) is _Several:
                several += child
            else:
                several.append(child)
        return several
    if rule.gathers:
        children = [one for child in children for one in (child if type(child) is _Several else (child,))]
    if rule.blanks:
        blanks, written = rule.blanks, children
        children = [None] * blanks[0]
        for child, after in zip(written, blanks[1:], strict=True):
            children += [child, *[None] * after]
    if rule.make is not None:
        return rule.make(children)
    return _Several(children) if rule.splices else children[0]


def made_by_lark(grammar: str) -> list[Any]:
    """The tables as plain data: start state, end state, the row of each state, the rules.

    A row says for a terminal or symbol which state comes next or, where it is negative, which rule has matched:
    `~action` is its index.
    """
    from lark import Lark
    from lark.grammar import Rule
    from lark.lexer import Lexer, TerminalDef

    class NoLexer(Lexer):
        """Tokens come from `lexer.py`."""

        def __init__(self, _: object) -> None: ...

        def lex(self, lexer_state: Any, parser_state: Any) -> Any:
            raise NotImplementedError

    lark = Lark(grammar, parser="lalr", start="round", lexer=NoLexer)
    data, memo = lark.memo_serialize([TerminalDef, Rule])
    table = data["parser"]["parser"]
    numbers = {state: n for n, state in enumerate(table["states"])}
    places: dict[int, int] = {}
    rules: list[list[Any]] = []
    for key, rule in memo.items():
        if rule["__type__"] == "Rule":
            places[key] = len(rules)
            rules.append(_plain_rule(rule))
    rows = [
        {
            table["tokens"][token]: ~places[target["@"]] if reduces else numbers[target]
            for token, (reduces, target) in row.items()
        }
        for row in table["states"].values()
    ]
    return [numbers[table["start_states"]["round"]], numbers[table["end_states"]["round"]], rows, rules]


def _plain_rule(rule: dict[str, Any]) -> list[Any]:
    symbol, parts, options = rule["origin"]["name"], rule["expansion"], rule["options"]
    length, splices = len(parts), symbol.startswith("_")
    gathers = any(part["name"].startswith("_") for part in parts)
    name = None if splices or (options["expand1"] and length == 1 and not rule["alias"]) else rule["alias"] or symbol
    blanks: list[int] = []
    if any(options["empty_indices"]):
        blanks = [len(run) for run in "".join(str(int(b)) for b in options["empty_indices"]).split("0")]
    return [symbol, length, name, blanks, splices, gathers]
