"""Lays sentence templates into a net of characters, by walking the tree that hassil parses them into."""

from __future__ import annotations

from collections.abc import Mapping

from hassil.errors import MissingListError, MissingRuleError
from hassil.expression import Alternative, Expression, ListReference, RuleReference, Sentence, Sequence, TextChunk
from hassil.intents import RangeSlotList, SlotList, TextSlotList, WildcardSlotList
from hassil.parse_expression import parse_sentence

from .net import Net
from .numbers import number_net, ordinal_net


class Compiler:
    """Adds templates to `net`. Lists named "ordinal" are spoken as ordinals, other ranges as numbers.

    A rule that ends by naming itself is a repetition: `more: "<thing> [and <more>]"` is any number of things.
    """

    def __init__(self, net: Net, lists: Mapping[str, SlotList], rules: Mapping[str, Sentence]) -> None:
        self._net = net
        self._lists = lists
        self._rules = rules
        self._nets: dict[str, Net] = {}  # lists, each laid out once
        self._open: dict[str, tuple[int, int]] = {}  # rules being laid in: the states before and after

    def template(self, text: str, start: int) -> int:
        """Add a template from state `start`; returns the state after it."""
        return self.expression(parse_sentence(text).expression, start)

    def expression(self, expression: Expression, start: int) -> int:
        """Add one expression of hassil's tree from state `start`; returns the state after it."""
        match expression:
            case TextChunk():
                return self._text(expression.text.lower(), start)
            case Alternative():
                end = self._net.state()
                for item in expression.items:
                    self._net.skip(self.expression(item, start), end)
                return end
            case Sequence():
                here = start
                for item in expression.items:
                    here = self.expression(item, here)
                return here
            case ListReference():
                return self._list(expression, start)
            case RuleReference():
                return self._rule(expression.rule_name, start)
            case _:
                raise TypeError(f"templates here do without {type(expression).__name__}")

    def _text(self, text: str, start: int) -> int:
        end = self._net.state()
        self._net.path(start, text, end)
        return end

    def _list(self, reference: ListReference, start: int) -> int:
        slot, name = reference.slot_name, reference.list_name
        if name not in self._lists:
            raise MissingListError(f"no list named {name}")
        values = self._lists[name]
        if isinstance(values, WildcardSlotList):
            return self._net.free_words(start, slot)
        return self._net.call(name, self._called(name, values), start, ("slot", slot))

    def _called(self, name: str, values: SlotList) -> Net:
        if name not in self._nets:
            if isinstance(values, RangeSlotList):
                self._nets[name] = ordinal_net() if name == "ordinal" else number_net()
            elif isinstance(values, TextSlotList):
                self._nets[name] = values_net(values)
            else:
                raise TypeError(f"the list {name} is of a kind unknown here")
        return self._nets[name]

    def _rule(self, name: str, start: int) -> int:
        if name not in self._rules:
            raise MissingRuleError(f"no rule named {name}")
        if name in self._open:
            before, after = self._open[name]
            self._net.skip(start, before)
            return after
        before, after = self._net.state(), self._net.state()
        self._net.skip(start, before)
        self._open[name] = (before, after)
        end = self.expression(self._rules[name].expression, before)
        if self._net.leads_on(after):
            raise ValueError(f"the rule {name} may name itself only at its end")
        self._net.skip(end, after)
        del self._open[name]
        return after


def values_net(values: TextSlotList) -> Net:
    """The values of a list, each a template of its own, as a net to be called."""
    net = Net()
    start, end = net.state(), net.state()
    inner = Compiler(net, {}, {})
    said = []
    for value in values.values:
        said.append(inner.expression(value.text_in, start))
        net.skip(said[-1], end, ("value", value.value_out))
    net.finish({end}, said)
    return net
