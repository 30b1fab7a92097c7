"""What can be read on the bench in a state, when all has settled and the set is healthy."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from math import inf

from msgspec import Struct
from msgspec.structs import fields, replace

from auditor.bench import described, usual_loads
from auditor.bench.circuit import cord_live, dial_output, direct_current, energised, limiter_in, wall
from auditor.bench.electrical.b_plus import b_plus
from auditor.bench.electrical.heaters import settling_time
from auditor.bench.electrical.lamp import glow_words
from auditor.bench.electrical.lamp_band import LampBand
from auditor.bench.electrical.load import SetLoad
from auditor.bench.electrical.motor import Behaviour, starts_at
from auditor.bench.electrical.motor import standing as standing_still
from auditor.bench.electrical.ranges import Circuit, Settled, brought_to, widest_input
from auditor.bench.electrical.ranges import settled as settle_circuit
from auditor.bench.electrical.several_lamps import LampBands
from auditor.bench.electrical.switching import SwitchingLoad, switching_brought_to, switching_settled
from auditor.bench.electrical.tungsten import ROOM
from auditor.bench.state import State
from auditor.logic.interval import Interval
from auditor.logic.truth import Truth
from auditor.plan.equipment import HEATERS_ONLY
from auditor.plan.plan import Plan

ZERO = Interval.exactly(0.0)
ANY_VOLTS = Interval(0.0, inf)
NO_MOTOR = Behaviour(True, None, ANY_VOLTS)
SEVERAL = "what kind of supply the set has, or how it is fed"
NOTHING = Settled(ZERO, ZERO, ZERO, ZERO, ZERO, Interval.exactly(ROOM), ZERO)
DRAWS_NOTHING = SetLoad(Interval.exactly(1.0), ZERO, usual_loads.IRON_ALONE)
GLOW_TRUSTED_FROM = 0.30
"""Dial over the lamp's rated volts below which glow cannot tell a short from a healthy set (common practice): the
short then shows the dull red that a healthy set shows at full dial."""
DIRECT_SHARE = Interval(0.15, 0.35)
"""Direct current over rms current of a half-wave set without a transformer: 0.24 to 0.31 in three computed sets."""
GLOW_TELLS_NOTHING = "so low on the dial, glow tells nothing: compare the volts at the set with those of the dial"
PLUG_EITHER_WAY = ("on direct current one way round of the plug gives B+; the other way round the heaters glow and there is "
                   "none: cut the power before you turn the plug")
NO_RUNNING_POINT = "a switching supply may find no running point behind this lamp: it would start and fall off again"
NO_START = "a switching supply may not start at so few volts, or draw far more than its rated current"
SELENIUM_FUMES = ("a selenium rectifier that fails gives off toxic fumes (garlic, rotten cabbage or eggs): at the first "
                  "smell switch off at the outlet, open the windows and leave, and do not touch it until it is cold")
"""US Army TM 11-6625-353-35 warns of the fumes of selenium rectifiers; 29 CFR 1910.1000, table Z-1, allows 0.2 mg of
selenium in a cubic metre of air."""
TRANSISTORS_SETTLE = Interval(0.1, 2.0)
"""Lamp filament and reservoir of a set without tubes [s]: 0.1 s for a 100 W lamp, some cycles for the reservoir."""


class Readings(Struct, frozen=True):
    """What a healthy set and its lamp show when all has settled; None for what cannot be said.

    set_voltage [V], current [A rms], set_power [W]; lamp_voltage [V], lamp_power [W], filament_temperature [K],
    relative_light (1 at the rated volts), glow: every word that fits, from the darkest; b_plus [V]; source_voltage:
    of the dial with nothing drawn, or what it must be for the reading that the set was brought to [V], at most what the
    dial can give; dial_needed: the same, whatever the dial can give; None where no such reading is meant; brush_load,
    isolating_load: over the rating; direct_current: through the source, of a half-wave set [A]; settling_time: at full
    volts, and longer low on the dial (`heaters.settling_time`) [s]; running_points: how many a switching supply can have;
    notes: in plain words. case: the one circuit that this was computed from, with the reading that the set was brought to;
    open_is: what is open where the plan leaves more than one circuit possible, in words.
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
    dial_needed: Interval | None = None
    brush_load: Interval | None = None
    isolating_load: Interval | None = None
    direct_current: Interval | None = None
    settling_time: Interval | None = None
    running_points: tuple[int, ...] = ()
    notes: tuple[str, ...] = ()
    case: tuple[Circuit, Interval | None] | None = None
    open_is: str | None = None

    def widest(self, reading: str) -> str | None:
        """What would narrow this reading the most if it were known exactly, in words; None where nothing would.

        reading: `set_voltage`, `current`, `set_power`, `lamp_voltage`, `lamp_power` or `source_voltage`.
        """
        if self.case is None:
            return self.open_is
        circuit, brought = self.case
        compute = settle_circuit if brought is None else partial(brought_to, brought)
        return widest_input(circuit, reading, compute)


