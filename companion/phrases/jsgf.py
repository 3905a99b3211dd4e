"""The same sentences as a grammar in the JSpeech Grammar Format, for recognisers of the classic kind.

JSpeech Grammar Format, W3C Note, 5 June 2000. Sentences with free words are left out: the format has no place for them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from hassil.expression import Alternative, Expression, Group, ListReference, RuleReference, TextChunk
from hassil.intents import RangeSlotList, SlotList, TextSlotList, WildcardSlotList
from hassil.parse_expression import parse_sentence

from . import numbers, templates
from .names import spoken_forms
from .templates import Phrase


def grammar(pieces: Sequence[str] = (), contexts: Iterable[str] = templates.LISTENING) -> str:
    """The text of a grammar of all commands that may be said in these contexts, with decoys, without pairs."""
    loaded = templates.load("commands")
    wanted = frozenset(contexts)
    writer = _Writer(loaded.intents.slot_lists | {"piece": TextSlotList.from_tuples(spoken_forms(pieces))})
    plain: list[str] = []
    decoys: list[str] = []
    for phrase in loaded.phrases:
        if phrase.contexts & wanted:
            (decoys if phrase.decoy else plain).extend(writer.sentences(phrase))
    openings = writer.written(parse_sentence(loaded.openings).expression)
    closings = writer.written(parse_sentence(loaded.closings).expression)
    rules = {
        "opening": openings,
        "closing": closings,
        "command": " | ".join(plain),
        "decoy": " | ".join(decoys),
        "number": " | ".join(way for number in numbers.RANGE for way in numbers.ways(number)),
        "ordinal": " | ".join(way for number in numbers.RANGE for way in numbers.ordinal_ways(number)),
        **{
            name: writer.written(rule.expression)
            for name, rule in loaded.intents.expansion_rules.items()
            if not writer.is_open(rule.expression)
        },
    }
    lines = ["#JSGF V1.0;", "grammar companion;", "public <said> = [<opening>] <command> [<closing>] | <decoy>;"]
    return "\n".join([*lines, *(f"<{name}> = {body};" for name, body in rules.items() if body), ""])


class _Writer:
    """Writes expressions of hassil's tree in the format's own words."""

    def __init__(self, lists: Mapping[str, SlotList]) -> None:
        self._lists = lists

    def sentences(self, phrase: Phrase) -> list[str]:
        """The sentences of a phrase, but for those with free words or with a name from an empty list."""
        tail = f" [{self.written(parse_sentence(phrase.tail).expression)}]" if phrase.tail else ""
        parsed = [parse_sentence(text).expression for block in phrase.blocks for text in block.sentences]
        return [self.written(expression) + tail for expression in parsed if not self.is_open(expression)]

    def is_open(self, expression: Expression) -> bool:
        """True if the expression holds free words, or a list with nothing in it."""
        if isinstance(expression, ListReference):
            values = self._lists[expression.list_name]
            return isinstance(values, WildcardSlotList) or (isinstance(values, TextSlotList) and not values.values)
        return isinstance(expression, Group) and any(self.is_open(item) for item in expression.items)

    def written(self, expression: Expression) -> str:
        """The expression in the format."""
        if isinstance(expression, TextChunk):
            return expression.text.strip().lower()
        if isinstance(expression, RuleReference):
            return f"<{expression.rule_name}>"
        if isinstance(expression, ListReference):
            values = self._lists[expression.list_name]
            if isinstance(values, RangeSlotList):
                return "<ordinal>" if expression.list_name == "ordinal" else "<number>"
            if not isinstance(values, TextSlotList):
                raise TypeError(f"{expression.list_name} cannot be written in this format")
            return f"({' | '.join(_in_words(self.written(value.text_in) for value in values.values))})"
        if not isinstance(expression, Group):
            raise TypeError(f"templates here do without {type(expression).__name__}")
        items = [written for item in expression.items if (written := self.written(item))]
        if isinstance(expression, Alternative):
            ways = " | ".join(_in_words(items))
            return f"[{ways}]" if expression.is_optional else f"({ways})"
        return " ".join(items)


def _in_words(ways: Iterable[str]) -> list[str]:
    """Those without digits: digits are for people who type, and nobody says them."""
    return [way for way in ways if not any(char.isdigit() for char in way)]
