"""What a fact is: a name that rules may use, its kind, its meaning, and how it is read from the replay."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from msgspec import Struct

from auditor.bench.state import State
from auditor.bench.trace import Sample
from auditor.logic.dimension import DIMENSIONS
from auditor.logic.interval import ANYTHING, Interval
from auditor.logic.kinds import TRUTH, Kind, NumberKind, TruthKind, WordKind
from auditor.logic.truth import Truth
from auditor.plan.plan import Plan
from auditor.plan.steps import Step

Value = Truth | Interval | str | None

NO_CEILING = 1e15
"""Stands for no upper limit where a fact must be one number, in whatever unit."""

UNLISTED = "one that is not listed"
"""The name of the item that stands for whatever an open list leaves out."""


class Item(Struct, frozen=True):
    """One capacitor, line capacitor or instrument of the plan; record None stands for those not listed."""

    kind: str
    name: str
    index: int
    record: Any


class Fact(Struct, frozen=True):
    """A fact of the vocabulary.

    scope: what it is read from, beside the plan: nothing (`plan`), the step as written (`written`), the state
    (`state`), the state and what the electrical model makes of it (`reading`), the sample (`step`), or an item of this
    kind and the sample.
    asks: the lines of the plan that would state it, as dotted paths; `[]` stands for the item's index.
    unlisted: its value for an item that an open list leaves out. No step can name such an item, so what steps do
    to it is false; what it is, nobody states.
    depends: of the sample, what an item fact is read from: nothing, the step as written, the state, or all of it.
    """

    name: str
    kind: Kind
    meaning: str
    scope: str
    read: Callable[..., Value]
    asks: tuple[str, ...] = ()
    unlisted: Value = None
    depends: str = "sample"

    @property
    def constant(self) -> bool:
        """Whether an item fact is the same at every step."""
        return self.depends == "nothing"


def not_stated(kind: Kind) -> Value:
    """The value of a fact that nobody states."""
    return Truth.UNKNOWN if isinstance(kind, TruthKind) else ANYTHING if isinstance(kind, NumberKind) else None


def number(value: Interval | None) -> Interval:
    """A stated quantity; not stated is anything."""
    return ANYTHING if value is None else value


def stated(kind: Kind, value: Any) -> Value:
    """A stated value as a fact of this kind has it; None is not stated."""
    return not_stated(kind) if value is None else Truth.of(value) if isinstance(kind, TruthKind) else value


def quantity(kind: str) -> NumberKind:
    return NumberKind(DIMENSIONS[kind])


def words(*choice: str) -> WordKind:
    return WordKind(choice)


__all__ = ["NO_CEILING", "TRUTH", "UNLISTED", "Fact", "Item", "ItemReader", "PlanReader", "ReadingReader", "StateReader",
           "StepReader", "Value", "WrittenReader", "not_stated",
           "number", "quantity", "stated", "words"]

PlanReader = Callable[[Plan], Value]
WrittenReader = Callable[[Plan, Step], Value]
StateReader = Callable[[Plan, State], Value]
ReadingReader = Callable[[Plan, State, Any], Value]
StepReader = Callable[[Plan, Sample], Value]
ItemReader = Callable[[Plan, Sample, Item], Value]
