"""Electrolytics that form: on a supply of their own, or in the set while it runs."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from msgspec import Struct

from auditor.bench.electrical.electrolytic import (
    MOST_WHILE_FORMING,
    formed_current,
    forming_current,
    leakage_limit,
)
from auditor.bench.replay import named_capacitors
from auditor.logic.interval import Interval
from auditor.plan.equipment import FilterCapacitor
from auditor.plan.plan import Plan
from auditor.plan.steps import Step


class Forming(Struct, frozen=True):
    """What a meter in the lead of a capacitor shows while it forms on a supply of its own.

    at_once: the most that can flow, straight on to the voltage of the step [A]. at_first: what may flow of it: no more than
    the step says, nor than a capacitor stands while it forms [A]. at_end: where a good capacitor ends, the one of the step
    that leaks most [A]; None where its capacitance or rating is not stated.
    """

    at_once: float
    at_first: Interval
    at_end: Interval | None

    @property
    def too_much(self) -> bool:
        """Whether the voltage must not be switched on at once, for more would flow than may."""
        return self.at_once > self.at_first.high * (1 + 1e-9)


class Unformed(Struct, frozen=True):
    """Capacitors that form in the set: their names, and what they leak at most when they have formed [A]; None where a
    capacitance or a rating is not stated."""

    names: tuple[str, ...]
    leakage: float | None


def forming(plan: Plan, step: Step) -> Forming | None:
    """What flows in a step that forms capacitors; None in any other, or where its capacitors are not those of the set."""
    capacitors = [c for c in plan.set.filter_capacitors or () if c.name in named_capacitors(step, plan)]
    if step.verb != "reform" or step.to is None or step.through is None or not capacitors:
        return None
    resistance = step.through.resistance
    if resistance.low <= 0.0:
        return None
    at_once = forming_current(step.to.high, resistance.low)
    allowed = min(MOST_WHILE_FORMING, step.at_most.high if step.at_most else at_once)
    limit = _leakage(capacitors, max)
    return Forming(at_once, Interval(0.0, min(at_once, allowed)),
                   None if limit is None else formed_current(step.to, resistance, limit))


def unformed(plan: Plan, done: Iterable[Step]) -> Unformed | None:
    """What is still to form in the set after these steps; None where nothing is.

    What they draw is not added to the readings. The two electrolytics of a table set, 16 and 32 uF at 260 V, leak 2.5 mA at
    most when they have formed (JAN-C-62): 0.6 W, 1.3 % of 50 W, where the watts on the plate are a range of 15 %. One that
    draws more has not formed yet, and no formula says how much; the row says that its current creeps.
    """
    formed: set[str] = set()
    for step in done:
        if step.verb == "reform":
            formed |= named_capacitors(step, plan)
    left = [c for c in plan.set.filter_capacitors or ()
            if c.condition == "reform in this procedure" and c.name not in formed]
    return Unformed(tuple(c.name for c in left), _leakage(left, sum)) if left else None


def _leakage(capacitors: list[FilterCapacitor], together: Callable[[list[float]], float]) -> float | None:
    """Of several capacitors, the most or the sum of their limits [A]; None where one of them does not say enough."""
    limits = [leakage_limit(c.capacitance.high, c.working_voltage.high)
              for c in capacitors if c.capacitance is not None and c.working_voltage is not None]
    return together(limits) if len(limits) == len(capacitors) else None
