"""How long each filter capacitor takes to be made dead, wherever the procedure ends."""

from __future__ import annotations

from collections.abc import Sequence
from math import isinf

from msgspec import Struct

from auditor.bench.electrical.discharge import discharge_time
from auditor.bench.forecast import Row
from auditor.bench.replay import named_capacitors
from auditor.bench.state import capacitor_names
from auditor.bench.stored_charge import fed, held_after, held_at_start, most_b_plus
from auditor.bench.trace import Trace
from auditor.logic.interval import Interval
from auditor.plan.equipment import FilterCapacitor
from auditor.plan.plan import Plan
from auditor.plan.steps import Resistor, Step


class MakingDead(Struct, frozen=True):
    """How one capacitor is made dead, out of the plan's last words on it.

    holds: the most that it may hold at any moment, and so wherever the attempt is stopped: the peak of B+ on the highest
    wall, or what it had before [V]; None where that cannot be said. through, planned: the resistor that discharges it and
    how long that stays on it, as the plan states them [s].
    below: what the plan takes as dead [V]. Each None where the plan does not state it.
    takes: after how long at most no more than `below` is left through the resistor [s]; alone: the same with nothing on it
    but the resistance that is stated for B+, together with all other capacitors [s]. None where too little is stated.
    """

    name: str
    holds: float | None
    through: Resistor | None
    planned: Interval | None
    below: float | None
    takes: float | None
    alone: float | None


def making_dead(trace: Trace, rows: Sequence[Row]) -> tuple[MakingDead, ...]:
    """Every listed filter capacitor; rows: what `forecast` makes of the same trace."""
    most = _most_held(trace, rows)
    return tuple(_one(capacitor, most[capacitor.name], trace.plan) for capacitor in trace.plan.set.filter_capacitors or ())


def _most_held(trace: Trace, rows: Sequence[Row]) -> dict[str, float | None]:
    """The most that each capacitor holds at any time [V]; None as soon as it cannot be said."""
    plan = trace.plan
    held = held_at_start(plan, trace.main[0].state) if trace.main else {}
    # Stopped at the worst moment of a hold, before the tubes draw, the capacitors have the peak.
    moments = [held, fed(plan, most_b_plus(plan))] if any(row.powered for row in rows) else [held]
    for sample, row in zip((s for s in trace.main if s.exit), rows, strict=True):
        held = held_after(plan, sample, held, row.readings.b_plus)
        moments.append(held)
    most: dict[str, float | None] = {}
    for name in capacitor_names(plan):
        volts = [moment.get(name) for moment in moments]
        known = [one.high for one in volts if one is not None and not isinf(one.high)]
        most[name] = max(known) if len(known) == len(volts) else None
    return most


def _one(capacitor: FilterCapacitor, holds: float | None, plan: Plan) -> MakingDead:
    discharge, proof = _last(plan, "discharge", capacitor.name), _last(plan, "prove_dead", capacitor.name)
    through = discharge.through if discharge else None
    below = proof.below.high if proof and proof.below else None
    takes = _time(holds, below, through.resistance if through else None, capacitor.capacitance)
    alone = _time(holds, below, plan.set.b_plus_resistance, _together(plan)) if capacitor.peak_voltage is None else None
    return MakingDead(capacitor.name, holds, through, discharge.lasting if discharge else None, below, takes, alone)


def _last(plan: Plan, verb: str, name: str) -> Step | None:
    """The last step of this kind that names the capacitor."""
    return next((step for step in reversed(plan.steps) if step.verb == verb and name in named_capacitors(step, plan)), None)


def _together(plan: Plan) -> Interval | None:
    """All that hangs on B+ [F]; None where one of them is not stated."""
    farads = [c.capacitance for c in plan.set.filter_capacitors or () if c.peak_voltage is None]
    if any(one is None for one in farads):
        return None
    return Interval(sum(one.low for one in farads if one is not None), sum(one.high for one in farads if one is not None))


def _time(holds: float | None, below: float | None, resistance: Interval | None, capacitance: Interval | None
          ) -> float | None:
    if holds is None or below is None or below <= 0.0 or resistance is None or capacitance is None:
        return None
    time = discharge_time(Interval(0.0, holds), below, resistance, capacitance).high
    return None if isinf(time) else time
