"""The vocabulary of the rules, and the facts of one replayed plan laid out for their evaluation."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from auditor.bench.fact import Fact, Item, Value, not_stated
from auditor.bench.item_facts import ITEM_FACTS
from auditor.bench.plan_facts import PLAN_FACTS
from auditor.bench.step_facts import STEP_FACTS
from auditor.bench.trace import Sample, Trace
from auditor.logic.kinds import Kind
from auditor.logic.timeline import Series

FACTS: dict[str, Fact] = {fact.name: fact for fact in (*PLAN_FACTS, *STEP_FACTS, *ITEM_FACTS)}
VOCABULARY: dict[str, Kind] = {name: fact.kind for name, fact in FACTS.items()}
ITEM_KINDS = ("capacitor", "line_capacitor", "instrument")


class Facts(Mapping[str, Series]):
    """Every fact of a replayed plan as a series over the samples of all its paths; read when first asked for.

    given: names with one value throughout, beside or in place of facts: limits, and answers to be tried.
    item: the capacitor or instrument that the item facts speak of, None for none.
    """

    def __init__(self, trace: Trace, given: Mapping[str, Value], item: Item | None = None,
                 shared: Facts | None = None) -> None:
        self.trace = trace
        self._given = given
        self.item = item
        self._shared = shared
        self._series: dict[str, Series] = {}

    def about(self, item: Item | None) -> Facts:
        """The same facts, with the item facts speaking of this item."""
        return Facts(self.trace, self._given, item, self) if item else self

    def answered(self, answers: Mapping[str, Value]) -> Facts:
        """The same facts, with some of them answered."""
        return Facts(self.trace, {**self._given, **answers}, self.item, self)

    def __getitem__(self, name: str) -> Series:
        if name not in self._series:
            self._series[name] = self._read(name)
        return self._series[name]

    def __iter__(self) -> Iterator[str]:
        return iter(FACTS)

    def __len__(self) -> int:
        return len(FACTS)

    def value(self, name: str, sample: Sample) -> Value:
        """One fact at one sample."""
        if name in self._given:
            return self._given[name]
        fact = FACTS[name]
        if fact.scope == "plan":
            return fact.read(self.trace.plan)
        if fact.scope == "step":
            return fact.read(self.trace.plan, sample)
        if self.item is None or self.item.kind != fact.scope:
            return not_stated(fact.kind)
        if self.item.record is None:
            return fact.unlisted
        return fact.read(self.trace.plan, sample, self.item)

    def _read(self, name: str) -> Series:
        everywhere = self.trace.timeline.all
        if name in self._given:
            return ((self._given[name], everywhere),)
        scope = FACTS[name].scope
        if self._shared is not None and (scope in ("plan", "step") or self.item is self._shared.item):
            return self._shared[name]
        if scope == "plan":
            return ((FACTS[name].read(self.trace.plan), everywhere),)
        masks: dict[Value, int] = {}
        for sample, mask in self.trace.laid_out:
            value = self.value(name, sample)
            masks[value] = masks.get(value, 0) | mask
        return tuple(masks.items())
