"""The vocabulary of the rules, and the facts of one replayed plan laid out for their evaluation."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property
from typing import Any

from auditor.bench.fact import Fact, Item, Value, not_stated
from auditor.bench.item_facts import ITEM_FACTS
from auditor.bench.plan_facts import PLAN_FACTS
from auditor.bench.reading_facts import READING_FACTS, Foreseen, alike
from auditor.bench.state import State
from auditor.bench.state_facts import STATE_FACTS
from auditor.bench.step_facts import STEP_FACTS
from auditor.bench.trace import Sample, Trace, replay
from auditor.logic.kinds import Kind
from auditor.logic.timeline import Series
from auditor.plan.plan import Plan

FACTS: dict[str, Fact] = {fact.name: fact for fact in (*PLAN_FACTS, *STATE_FACTS, *READING_FACTS, *STEP_FACTS, *ITEM_FACTS)}
VOCABULARY: dict[str, Kind] = {name: fact.kind for name, fact in FACTS.items()}
ITEM_KINDS = ("capacitor", "line_capacitor", "instrument", "registered")


class Replayed:
    """A replayed plan, whose facts are read when first asked for and then kept."""

    def __init__(self, trace: Trace) -> None:
        self.trace = trace
        self._series: dict[tuple[str, Item | None], Series] = {}
        self._foreseen: dict[State, Foreseen] = {}

    def series(self, name: str, item: Item | None) -> Series:
        """A fact over all samples of all paths; `item` is the one that item facts speak of."""
        key = (name, item if FACTS[name].scope in ITEM_KINDS else None)
        if key not in self._series:
            self._series[key] = self._read(FACTS[name], key[1])
        return self._series[key]

    def value(self, name: str, item: Item | None, sample: Sample) -> Value:
        """A fact at one sample."""
        fact, plan = FACTS[name], self.trace.plan
        match fact.scope:
            case "plan":
                return fact.read(plan)
            case "written":
                return fact.read(plan, sample.step)
            case "state":
                return fact.read(plan, sample.state)
            case "reading":
                return fact.read(plan, sample.state, self._foresee(sample.state))
            case "step":
                return fact.read(plan, sample)
        if item is None or item.kind != fact.scope:
            return not_stated(fact.kind)
        return fact.unlisted if item.record is None else fact.read(plan, sample, item)

    def _foresee(self, state: State) -> Foreseen:
        """What the model makes of a state, shared by all that show the same readings."""
        return self._foreseen.setdefault(alike(state), Foreseen(self.trace.plan, state))

    @cached_property
    def _foreseen_states(self) -> tuple[tuple[State, Foreseen, int], ...]:
        """One state of all that show the same readings, with what the model makes of it and the mask of their positions."""
        masks: dict[Foreseen, int] = {}
        for state, mask in self.trace.states:
            foreseen = self._foresee(state)
            masks[foreseen] = masks.get(foreseen, 0) | mask
        return tuple((foreseen.state, foreseen, mask) for foreseen, mask in masks.items())

    def _read(self, fact: Fact, item: Item | None) -> Series:
        plan, read, trace = self.trace.plan, fact.read, self.trace
        match fact.scope:
            case "plan":
                return ((read(plan), trace.timeline.all),)
            case "written":
                return _grouped((read(plan, step), mask) for step, mask in trace.steps)
            case "state":
                return _grouped((read(plan, state), mask) for state, mask in trace.states)
            case "reading":
                return _grouped((read(plan, state, foreseen), mask) for state, foreseen, mask in self._foreseen_states)
            case "step":
                return _grouped((read(plan, sample), mask) for sample, mask in trace.laid_out)
        if item is None or item.record is None or item.kind != fact.scope:
            value = fact.unlisted if item is not None and item.kind == fact.scope else not_stated(fact.kind)
            return ((value, trace.timeline.all),)
        match fact.depends:
            case "nothing":
                return ((read(plan, trace.main[0], item), trace.timeline.all),)
            case "step":
                samples = trace.by_step
            case "state":
                samples = trace.by_state
            case _:
                samples = trace.laid_out
        return _grouped((read(plan, sample, item), mask) for sample, mask in samples)


def replayed(plan: Plan) -> Replayed:
    """The plan replayed along all its paths."""
    return Replayed(replay(plan))


def _grouped(values: Iterable[tuple[Any, int]]) -> Series:
    """The values, each once, with all the samples at which it holds."""
    masks: dict[Value, int] = {}
    for value, mask in values:
        masks[value] = masks.get(value, 0) | mask
    return tuple(masks.items())


class Facts(Mapping[str, Series]):
    """The facts as the rules see them: of one item, beside numbers and answers that hold throughout.

    item: the capacitor or instrument that the item facts speak of, None for none.
    given: limits by name, and answers that are being tried in place of facts.
    """

    def __init__(self, replayed: Replayed, given: Mapping[str, Value], item: Item | None = None) -> None:
        self._replayed = replayed
        self._given = given
        self._item = item

    def answered(self, answers: Mapping[str, Value]) -> Facts:
        """The same facts, with some of them answered."""
        return Facts(self._replayed, {**self._given, **answers}, self._item)

    def value(self, name: str, sample: Sample) -> Value:
        """A fact, or a number or answer given, at one sample."""
        return self._given[name] if name in self._given else self._replayed.value(name, self._item, sample)

    def __getitem__(self, name: str) -> Series:
        if name in self._given:
            return ((self._given[name], self._replayed.trace.timeline.all),)
        return self._replayed.series(name, self._item)

    def __iter__(self) -> Iterator[str]:
        return iter(FACTS)

    def __len__(self) -> int:
        return len(FACTS)
