"""What every step of a plan will read on a healthy set, and what a lamp would do for it."""

from __future__ import annotations

from dataclasses import dataclass

from auditor.bench.circuit import dial_output, energised
from auditor.bench.described import rated_voltage
from auditor.bench.electrical.discharge import stored_energy
from auditor.bench.electrical.fault import most_heat, through_a_short
from auditor.bench.electrical.lamp import glow, series_lamp
from auditor.bench.electrical.operating_point import Source
from auditor.bench.prediction import Readings, settled
from auditor.bench.state import State, initial_state
from auditor.bench.trace import Trace
from auditor.logic.interval import Interval
from auditor.logic.truth import Truth
from auditor.plan.chain import Lamp
from auditor.plan.plan import Plan
from auditor.plan.steps import Step

LAMP_SIZES = (15.0, 25.0, 40.0, 60.0, 75.0, 100.0, 150.0, 200.0, 300.0)
"""Rated watts of the lamps that are sold [W] (common practice)."""
FIRST_LOOK = Interval(0.5, 1.5)
RUNNING = Interval(2.0, float("inf"))
"""Watts of the lamp over those of the set, for the first look and for running on the lamp (common practice; at twice
the watts a healthy set gets about four fifths of its voltage, by calculation)."""


@dataclass(frozen=True)
class Row:
    """One step, or a stage of it, and what is read when it has settled.

    step: None for a question about a setting that is no step. dial: the mark [V]. hold [s].
    stored_energy: what all listed capacitors together hold at this B+ [J].
    """

    step: Step | None
    dial: Interval | None
    readings: Readings
    hold: Interval | None
    stored_energy: Interval | None
    powered: bool


@dataclass(frozen=True)
class LampChoice:
    """One size of lamp behind the full supply: power [W]; what a healthy set gets [V] and how the lamp then looks;
    a dead short's current [A] and look; the most heat that a soft fault can receive [W]; what the size serves for."""

    power: float
    set_voltage: Interval
    healthy_glow: tuple[str, ...]
    short_current: float
    short_glow: str
    most_heat: float
    first_look: Truth
    running: Truth


def forecast(trace: Trace) -> tuple[Row, ...]:
    """A row for every step of the plan as written, as it stands on exit."""
    known: dict[int, Readings] = {}
    rows = []
    for sample in trace.main:
        if sample.exit:
            readings = known.get(id(sample.state)) or settled(trace.plan, sample.state)
            known[id(sample.state)] = readings
            rows.append(_row(trace.plan, sample.state, sample.step, readings))
    return tuple(rows)


def at_setting(plan: Plan, dial: Interval | None, lamp_power: Interval | None) -> Row:
    """What would be read with everything on at this dial setting [V] and through a lamp of this power [W].

    Where one is not given it is what the plan begins with: the rated voltage, the lamp in the holder.
    """
    start = initial_state(plan)
    lamp = start.lamp
    if lamp_power is not None:
        lamp = Lamp(power=lamp_power, voltage=(lamp.voltage if lamp else None) or plan.mains.voltage,
                    kind="clear filament")
    state = State(
        plugged=frozenset({"bench", "set"}), on=frozenset({"outlet", "limiter", "set"}),
        dial=dial or rated_voltage(plan), lamp=lamp,
        bypass_closed=Truth.FALSE if lamp else Truth.TRUE,
        charged=start.charged, connected=start.connected)
    return _row(plan, state, None, settled(plan, state))


def lamp_choices(plan: Plan) -> tuple[LampChoice, ...]:
    """Every common size of lamp for this set at its rated voltage; none where the set or its voltage is not known."""
    voltage = rated_voltage(plan)
    if voltage is None or plan.set.rated_power is None:
        return ()
    return tuple(_choice(plan, watts, voltage.high, plan.set.rated_power) for watts in LAMP_SIZES)


def _choice(plan: Plan, watts: float, volts: float, set_power: Interval) -> LampChoice:
    nominal = (plan.mains.voltage or Interval.exactly(volts)).high
    row = at_setting(plan, Interval.exactly(volts), Interval.exactly(watts))
    lamp, source = series_lamp(watts, nominal), Source(volts)
    short, fault = through_a_short(source, lamp), most_heat(source, lamp)
    ratio = Interval.exactly(watts) / set_power
    return LampChoice(
        watts, row.readings.set_voltage, row.readings.glow, short.current, glow(short.temperature),
        fault.set_voltage * fault.current,
        ratio.at_least(Interval.exactly(FIRST_LOOK.low)) & ratio.at_most(Interval.exactly(FIRST_LOOK.high)),
        ratio.at_least(Interval.exactly(RUNNING.low)))


def _row(plan: Plan, state: State, step: Step | None, readings: Readings) -> Row:
    powered = energised(plan, state) is not Truth.FALSE
    return Row(step, state.dial if plan.has("autotransformer") else dial_output(plan, state), readings,
               step.hold if step else None, _energy(plan, readings.b_plus), powered)


def _energy(plan: Plan, b_plus: Interval | None) -> Interval | None:
    """Of all listed filter capacitors at this B+ [J]; None where a capacitance or B+ is not known."""
    capacitors = plan.set.filter_capacitors
    if b_plus is None or not capacitors or any(c.capacitance is None for c in capacitors):
        return None
    least = sum(stored_energy(c.capacitance.low, b_plus.low) for c in capacitors if c.capacitance)
    most = sum(stored_energy(c.capacitance.high, b_plus.high) for c in capacitors if c.capacitance)
    return Interval(least, most)
