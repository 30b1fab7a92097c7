"""What a plan says of source, lamp and set, in the terms of the electrical model, with bands for what it leaves open."""

from __future__ import annotations

from msgspec.structs import replace

from auditor.bench import direct_line
from auditor.bench.circuit import direct_current
from auditor.bench.electrical.b_plus import (
    AGED_SELENIUM,
    FLATTENED,
    FLATTENED_MEAN,
    FLATTENED_SQUARE,
    MAINS_PEAK,
    NO_LOAD_RISE,
    TRANSFORMERLESS,
    Supply,
)
from auditor.bench.electrical.filament import LOSS_BAND
from auditor.bench.electrical.heaters import COLD_RATIO
from auditor.bench.electrical.lamp import MADE_WITHIN
from auditor.bench.electrical.lamp_band import LampBand
from auditor.bench.electrical.load import SetLoad
from auditor.bench.electrical.motor import STANDING_WATTS, USUAL_POWER, Behaviour, behaviours, starts_at
from auditor.bench.electrical.several_lamps import LampBands
from auditor.bench.electrical.switching import SwitchingLoad
from auditor.bench.state import TUBES, State
from auditor.bench.usual_loads import (
    COLD_HEATERS,
    HEATERS_ALONE,
    HEATERS_SHARE,
    HEATING,
    IRON_ALONE,
    IRON_SHARE,
    SHORT_POWER,
    STARTS_AT,
    SWITCHING_SUPPLY,
    TRANSFORMER_SET,
    TRANSFORMERLESS_SET,
    TRANSISTOR_SET,
    Kind,
    Load,
)
from auditor.logic.interval import Interval
from auditor.plan.chain import FILAMENT_LAMPS, JOINED, Lamp
from auditor.plan.equipment import FILTERS, HEATERS_ONLY
from auditor.plan.plan import Plan

REGULATION = Interval(0.0, 0.10)
"""Sag of an isolating transformer at its rated load, relative: 5 to 10 % for 250 to 500 VA (from memory); from
nothing, for what the dial's scale may already allow for."""
SMALLEST_TRANSFORMER = 100.0
"""Rating of an isolating transformer that states none [VA]: the smallest met on a bench (common practice)."""
WIRING = Interval(0.0, 1.0)
"""Cords, contacts, brush and winding of the autotransformer [ohm] (from memory)."""
ANY_LAMP = Interval(15.0, 500.0)
"""Watts of a lamp that states none [W]: the sizes sold (common practice)."""


def rated_voltage(plan: Plan) -> Interval | None:
    """The voltage that the set is made for [V]: stated, else that of the mains."""
    return plan.set.rated_voltage or plan.mains.voltage


def resistance(plan: Plan, state: State) -> Interval:
    """Of transformer and wiring, as seen from the lamp [ohm].

    An isolating transformer before the dial is seen through it: at half the volts its resistance is a quarter.
    """
    transformer = plan.record("isolating_transformer")
    if direct_current(plan) or transformer is None or plan.mains.voltage is None:
        return WIRING
    rating = transformer.rated_power.low if transformer.rated_power else SMALLEST_TRANSFORMER
    full = plan.mains.voltage.high ** 2 / max(rating, 1.0)
    first, dial = plan.position("isolating_transformer"), plan.position("autotransformer")
    if first is not None and dial is not None and first < dial and state.dial is not None:
        full *= (state.dial.high / plan.mains.voltage.low) ** 2
    return WIRING + REGULATION * Interval.exactly(full)


def lamp_voltage(plan: Plan, lamp: Lamp | None) -> Interval | None:
    """The voltage that a lamp of the limiter is made for [V]: stated, else that of the mains."""
    return lamp.voltage if lamp is not None and lamp.voltage is not None else plan.mains.voltage


def lamp_bands(plan: Plan, state: State) -> tuple[LampBand | LampBands, ...]:
    """What can be in the holder: a lamp, or several, joined in either way where the plan does not say how.

    Nothing where there is none, or where its kind has no filament.
    """
    lamp = state.lamp
    voltage = lamp_voltage(plan, lamp)
    if lamp is None or voltage is None or voltage.low <= 0.0 or (lamp.kind is not None and lamp.kind not in FILAMENT_LAMPS):
        return ()
    each = tuple(
        LampBand(Interval(*(min(max(watts, 1.0), 5000.0) for watts in (power.low, power.high))), voltage,
                 ratio=_ratio(plan, state))
        for power in lamp.each or (ANY_LAMP,))
    return tuple(each if len(each) == 1 else (LampBands(each, joined == JOINED[1]) for joined in (
        JOINED if lamp.joined is None else (lamp.joined,))))


