"""What can be read on the bench in a state, when all has settled and the set is healthy."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields
from functools import partial

from auditor.bench import described
from auditor.bench.circuit import cord_live, dial_output, energised, limiter_in
from auditor.bench.electrical.b_plus import b_plus
from auditor.bench.electrical.heaters import settling_time
from auditor.bench.electrical.lamp import glow_words, rated_temperature, relative_light
from auditor.bench.electrical.load import SetLoad
from auditor.bench.electrical.ranges import Circuit, LampBand, Settled, brought_to, widest_input
from auditor.bench.electrical.ranges import settled as settle_circuit
from auditor.bench.electrical.switching import switching_brought_to, switching_settled
from auditor.bench.electrical.tungsten import ROOM
from auditor.bench.state import State
from auditor.logic.interval import Interval
from auditor.logic.truth import Truth
from auditor.plan.plan import Plan

ZERO = Interval.exactly(0.0)
NOTHING = Settled(ZERO, ZERO, ZERO, ZERO, ZERO, Interval.exactly(ROOM), ZERO)
GLOW_TRUSTED_FROM = 0.30
"""Dial over the lamp's rated volts below which glow cannot tell a short from a healthy set (common practice): the
short then shows the dull red that a healthy set shows at full dial."""
DIRECT_SHARE = Interval(0.15, 0.35)
"""Direct current over rms current of a half-wave set without a transformer: 0.24 to 0.31 in three computed sets."""
TRANSISTORS_SETTLE = Interval(0.1, 2.0)
"""Lamp filament and reservoir of a set without tubes [s]: 0.1 s for a 100 W lamp, some cycles for the reservoir."""


@dataclass(frozen=True)
class Readings:
    """What a healthy set and its lamp show when all has settled; None for what cannot be said.

    set_voltage [V], current [A rms], set_power [W]; lamp_voltage [V], lamp_power [W], filament_temperature [K],
    relative_light (1 at the rated volts), glow: every word that fits, from the darkest; b_plus [V]; source_voltage:
    of the dial with nothing drawn, or what it must be for the reading that the set was brought to [V]; brush_load,
    isolating_load: over the rating; direct_current: through the source, of a half-wave set [A]; settling_time [s];
    running_points: how many a switching supply can have; notes: in plain words.
    """

    set_voltage: Interval
    current: Interval | None = None
    set_power: Interval | None = None
    lamp_voltage: Interval | None = None
    lamp_power: Interval | None = None
    filament_temperature: Interval | None = None
    relative_light: Interval | None = None
    glow: tuple[str, ...] = ()
    b_plus: Interval | None = None
    source_voltage: Interval | None = None
    brush_load: Interval | None = None
    isolating_load: Interval | None = None
    direct_current: Interval | None = None
    settling_time: Interval | None = None
    running_points: tuple[int, ...] = ()
    notes: tuple[str, ...] = ()
    cases: tuple[tuple[Circuit, Interval | None], ...] = ()

    def widest(self, reading: str) -> str | None:
        """What would narrow this reading the most if it were known exactly, in words; None where nothing would.

        reading: `set_voltage`, `current`, `set_power`, `lamp_voltage`, `lamp_power` or `source_voltage`.
        """
        if len(self.cases) != 1:
            return "what kind of supply the set has, or how it is fed" if self.cases else None
        (circuit, brought), = self.cases
        compute = settle_circuit if brought is None else partial(brought_to, brought)
        return widest_input(circuit, reading, compute)


def settled(plan: Plan, state: State) -> Readings:
    """The readings in this state, each the whole range that wall, lamp and a healthy set can make it."""
    if cord_live(plan, state) is Truth.FALSE:
        return _dark(plan, state)
    source = dial_output(plan, state)
    refusal = described.why_no_law(plan)
    lamps = _lamps(plan, state)
    if source.high == float("inf") or refusal is not None or lamps is None:
        return _bounds_only(plan, state, source, refusal)
    if cord_live(plan, state) is Truth.UNKNOWN and not lamps:
        return _bounds_only(plan, state, source, "whether current can pass the limiter is not known")
    circuits = [Circuit(source, described.resistance(plan), lamp, load) for lamp in lamps
                for load in _loads(plan, state) if isinstance(load, SetLoad)]
    results = [_one(circuit, state.set_reading) for circuit in circuits]
    points: set[int] = set()
    for lamp in lamps:
        for load in _loads(plan, state):
            if not isinstance(load, SetLoad):
                idle = SetLoad(Interval.exactly(1.0), ZERO, described.IRON_ALONE)
                circuit = Circuit(source, described.resistance(plan), lamp, idle)
                if state.set_reading is not None:
                    results.append(switching_brought_to(state.set_reading, circuit, load))
                else:
                    found, counts = switching_settled(circuit, load)
                    results.append(found)
                    points.update(counts)
    cases = tuple((c, state.set_reading) for c in circuits) if len(results) == len(circuits) else ()
    whole = _hull([*results, *([NOTHING] if cord_live(plan, state) is Truth.UNKNOWN else [])])
    return _readings(plan, state, lamps, whole, tuple(sorted(points)), cases)


def _one(circuit: Circuit, reading: Interval | None) -> Settled:
    return settle_circuit(circuit) if reading is None else brought_to(reading, circuit)


def _lamps(plan: Plan, state: State) -> tuple[LampBand | None, ...] | None:
    """The lamps that can be in the way of the current, None for a set that is fed directly; None for no model of it."""
    through = limiter_in(plan, state)
    if through is Truth.FALSE:
        return (None,)
    lamp = described.lamp_band(plan, state)
    if lamp is None:
        return None
    return (lamp,) if through is Truth.TRUE else (lamp, None)


def _loads(plan: Plan, state: State) -> tuple[described.Load, ...]:
    voltage = described.rated_voltage(plan)
    assert voltage is not None
    off = SetLoad(voltage, ZERO, described.IRON_ALONE)
    live = energised(plan, state)
    if live is Truth.FALSE:
        return (off,)
    loads = described.set_loads(plan, state)
    # A cord that may be dead is met by the hull with nothing; a switch that may be off, by a set that draws nothing.
    return (*loads, off) if live is Truth.UNKNOWN and cord_live(plan, state) is Truth.TRUE else loads


def _hull(results: Iterable[Settled]) -> Settled:
    first, *rest = results
    for other in rest:
        first = Settled(*(getattr(first, f.name).hull(getattr(other, f.name)) for f in fields(Settled)))
    return first


def _dark(plan: Plan, state: State) -> Readings:
    charged = any(truth is not Truth.FALSE for _, truth in state.charged)
    return Readings(ZERO, ZERO, ZERO, ZERO, ZERO, Interval.exactly(ROOM), ZERO, ("dark",), None if charged else ZERO,
                    brush_load=ZERO, isolating_load=ZERO, settling_time=ZERO)


def _bounds_only(plan: Plan, state: State, source: Interval, why: str | None) -> Readings:
    """No law for the lamp or the set: only that the set gets no more than the dial gives."""
    if state.set_reading is not None:
        volts = state.set_reading
    else:
        direct = limiter_in(plan, state) is Truth.FALSE and cord_live(plan, state) is Truth.TRUE
        volts = source if direct else Interval(0.0, source.high)
    return Readings(volts, source_voltage=source, notes=(why,) if why else ())


def _readings(plan: Plan, state: State, lamps: tuple[LampBand | None, ...], whole: Settled, points: tuple[int, ...],
              cases: tuple[tuple[Circuit, Interval | None], ...]) -> Readings:
    lamp = next((band for band in lamps if band is not None), None)
    source, notes = whole.source_voltage, []
    if state.set_reading is not None:
        top = dial_output(plan, state).high
        if source.low > top:
            notes.append(f"the dial ends at {top:.0f} V; the set would need {source.low:.0f} V of it to get there")
        source = Interval(min(source.low, top), min(source.high, top))
    if lamp is not None and source.high < GLOW_TRUSTED_FROM * lamp.voltage.low:
        notes.append("so low on the dial, glow tells nothing: compare the volts at the set with those of the dial")
    if 0 in points and points != (0,):
        notes.append("the supply may find no running point behind this lamp: it would start and fall off again")
    lamp_voltage = whole.lamp_voltage if lamp is None or lamp.ratio == Interval.exactly(1.0) else None
    warm = energised(plan, state) is not Truth.FALSE
    return Readings(
        whole.set_voltage, whole.current, whole.set_power, lamp_voltage, whole.lamp_power, whole.temperature,
        ZERO if lamp is None else _light(lamp, whole.temperature),
        glow_words(whole.temperature.low, whole.temperature.high), _b_plus(plan, state, whole, lamp), source,
        _over(whole.current, plan, "autotransformer", "rated_current"),
        _over(Interval(source.low * whole.current.low, source.high * whole.current.high), plan,
              "isolating_transformer", "rated_power"),
        _direct_current(plan, whole, warm), _settling_time(plan, lamp is not None) if warm else ZERO,
        points, tuple(notes), cases)


def _light(lamp: LampBand, temperature: Interval) -> Interval:
    rated = rated_temperature((lamp.power.low + lamp.power.high) / 2, lamp.voltage.high)
    return Interval(relative_light(temperature.low, rated), relative_light(temperature.high, rated))


def _b_plus(plan: Plan, state: State, whole: Settled, lamp: LampBand | None) -> Interval | None:
    supply, voltage = described.supply(plan, state), described.rated_voltage(plan)
    if supply is None or voltage is None or energised(plan, state) is not Truth.TRUE:
        return None
    if "rectifier tube" in state.out or (whole.current == ZERO):
        return ZERO
    return b_plus(supply, voltage, whole.set_voltage, lamp is not None)


def _over(value: Interval, plan: Plan, kind: str, rating: str) -> Interval | None:
    """A load over the stated rating of an element of the chain; None where it states none."""
    record = plan.record(kind)
    stated: Interval | None = getattr(record, rating) if record is not None else None
    if stated is None or stated.low <= 0.0:
        return None
    return Interval(value.low / stated.high, value.high / stated.low)


def _direct_current(plan: Plan, whole: Settled, warm: bool) -> Interval | None:
    if plan.set.power_supply != "transformerless" or not warm:
        return None
    return Interval(0.0, whole.current.high * DIRECT_SHARE.high)


def _settling_time(plan: Plan, through_lamp: bool) -> Interval:
    tubes = settling_time(through_lamp)
    if plan.set.output == "transistor" or plan.set.power_supply == "switching":
        return TRANSISTORS_SETTLE
    stated = plan.set.output == "tube" or plan.set.heaters is not None
    return tubes if stated else tubes.hull(TRANSISTORS_SETTLE)