class Feed(Struct, frozen=True):
    """How the set is fed in a state: whether its cord is live, whether volts reach it past its switch, the volts of
    the dial [V], and the lamps that can be in the way: None for none; nothing at all where the model has no law."""

    live: Truth
    powered: Truth
    source: Interval
    lamps: tuple[LampBand | LampBands | None, ...]

    @property
    def lamp(self) -> LampBand | LampBands | None:
        return next((lamp for lamp in self.lamps if lamp is not None), None)


def settled(plan: Plan, state: State) -> Readings:
    """The readings in this state, each the whole range that wall, lamp and a healthy set can make it."""
    return _read(plan, state, described.set_loads)


def standing(plan: Plan, state: State, power: Interval) -> Readings:
    """The readings in this state of a healthy set whose motor stands still.

    power: what the motor then draws at the rated volts [W]. Where no motor is connected, those of the healthy set.
    """
    voltage = described.rated_voltage(plan)
    still = () if voltage is None or not described.motor_behaviours(plan, state) else (
        Behaviour(False, standing_still(voltage, power), ANY_VOLTS),)
    return _read(plan, state, described.set_loads, lambda plan, state: still)


def at_first(plan: Plan, state: State) -> Readings:
    """The readings of the first second in this state, should everything in the set be cold: the flash of the lamp.

    The lamp itself has warmed, which takes it a tenth of a second; heaters and reservoirs have not followed.
    """
    readings = _read(plan, state, described.cold_loads, _from_rest)
    supplies = described.supplies(plan, state)
    if supplies and all(supply.needs_heat for supply in supplies):
        return replace(readings, b_plus=ZERO) if readings.b_plus is not None else readings
    return _b_plus_rising(plan, state, readings)


def unsettled(plan: Plan, state: State) -> Readings:
    """The readings while the heaters are on their way to this state, reservoirs having filled.

    Each is the hull of cold, of warm without B+, and of settled (`described.unsettled_loads` says why that is all).
    """
    return _b_plus_rising(plan, state, _read(plan, state, described.unsettled_loads))


def _b_plus_rising(plan: Plan, state: State, readings: Readings) -> Readings:
    """B+ may be anything up to the peak that belongs to the volts: reservoirs fill, and cold tubes do not draw yet."""
    voltage, supplies = described.rated_voltage(plan), described.supplies(plan, state)
    if readings.b_plus is None or readings.b_plus == ZERO or voltage is None or not supplies:
        return readings
    most = max(supply.peak.high for supply in supplies) * readings.set_voltage.high / voltage.low
    return replace(readings, b_plus=Interval(0.0, max(most, readings.b_plus.high)))


def shorted(plan: Plan, state: State) -> Readings:
    """The readings in this state with a short in place of the set, the dial wherever it may stand."""
    return with_loads(plan, replace(state, set_reading=None), (usual_loads.SHORTED,))


def with_loads(plan: Plan, state: State, loads: tuple[usual_loads.Load, ...]) -> Readings:
    """The readings in this state with these loads in place of the set, its motor beside them where one is connected.

    Where the set was brought to a reading of its meter and is fed directly, it still has those volts; through a lamp it
    has not, and the dial may stand wherever the healthy set would have had it.
    """
    direct = limiter_in(plan, state) is Truth.FALSE
    there = state if direct else replace(state, set_reading=None)
    return _read(plan, there, lambda plan, state: loads, whatever_the_set=True)


def _from_rest(plan: Plan, state: State) -> tuple[Behaviour, ...]:
    """What the motor can do in the first second, whatever its volts: it stands still, or has started already."""
    return tuple(replace(can, possible=ANY_VOLTS) for can in described.motor_behaviours(plan, state))