def _ratio(plan: Plan, state: State) -> Interval:
    """Of the autotransformer between lamp and set: 1 where the lamp stands behind the dial, as it should."""
    limiter, dial = plan.position("limiter"), plan.position("autotransformer")
    nominal = plan.mains.voltage
    if limiter is None or dial is None or limiter > dial or state.dial is None or nominal is None:
        return Interval.exactly(1.0)
    return Interval(max(state.dial.low / nominal.high, 0.01), max(state.dial.high / nominal.low, 0.01))


def set_loads(plan: Plan, state: State) -> tuple[Load, ...]:
    """Everything that the set can be as a load, from what the plan says and what has been taken out of it.

    Nothing where the model has no law for it: a vibrator or battery supply, or no voltage stated.
    """
    voltage = rated_voltage(plan)
    if voltage is None or voltage.low <= 0.0 or why_no_law(plan) is not None:
        return ()
    loads = tuple(_load(name, plan, state, voltage) for name in _supplies(plan))
    if not direct_current(plan):
        return loads
    return tuple(one for load in loads if isinstance(load, SetLoad) for one in (
        direct_line.either_way_round(load) if plan.set.power_supply == "transformerless" else (load,)))


def motor_behaviours(plan: Plan, state: State) -> tuple[Behaviour, ...]:
    """What the motor beside the set can do, turning first; nothing where none is connected."""
    voltage = rated_voltage(plan)
    if voltage is None or not plan.set.motor or not any(what == "motor" for what, _ in state.connected):
        return ()
    return behaviours(voltage, motor_power(plan))


def motor_power(plan: Plan) -> Interval:
    """Watts of the motor, turning at its rated voltage [W]: stated, else the usual."""
    return plan.set.motor_power or USUAL_POWER


def cold_loads(plan: Plan, state: State) -> tuple[Load, ...]:
    """The set in the first second: the lamp has warmed, heaters have not, and no tube conducts.

    Heaters have their cold resistance. A set without tubes has reservoirs to fill: anything from what it draws when
    it has settled to a dead short.
    """
    cold: list[Load] = []
    for load in set_loads(plan, state):
        if isinstance(load, SetLoad) and load.shape.heater_share.high > 0.0:
            cold.append(_cold_heaters(load))
        elif load.power.high == 0.0:
            cold.append(load)
        else:
            cold += [load, SetLoad(Interval.exactly(100.0), SHORT_POWER, COLD_HEATERS)]
    return tuple(cold)


def unsettled_loads(plan: Plan, state: State) -> tuple[Load, ...]:
    """Edges between which the set stays as a load while its heaters warm or cool; its reservoirs have filled.

    Warming: heaters take less and less, then the tubes conduct and the rest comes on top. So at every voltage the
    current lies between that of warm heaters alone and the most of the cold and the settled set: with a heater
    share of a third or more a set draws more while cold (COLD_RATIO is 3 or more) than heaters that are nearly warm
    and the full rest together. Cooling: heaters are still hotter than they will be, up to their rated heat, at which
    they are plain resistances (exponent 1). Readings are monotone in the load (`ranges`), so their hull holds.
    """
    loads = set_loads(plan, state)
    heated = [load for load in loads if isinstance(load, SetLoad) and load.shape.heater_share.high > 0.0]
    alone = tuple(
        SetLoad(load.voltage, load.power * load.shape.heater_share, replace(
            HEATERS_ALONE, heater_exponent=Interval(load.shape.heater_exponent.low, 1.0),
            power_factor=Interval(load.shape.power_factor.low, 1.0)))
        for load in heated)
    return (*loads, *(_cold_heaters(load) for load in heated), *alone)


def _cold_heaters(load: SetLoad) -> SetLoad:
    plain = load.shape.heater_exponent.high >= 1.0  # a heating wire may have the same resistance cold as hot
    ratio = Interval(1.0, COLD_RATIO.high) if plain else COLD_RATIO
    factor = load.shape.power_factor if load.shape.power_factor.low == 1.0 else COLD_HEATERS.power_factor
    return SetLoad(load.voltage, load.power * load.shape.heater_share * ratio, replace(COLD_HEATERS, power_factor=factor))


