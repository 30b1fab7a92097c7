"""What the filter capacitors hold after each step: while there is B+, after power-off, and until they are proved dead."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from auditor.bench.circuit import direct_current, energised, wall
from auditor.bench.described import rated_voltage, supplies
from auditor.bench.electrical.b_plus import MAINS_PEAK
from auditor.bench.electrical.discharge import left_after, stored_energy
from auditor.bench.replay import TESTER, beside_on_b_plus, charged_from, named_capacitors, why_impossible
from auditor.bench.state import State, capacitor_names
from auditor.bench.trace import Sample, Trace
from auditor.bench.written_volts import written_volts
from auditor.logic.interval import Interval
from auditor.logic.truth import Truth
from auditor.plan.equipment import HEATERS_ONLY, FilterCapacitor
from auditor.plan.plan import Plan
from auditor.plan.steps import Step

ZERO = Interval.exactly(0.0)
Volts = Interval | None
Held = dict[str, Volts]


class Stored(Struct, frozen=True):
    """Charge after a step. voltage: over all listed capacitors [V]; energy: of all together [J]; None: cannot be said."""

    voltage: Interval | None
    energy: Interval | None


def stored(trace: Trace, b_plus: Sequence[Interval | None]) -> tuple[Stored, ...]:
    """What is held after every step of the plan as written; b_plus: the reading after each of them [V].

    A capacitor that is not fed keeps all that it had, but for what the resistance stated for B+ takes: loads that are
    not stated may help, and are not relied on, so there may also be nothing left. Nothing is said of what comes back
    by itself after a discharge.
    """
    plan = trace.plan
    held = held_at_start(plan, trace.main[0].state) if trace.main else {}
    results = []
    for sample, reading in zip((s for s in trace.main if s.exit), b_plus, strict=True):
        held = held_after(plan, sample, held, reading)
        results.append(held_together(plan, held))
    return tuple(results)


def held_together(plan: Plan, held: Held) -> Stored:
    """All capacitors of the set: held maps names to volts [V], None where they cannot be said. Heaters alone have none."""
    capacitors = plan.set.filter_capacitors
    if plan.set.power_supply == HEATERS_ONLY:
        return Stored(ZERO, ZERO)
    if capacitors is None or any(held.get(c.name) is None for c in capacitors):
        return Stored(None, None)
    voltages = [volts for c in capacitors if (volts := held[c.name]) is not None]
    if not voltages:
        return Stored(ZERO, ZERO)
    whole = voltages[0]
    for volts in voltages[1:]:
        whole = whole.hull(volts)
    if whole == ZERO:
        return Stored(ZERO, ZERO)
    if any(c.capacitance is None for c in capacitors):
        return Stored(whole, None)
    farads = [c.capacitance for c in capacitors if c.capacitance is not None]
    pairs = list(zip(farads, voltages, strict=True))
    return Stored(whole, Interval(sum(stored_energy(f.low, v.low) for f, v in pairs),
                                  sum(stored_energy(f.high, v.high) for f, v in pairs)))


def fed(plan: Plan, b_plus: Interval | None) -> Held:
    """The volts of every capacitor while B+ stands at this [V]; one that states its own highest has up to that."""
    return {c.name: Interval(0.0, c.peak_voltage.high) if c.peak_voltage else b_plus
            for c in plan.set.filter_capacitors or ()}


def held_at_start(plan: Plan, state: State) -> Held:
    """Nothing where the set has stood long enough; else up to the most that an earlier run can have left."""
    most = fed(plan, most_b_plus(plan))
    return {name: ZERO if state.may_be_charged(name) is Truth.FALSE else _or_less(most[name])
            for name in capacitor_names(plan)}


def most_b_plus(plan: Plan) -> Interval | None:
    """B+ at its peak on the highest wall [V]: of what can make it, else as the plan states it."""
    voltage, here = rated_voltage(plan), wall(plan)
    stated = plan.set.b_plus_peak or plan.set.b_plus
    peaks = [supply.peak.high for supply in supplies(plan, State())] or ([stated.high] if stated else [])
    if direct_current(plan) and voltage is not None:  # it may have run on alternating current before
        peaks = [*peaks, *([stated.high] if stated else []), voltage.high * MAINS_PEAK.high]
    if voltage is None or not peaks or here.is_anything:
        return None
    return Interval(0.0, max(peaks) * here.high / voltage.low)


def _or_less(volts: Volts) -> Volts:
    return None if volts is None else Interval(0.0, max(volts.high, 0.0))


def held_after(plan: Plan, sample: Sample, held: Held, b_plus: Interval | None) -> Held:
    """The volts of every capacitor after a step. held: before it; b_plus: the reading at its end [V]."""
    step, state = sample.step, sample.state
    left = {name: _decayed(plan, volts, sample.elapsed) for name, volts in held.items()}
    powered = energised(plan, state)
    if powered is not Truth.FALSE:
        now = fed(plan, most_b_plus(plan) if b_plus is None else b_plus)
        return {name: _topped(left[name], now[name], powered is Truth.TRUE) for name in left}
    if why_impossible(sample.before, step, plan) is not None:
        return left
    source = charged_from(step, plan)
    if source is not None:
        now = by_tester(plan, step) if source == TESTER else fed(plan, most_b_plus(plan))
        return {name: _topped(left[name], now[name], False) for name in left}
    names = named_capacitors(step, plan) & left.keys()
    by_name = {c.name: c for c in plan.set.filter_capacitors or ()}
    if step.verb == "discharge":
        return {**left, **{name: _through_tool(sample, left[name], by_name[name]) for name in names}}
    if step.verb == "prove_dead" and step.below is not None:
        return {**left, **{name: _at_most(left[name], step.below.high) for name in names}}
    if step.verb == "reform" and step.to is not None:
        reached = names | (beside_on_b_plus(step, plan) & left.keys())
        return {**left, **{name: _topped(left[name], step.to, False) for name in reached}}
    return left


def by_tester(plan: Plan, step: Step) -> Held:
    """The volts of every capacitor that an insulation tester leaves: those that `how` gives, the most of several; they
    cannot be said where it gives none. One that states its own highest is not on B+, and is met only by its name."""
    volts = max(written_volts(step.how or ""), default=None)
    given = None if volts is None else Interval(0.0, volts)
    return {**fed(plan, given), **{name: given for name in capacitor_names(plan) if name == step.across}}


def _topped(left: Volts, now: Volts, sure: bool) -> Volts:
    """What a capacitor holds that had this much left and is fed with that: the higher of the two, at the most."""
    if left is None or now is None:
        return None
    return Interval(max(now.low, 0.0) if sure else 0.0, max(left.high, now.high))


def _at_most(volts: Volts, bound: float) -> Volts:
    return Interval(0.0, bound if volts is None else min(volts.high, bound))


def _decayed(plan: Plan, volts: Volts, time: Interval) -> Volts:
    """After this time [s] through the resistance from B+ to its return, where it is stated, with all capacitors on it."""
    farads = [c.capacitance for c in plan.set.filter_capacitors or ()]
    resistance = plan.set.b_plus_resistance
    if volts is None or resistance is None or any(f is None for f in farads):
        return _or_less(volts)
    whole = Interval(0.0, sum(f.high for f in farads if f is not None))
    return _or_less(left_after(_or_less(volts) or ZERO, resistance, whole, Interval(time.low, time.low)))


def _through_tool(sample: Sample, volts: Volts, capacitor: FilterCapacitor) -> Volts:
    """After a discharge through the stated resistor for the stated time; one that does not state them is not relied on."""
    step = sample.step
    if volts is None or step.through is None or step.lasting is None or capacitor.capacitance is None:
        return volts
    time = Interval.exactly(step.lasting.low)
    return _or_less(left_after(volts, step.through.resistance, capacitor.capacitance, time))