def _read(plan: Plan, state: State, loads: Callable[[Plan, State], tuple[usual_loads.Load, ...]],
          motor: Callable[[Plan, State], tuple[Behaviour, ...]] = described.motor_behaviours,
          *, whatever_the_set: bool = False) -> Readings:
    live = cord_live(plan, state)
    if live is Truth.FALSE:
        return DEAD if _discharged(state) else DEAD_AND_CHARGED
    feed = Feed(live, energised(plan, state), dial_output(plan, state), _lamps(plan, state))
    cautions = _cautions(plan, feed)
    refusal = None if whatever_the_set else described.why_no_law(plan)
    if feed.source.high == inf or refusal is not None or not feed.lamps:
        return _bounds_only(plan, state, feed, (*((refusal,) if refusal else ()), *cautions))
    wiring = described.resistance(plan, state)
    can = motor(plan, state)
    results: list[Settled] = []
    cases: list[tuple[Circuit, Interval | None]] = []
    points: set[int] = set()
    turns: set[bool] = set()
    fed = [(load, lamp) for load in _loads(plan, state, feed, loads) for lamp in feed.lamps]
    for load, lamp in fed:
        if isinstance(load, SwitchingLoad):
            most = Interval(0.0, max((one.load.power.high for one in can if one.load), default=0.0))
            found, counts = _switching(Circuit(feed.source, wiring, lamp, DRAWS_NOTHING),
                                       replace(load, power=load.power + most), state.set_reading)
            results.append(found)
            points |= set(counts)
            continue
        for one in can if can and load is not DRAWS_NOTHING else (NO_MOTOR,):
            circuit = Circuit(feed.source, wiring, lamp, load, one.load)
            found = settle_circuit(circuit) if state.set_reading is None else brought_to(state.set_reading, circuit)
            volts = found.set_voltage.meet(one.possible)
            if volts is not None:  # else the motor would start at so many volts, or not turn at so few
                results.append(replace(found, set_voltage=volts))
                cases.append((circuit, state.set_reading))
                turns.add(one.turns)
    if live is Truth.UNKNOWN:
        results.append(NOTHING)
    if False in turns:
        cautions = (*cautions, _stands(plan, feed, [circuit for circuit, _ in cases if circuit.motor], True in turns))
    readings = _readings(plan, state, feed, _hull(results), tuple(sorted(points)), cautions)
    alone = len(results) == len(cases) == 1
    return replace(readings, case=cases[0] if alone else None, open_is=(
        None if len(results) < 2 else "whether the motor turns" if len(fed) == 1 else SEVERAL))


def _stands(plan: Plan, feed: Feed, circuits: list[Circuit], perhaps: bool) -> str:
    """That the motor stands still, or may, and below how many volts it does; through a lamp, also on the dial."""
    voltage = described.rated_voltage(plan) or ZERO
    starts, nominal, here = starts_at(voltage), plan.mains.voltage or voltage, wall(plan)
    words = (f"the motor {'may stand still here, hum and heat' if perhaps else 'stands still here, hums and heats'}: its "
             f"torque goes with the square of its volts, so it surely stands still below {starts.low:.0f} V at the set and "
             f"may below {starts.high:.0f} V")
    if feed.lamp is None or plan.dial is None:
        return words
    dials = [brought_to(starts, circuit).source_voltage for circuit in circuits]
    low = min(dial.low for dial in dials) * nominal.low / here.high
    high = max(dial.high for dial in dials) * nominal.high / here.low
    scale = plan.record(plan.dial).output
    ends = scale is not None and high > scale.high
    return (f"{words}; behind this lamp, surely below {low:.0f} V on the dial, and perhaps "
            f"{'at any setting of it' if ends else f'below {high:.0f} V'}")


def _switching(circuit: Circuit, load: SwitchingLoad, reading: Interval | None) -> tuple[Settled, tuple[int, ...]]:
    if reading is not None:
        return switching_brought_to(reading, circuit, load), ()
    return switching_settled(circuit, load)


def _lamps(plan: Plan, state: State) -> tuple[LampBand | LampBands | None, ...]:
    through = limiter_in(plan, state)
    if through is Truth.FALSE:
        return (None,)
    lamps = described.lamp_bands(plan, state)
    return lamps if through is Truth.TRUE or not lamps else (*lamps, None)


def _loads(plan: Plan, state: State, feed: Feed,
           of: Callable[[Plan, State], tuple[usual_loads.Load, ...]]) -> tuple[usual_loads.Load, ...]:
    if feed.powered is Truth.FALSE:
        return (DRAWS_NOTHING,)
    loads = of(plan, state)
    # A cord that may be dead is met by the hull with nothing; a switch that may be off, by a set that draws nothing.
    return (*loads, DRAWS_NOTHING) if feed.powered is Truth.UNKNOWN and feed.live is Truth.TRUE else loads


def _hull(results: list[Settled]) -> Settled:
    first, *rest = results
    for other in rest:
        first = Settled(*(getattr(first, f.name).hull(getattr(other, f.name)) for f in fields(Settled)))
    return first


def _cautions(plan: Plan, feed: Feed) -> tuple[str, ...]:
    """What to watch for besides the meters while the set has power."""
    selenium = plan.set.rectifier is not None and plan.set.rectifier.kind == "selenium"
    return (SELENIUM_FUMES,) if selenium and feed.powered is not Truth.FALSE else ()