def why_no_law(plan: Plan) -> str | None:
    """Why nothing can be predicted for the set, in words; None where it can."""
    if direct_current(plan) and (refusal := direct_line.why_no_law(plan)) is not None:
        return f"the set gets direct current, and {refusal}, so no reading is predicted"
    if plan.set.power_supply == "vibrator":
        return ("a vibrator supply runs from a battery and needs its full voltage at once: neither lamp nor slow raising "
                "suits it, so no reading is predicted")
    if plan.set.power_supply == "battery":
        return "a battery set draws nothing from this bench, so no reading is predicted"
    if rated_voltage(plan) is None:
        return "neither the mains voltage nor the set's rated voltage is stated, so no reading is predicted"
    return None


def _supplies(plan: Plan) -> tuple[str, ...]:
    stated = plan.set.power_supply
    if stated is not None:
        return (stated,)
    tubes = plan.set.heaters is not None or plan.set.output == "tube" or (
        plan.set.rectifier is not None and plan.set.rectifier.kind == "tube")
    return ("transformer", "transformerless") if tubes else ("transformer", "transformerless", "switching")


def _load(supply: str, plan: Plan, state: State, voltage: Interval) -> Load:
    stated = plan.set.rated_power
    if supply == "switching":
        return SwitchingLoad(stated or SWITCHING_SUPPLY.power, voltage * STARTS_AT, SWITCHING_SUPPLY.power_factor)
    if "fuse" in state.out:
        return SetLoad(voltage, Interval.exactly(0.0), TRANSISTOR_SET.shape)
    if supply == HEATERS_ONLY:
        return _heating(plan, state, voltage)
    if supply == "transformerless":
        return _transformerless(plan, state, voltage, stated or TRANSFORMERLESS_SET.power)
    kind = _transformer_kind(plan)
    power = stated or kind.power
    if state.out >= TUBES:
        return SetLoad(voltage, power * IRON_SHARE, IRON_ALONE)
    if "rectifier tube" in state.out:
        return SetLoad(voltage, power * HEATERS_SHARE, HEATERS_ALONE)
    if "other tubes" in state.out:  # what the rectifier tube and its capacitors take, which is little
        return SetLoad(voltage, Interval(power.low * IRON_SHARE.low, power.high * HEATERS_SHARE.high), HEATERS_ALONE)
    if "output tubes" in state.out:
        power = Interval(power.low * HEATERS_SHARE.low, power.high)
    return SetLoad(voltage, power, kind.shape)


def _heating(plan: Plan, state: State, voltage: Interval) -> SetLoad:
    """Heaters of tubes, where the plan says so, or any heating load."""
    power = plan.set.rated_power or HEATING.power
    if state.out & TUBES:
        power = Interval(0.0, 0.0 if chain_open(plan, state) else power.high)
    shape = HEATING.shape
    if plan.set.heaters is not None:
        shape = replace(shape, heater_exponent=HEATERS_ALONE.heater_exponent)
    return SetLoad(voltage, power, shape)


def _transformer_kind(plan: Plan) -> Kind:
    if plan.set.output != "transistor":
        return TRANSFORMER_SET
    return TRANSISTOR_SET


def chain_open(plan: Plan, state: State) -> bool:
    """Whether a tube that is out opens a chain of heaters in series."""
    heaters = plan.set.heaters
    return heaters is not None and heaters.connection == "series" and bool(
        state.out & TUBES)


def _transformerless(plan: Plan, state: State, voltage: Interval, power: Interval) -> SetLoad:
    heaters = plan.set.heaters
    shape = TRANSFORMERLESS_SET.shape
    if chain_open(plan, state) or state.out >= TUBES:
        # No heater warms, so nothing draws.
        return SetLoad(voltage, Interval.exactly(0.0), TRANSISTOR_SET.shape)
    if state.out & TUBES:
        # Heaters that are not said to be in series go on warming, and what is left may draw or not.
        power = Interval(0.0, power.high)
    if heaters is not None and heaters.current is not None and heaters.connection != "parallel" and power.low > 0.0:
        share = heaters.current * voltage / power
        low, high = max(0.2, min(share.low, 1.0)), max(0.2, min(share.high, 1.0))
        shape = replace(shape, heater_share=Interval(low, high))
    return SetLoad(voltage, power, shape)


