"""What will be read at every step of a plan, on a healthy set."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from auditor.bench.circuit import dial_output, energised, wall
from auditor.bench.described import lamp_voltage, rated_voltage, set_loads, supplies
from auditor.bench.electrical.heaters import RECTIFIER_WARM
from auditor.bench.electrical.load import SetLoad
from auditor.bench.forming import Forming, Unformed, forming, unformed
from auditor.bench.prediction import TRANSISTORS_SETTLE, Readings, at_first, settled, unsettled
from auditor.bench.state import State, initial_state
from auditor.bench.stored_charge import Stored, fed, held_together, stored
from auditor.bench.trace import Sample, Trace
from auditor.bench.usual_loads import Load
from auditor.logic.interval import Interval
from auditor.logic.truth import Truth
from auditor.plan.chain import Lamp
from auditor.plan.plan import Plan
from auditor.plan.steps import Step

COLD_HEATERS_SHOW = Interval(10.0, 30.0)
"""How long cold heaters make the lamp brighter, or the current higher, than it stays [s] (common practice). Without
tubes only the reservoir has to fill, which takes as long as the set takes to settle."""
READ_AFTER = TRANSISTORS_SETTLE.high
"""Nobody reads a meter sooner than this after turning the dial [s]: reservoirs have filled by then. A choice."""
NO_HOLD = Interval.exactly(0.0)


class Start(Struct, frozen=True):
    """The first moments of a set to which power comes, should everything in it be cold.

    readings: once the lamp itself has warmed; lasting: until they are those of a set that is about to settle [s].
    """

    readings: Readings
    lasting: Interval


class Row(Struct, frozen=True):
    """One step, or a stage of it, and what is read at the end of its hold.

    step: None for a question about a setting that is no step. dial: the mark [V], or what it must be where the set was
    brought to a reading. hold [s]. settled: whether all is sure to have settled by then; if not, the readings reach
    from cold to settled. start: where power comes on in this step. conducts: from full volts to the first conduction of
    a tube rectifier, where there can be B+ [s]. stored: what the capacitors then hold. widest: what makes the volts at
    the set uncertain the most, in words. forming: what flows into a capacitor that this step forms on a supply of its own.
    unformed: what is still to form in the set, where it has B+.
    """

    step: Step | None
    dial: Interval | None
    readings: Readings
    hold: Interval | None
    settled: bool
    start: Start | None
    conducts: Interval | None
    stored: Stored
    widest: str | None
    powered: bool
    forming: Forming | None = None
    unformed: Unformed | None = None


def forecast(trace: Trace) -> tuple[Row, ...]:
    """A row for every step of the plan as written, as it stands at the end of the step."""
    plan, exits = trace.plan, [sample for sample in trace.main if sample.exit]
    stood = _stood(plan, exits)
    read = [(goal, goal) if _sure(plan, sample.state, goal, time) else (goal, unsettled(plan, sample.state))
            for sample, (goal, time) in zip(exits, stood, strict=True)]
    held = stored(trace, [readings.b_plus for _, readings in read])
    rows = [_row(plan, sample.state, sample.step, goal, readings, charge, _comes_on(plan, sample))
            for sample, (goal, readings), charge in zip(exits, read, held, strict=True)]
    done = [sample.step for sample in exits]
    return tuple(
        replace(row, forming=forming(plan, sample.step), unformed=unformed(plan, done[:k]) if _has_b_plus(row) else None)
        for k, (row, sample) in enumerate(zip(rows, exits, strict=True)))


def _has_b_plus(row: Row) -> bool:
    """Whether the set runs and may have B+."""
    return row.powered and (row.readings.b_plus is None or row.readings.b_plus.high > 0.0)


def _row(plan: Plan, state: State, step: Step | None, goal: Readings, readings: Readings, charge: Stored,
         comes_on: bool) -> Row:
    powered = energised(plan, state) is not Truth.FALSE
    return Row(step, _mark(plan, state, goal), readings, step.hold if step else None, readings is goal,
               _start(plan, state) if comes_on else None, _conducts(plan, state, readings), charge,
               goal.widest("set_voltage") if powered else None, powered)


def at_setting(plan: Plan, dial: Interval | None, lamp_power: Interval | None) -> Row:
    """What would be read with everything on at this dial setting [V] and through a lamp of this power [W].

    Where one is not given it is what the plan begins with: the rated voltage, the lamp in the holder.
    """
    begin = initial_state(plan)
    lamp = begin.lamp
    if lamp_power is not None:
        lamp = Lamp(power=lamp_power, voltage=lamp_voltage(plan, lamp), kind="clear filament")
    state = State(
        plugged=frozenset({"bench", "set"}), on=frozenset({"outlet", "limiter", "set"}),
        dial=dial or rated_voltage(plan), lamp=lamp,
        bypass_closed=Truth.FALSE if lamp else Truth.TRUE,
        charged=begin.charged, connected=begin.connected)
    readings = settled(plan, state)
    return _row(plan, state, None, readings, readings, held_together(plan, fed(plan, readings.b_plus)),
                energised(plan, state) is not Truth.FALSE)


def _stood(plan: Plan, exits: list[Sample]) -> list[tuple[Readings, float]]:
    """For every step what it settles to, and for how long the bench has surely stood so at its end [s]."""
    stood: list[tuple[Readings, float]] = []
    for sample in exits:
        goal = settled(plan, sample.state)
        same = bool(stood) and stood[-1][0] == goal and not _comes_on(plan, sample)
        # Of the step that changes something only its hold is sure to come after the change.
        stood.append((goal, stood[-1][1] + sample.elapsed.low if same else (sample.step.hold or NO_HOLD).low))
    return stood


def _sure(plan: Plan, state: State, goal: Readings, time: float) -> bool:
    """Whether all has surely settled when it is read after this time [s]."""
    if energised(plan, state) is Truth.FALSE or goal.settling_time is None:
        return True
    return time + READ_AFTER >= goal.settling_time.high


def _comes_on(plan: Plan, sample: Sample) -> bool:
    """Whether volts reach the set after this step and may not have reached it before."""
    return energised(plan, sample.state) is not Truth.FALSE and energised(plan, sample.before) is not Truth.TRUE


def _start(plan: Plan, state: State) -> Start | None:
    loads = set_loads(plan, state)
    readings = at_first(plan, state)
    if readings.current is None or not loads:
        return None
    heaters = [_has_heaters(load) for load in loads]
    lasting = COLD_HEATERS_SHOW if any(heaters) else TRANSISTORS_SETTLE
    return Start(readings, lasting if all(heaters) or not any(heaters) else lasting.hull(TRANSISTORS_SETTLE))


def _conducts(plan: Plan, state: State, readings: Readings) -> Interval | None:
    found = supplies(plan, state)
    if readings.b_plus is None or readings.b_plus.high <= 0.0 or not any(supply.needs_heat for supply in found):
        return None
    heater = plan.set.rectifier.heater if plan.set.rectifier else None
    return RECTIFIER_WARM[heater] if heater else RECTIFIER_WARM["direct"].hull(RECTIFIER_WARM["indirect"])


def _has_heaters(load: Load) -> bool:
    return isinstance(load, SetLoad) and load.shape.heater_share.high > 0.0


def _mark(plan: Plan, state: State, readings: Readings) -> Interval | None:
    """The mark on the dial [V]; without a dial, the wall."""
    if plan.dial is None:
        return dial_output(plan, state)
    nominal, source = plan.mains.voltage, readings.source_voltage
    if state.set_reading is None or state.dial is None or nominal is None or source is None:
        return state.dial
    # The mark moves with the wall, and stays where the replay knows it to be.
    here = wall(plan)
    mark = Interval(source.low * nominal.low / here.high, source.high * nominal.high / here.low)
    return mark.meet(state.dial) or state.dial