def _bounds_only(plan: Plan, state: State, feed: Feed, notes: tuple[str, ...]) -> Readings:
    """No law for the lamp or the set: only that the set gets no more than the dial gives."""
    volts = state.set_reading
    if volts is None:
        direct = limiter_in(plan, state) is Truth.FALSE and feed.live is Truth.TRUE
        volts = feed.source if direct else Interval(0.0, feed.source.high)
    return Readings(volts, source_voltage=feed.source, notes=notes)


def _readings(plan: Plan, state: State, feed: Feed, whole: Settled, points: tuple[int, ...],
              cautions: tuple[str, ...]) -> Readings:
    lamp, source, notes = feed.lamp, whole.source_voltage, list(cautions)
    needed = source if state.set_reading is not None else None
    if needed is not None:
        top = feed.source.high
        if source.low > top:
            notes.append(f"the dial ends at {top:.0f} V; the set would need {source.low:.0f} V of it to get there")
        source = Interval(min(source.low, top), min(source.high, top))
    if lamp is not None and source.high < GLOW_TRUSTED_FROM * lamp.voltage.low:
        notes.append(GLOW_TELLS_NOTHING)
    if direct_current(plan) and plan.set.power_supply == "transformerless" and feed.powered is not Truth.FALSE:
        notes.append(PLUG_EITHER_WAY)
    if 0 in points and points != (0,):
        notes.append(NO_RUNNING_POINT if lamp is not None else NO_START)
    warm = feed.powered is not Truth.FALSE
    behind_the_dial = lamp is None or lamp.ratio == Interval.exactly(1.0)
    return Readings(
        whole.set_voltage, whole.current, whole.set_power,
        whole.lamp_voltage if behind_the_dial else None, whole.lamp_power, whole.temperature,
        ZERO if lamp is None else lamp.light(whole.temperature),
        glow_words(whole.temperature.low, whole.temperature.high), _b_plus(plan, state, feed, whole), source, needed,
        _over(whole.current, plan, "autotransformer", "rated_current"),
        _over(source * whole.current, plan, "isolating_transformer", "rated_power"),
        _direct_current(plan, whole) if warm else ZERO, _settling_time(plan, lamp is not None) if warm else ZERO,
        points, tuple(notes))


def _b_plus(plan: Plan, state: State, feed: Feed, whole: Settled) -> Interval | None:
    if feed.powered is not Truth.TRUE:
        return ZERO if feed.powered is Truth.FALSE and _discharged(state) else None
    if "fuse" in state.out or plan.set.power_supply == HEATERS_ONLY:
        return ZERO
    voltage = described.rated_voltage(plan)
    # On direct current the rectifier passes one way round of the plug, and blocks the other.
    found: Interval | None = ZERO if direct_current(plan) else None
    for supply in described.supplies(plan, state) if voltage is not None else ():
        # Its heater is in the chain that is open, or it has been taken out.
        cold = supply.needs_heat and (whole.current == ZERO or "rectifier tube" in state.out)
        got = ZERO if cold or voltage is None else b_plus(supply, voltage, whole.set_voltage, feed.lamp is not None)
        found = got if found is None else found.hull(got)
    return found


def _discharged(state: State) -> bool:
    """Whether there are capacitors that are known, and known to hold nothing."""
    return bool(state.charged) and all(truth is Truth.FALSE for _, truth in state.charged)


def _over(value: Interval, plan: Plan, kind: str, rating: str) -> Interval | None:
    """A load over the stated rating of an element of the chain; None where it states none."""
    record = plan.record(kind)
    stated: Interval | None = getattr(record, rating) if record is not None else None
    if stated is None or stated.low <= 0.0:
        return None
    return Interval(value.low / stated.high, value.high / stated.low)


def _direct_current(plan: Plan, whole: Settled) -> Interval | None:
    """Through the source, of a set that rectifies one half of the wave [A]; nothing is known of other supplies."""
    if direct_current(plan):
        return whole.current
    if plan.set.power_supply != "transformerless":
        return None if plan.set.power_supply is None else ZERO
    return Interval(0.0, whole.current.high * DIRECT_SHARE.high)


def _settling_time(plan: Plan, through_lamp: bool) -> Interval:
    if plan.set.output == "transistor" or plan.set.power_supply == "switching":
        return TRANSISTORS_SETTLE
    tubes = settling_time(through_lamp)
    stated = plan.set.output == "tube" or plan.set.heaters is not None
    return tubes if stated else tubes.hull(TRANSISTORS_SETTLE)


DEAD = Readings(ZERO, ZERO, ZERO, ZERO, ZERO, Interval.exactly(ROOM), ZERO, ("dark",), ZERO, brush_load=ZERO,
                isolating_load=ZERO, direct_current=ZERO, settling_time=ZERO)
DEAD_AND_CHARGED = replace(DEAD, b_plus=None)
"""With no volts at the set: capacitors may still hold B+, which is not for this model to say."""