def supplies(plan: Plan, state: State) -> tuple[Supply, ...]:
    """What can make B+; nothing where too little is stated to say.

    A rectifier that is not stated may be tube, silicon or selenium, and the filter of a transformer set that states none
    may have a capacitor or a choke at its input; one without a transformer, or without tubes, has a capacitor there (common
    practice). Selenium conducts from the first volt on, as silicon does; aged, it drops more.
    """
    voltage, kind = rated_voltage(plan), plan.set.rectifier.kind if plan.set.rectifier else None
    if voltage is None or plan.set.power_supply not in ("transformer", "transformerless"):
        return ()
    in_use, peak = plan.set.b_plus, plan.set.b_plus_peak
    direct = plan.set.power_supply == "transformerless"
    tubes = plan.set.output != "transistor"
    inputs = filters(plan)
    if direct_current(plan):  # what is stated of B+ is for alternating current, whose peak the reservoir holds
        in_use, peak, inputs = direct_line.b_plus(plan, voltage), voltage, FILTERS[:1]
    if in_use is None and direct and inputs == FILTERS[:1]:
        in_use = voltage * TRANSFORMERLESS
    if in_use is None:
        return ()
    if peak is None:
        peak = (voltage * MAINS_PEAK if direct else in_use * _rise(inputs)).hull(Interval.exactly(in_use.high))
    onset = (TRANSFORMERLESS_SET if direct else TRANSFORMER_SET).shape.onset if tubes else Interval.exactly(0.0)
    if "output tubes" in state.out:
        in_use = in_use.hull(peak)  # what is left draws less
    needs_heat = (kind == "tube",) if kind is not None else (True, False) if tubes else (False,)
    loaded = "other tubes" not in state.out and not (direct and chain_open(plan, state))
    flattened = FLATTENED if inputs == FILTERS[:1] else FLATTENED_MEAN if tubes else FLATTENED_SQUARE
    if direct_current(plan):
        flattened = 1.0
    aged = Interval(1.0 - AGED_SELENIUM, 1.0) if kind in (None, "selenium") else Interval.exactly(1.0)
    return tuple(Supply(in_use if heat else in_use * aged, peak, heat, onset, loaded, flattened)
                 for heat in needs_heat)


def filters(plan: Plan) -> tuple[str, ...]:
    """What can stand at the input of the filter."""
    if plan.set.filter is not None:
        return (plan.set.filter,)
    return FILTERS if plan.set.power_supply == "transformer" and plan.set.output != "transistor" else FILTERS[:1]


def _rise(inputs: tuple[str, ...]) -> Interval:
    """B+ with nothing drawn over B+ in use, for any of these inputs of the filter."""
    first, *rest = (NO_LOAD_RISE[name] for name in inputs)
    for other in rest:
        first = first.hull(other)
    return first


def taken_for_granted(plan: Plan) -> tuple[str, ...]:
    """What the prediction assumes where the plan does not say, each with what to state instead."""
    of, lamps = plan.set, plan.record("limiter")
    loads = set_loads(plan, State())
    said = ["The readings are those of a healthy set with good tubes."]
    if lamps is not None:
        least, most = (100 * share for share in LOSS_BAND)
        said.append(f"A lamp is within {100 * MADE_WITHIN:g} % of the watts printed on it and loses {least:g} to {most:g} % "
                    "of them to its gas.")
        if lamps.lamp is not None and lamps.lamp.power is None:
            said.append(f"A lamp of unstated watts has {ANY_LAMP.low:g} to {ANY_LAMP.high:g} W; `power:` replaces it.")
        if lamps.lamp is not None and len(lamps.lamp.each) > 1 and lamps.lamp.joined is None:
            said.append("The lamps are joined in parallel or in series; `joined:` replaces it.")
    transformer = plan.record("isolating_transformer")
    if transformer is not None and transformer.rated_power is None:
        said.append(f"The isolating transformer is one of {SMALLEST_TRANSFORMER:g} VA or more; `rated_power:` replaces it.")
    if of.power_supply == "transformer" and len(filters(plan)) > 1 and of.b_plus is not None:
        said.append("The filter of B+ has a capacitor or a choke at its input; `filter:` replaces it.")
    if of.rated_voltage is None and plan.mains.voltage is not None:
        said.append("The set is made for the voltage of the mains; `rated_voltage:` replaces it.")
    if of.rated_power is None and loads:
        power = loads[0].power
        for load in loads[1:]:
            power = power.hull(load.power)
        said.append(f"The set draws {power.low:g} to {power.high:g} W, as such sets do; `rated_power:` replaces it.")
    if of.motor is None and loads:
        said.append("The set has no motor on the mains; `motor:` replaces it.")
    if of.motor and (voltage := rated_voltage(plan)) is not None:
        starts, watts, still = starts_at(voltage), motor_power(plan), STANDING_WATTS
        said.append(f"Its motor starts from rest at {starts.low:.0f} to {starts.high:.0f} V, and standing still draws "
                    f"{still.low:g} to {still.high:g} times the watts that it draws turning.")
        if of.motor_power is None:
            said.append(f"Its motor draws {watts.low:g} to {watts.high:g} W turning; `motor_power:` replaces it.")
    return tuple(said)
