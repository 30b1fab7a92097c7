"""Facts of how the bench stands, on entry to a step and on exit from it."""

from __future__ import annotations

from collections.abc import Callable
from math import inf

from auditor.bench import circuit
from auditor.bench.fact import TRUTH, Fact, StateReader, number, quantity
from auditor.bench.special_parts import PARTS_LISTED, has_part
from auditor.bench.state import TUBES, State
from auditor.logic.interval import ANYTHING, Interval
from auditor.logic.kinds import Kind
from auditor.logic.truth import Truth
from auditor.plan.chain import FILAMENT_LAMPS, JOINED, Lamp
from auditor.plan.equipment import HEATERS_ONLY
from auditor.plan.plan import Plan

ZERO = Interval.exactly(0.0)
LIVE = ("bench.chain.outlet.switch", "bench.chain.limiter.bypass")
"""What must be known to tell whether anything has volts."""


def _state(name: str, kind: Kind, meaning: str, read: StateReader, *asks: str) -> Fact:
    return Fact(name, kind, meaning, "state", read, asks)


def _tube_rectifier(plan: Plan) -> Truth:
    rectifier = plan.set.rectifier
    return Truth.UNKNOWN if rectifier is None or rectifier.kind is None else Truth.of(rectifier.kind == "tube")


def _b_plus_fed(plan: Plan, state: State) -> Truth:
    """Whether B+ can rise: the set is energised, is not heaters only, and its rectifier is no tube that is out."""
    if plan.set.power_supply == HEATERS_ONLY:
        return Truth.FALSE
    taken_out = Truth.of("rectifier tube" in state.out)
    return circuit.energised(plan, state) & ~(_tube_rectifier(plan) & taken_out)


def _b_plus_loaded(plan: Plan, state: State) -> Truth:
    """Whether B+ never stands without load: a rectifier tube that heats as slowly as the tubes that it feeds."""
    rectifier = plan.set.rectifier
    heater = rectifier.heater if rectifier is not None else None
    slow = Truth.UNKNOWN if heater is None else Truth.of(heater == "indirect")
    return _tube_rectifier(plan) & slow & Truth.of(not state.out & {"output tubes", "other tubes"})


def _connected(what: str) -> Callable[[Plan, State], Truth]:
    return lambda plan, state: Truth.of(any(name == what for name, _ in state.connected))


def _loaded(plan: Plan, state: State) -> Truth:
    """Whether a loudspeaker or a dummy load is on the output."""
    return circuit.joined(plan.set.speaker, state, "speaker", "dummy load")


def _interlock_bypassed(plan: Plan, state: State) -> Truth:
    return circuit.joined(plan.set.interlock, state, "interlock bypass")


def _motor_connected(plan: Plan, state: State) -> Truth:
    return Truth.stated(plan.set.motor) & Truth.of("motor" not in state.apart)


def _listed_in(part: str, gone: Callable[[State], bool]) -> Callable[[Plan, State], Truth]:
    """Whether a special part of the set is in its place: the set has it, and no step has taken it off or out."""
    return lambda plan, state: has_part(plan, part) & Truth.of(not gone(state))


def _vibrator_in(plan: Plan, state: State) -> Truth:
    supply = plan.set.power_supply
    return (Truth.UNKNOWN if supply is None else Truth.of(supply == "vibrator")) & Truth.of("vibrator" not in state.out)


def _lamp_power(plan: Plan, state: State) -> Interval:
    return ANYTHING if state.lamp is None else _rating(state.lamp)[1]


def _lamp_voltage(plan: Plan, state: State) -> Interval:
    return ANYTHING if state.lamp is None else _rating(state.lamp)[0]


def _rating(lamp: Lamp) -> tuple[Interval, Interval]:
    """Volts [V] and watts [W] of the lamp in the holder; of several, those of one lamp that is like all of them together."""
    if len(lamp.each) < 2:
        return number(lamp.voltage), number(lamp.each[0] if lamp.each else None)
    if lamp.joined is None or lamp.voltage is None or not all(0.0 < power.low <= power.high < inf for power in lamp.each):
        return ANYTHING, ANYTHING
    from auditor.bench.electrical.several_lamps import rating_band

    return rating_band(lamp.each, lamp.voltage, lamp.joined == JOINED[1])


def _filament(plan: Plan, state: State) -> Truth:
    if state.lamp is None or state.lamp.kind is None:
        return Truth.UNKNOWN
    return Truth.of(state.lamp.kind in FILAMENT_LAMPS)


def _aimed_voltage(plan: Plan, state: State) -> Interval:
    if plan.dial is None:
        return number(plan.mains.voltage)
    return number(state.set_reading or state.dial)


STATE_FACTS: tuple[Fact, ...] = (
    _state("bench_plugged", TRUTH, "the bench is plugged into the wall", lambda p, s: Truth.of("bench" in s.plugged)),
    _state("set_plugged", TRUTH, "the set is plugged into the bench", lambda p, s: Truth.of("set" in s.plugged)),
    _state("set_connected", TRUTH, "set and bench are both plugged in: only switches stand between wall and set",
           lambda p, s: Truth.of(s.plugged >= {"bench", "set"})),
    _state("set_switched_on", TRUTH, "the switch of the set is on",
           lambda p, s: circuit.closed("set", p.set.switch, s), "set.switch"),
    _state("supply_on", TRUTH, "the bench is fed from the wall", circuit.supply_on, *LIVE),
    _state("cord_live", TRUTH, "the set's cord carries volts, its own switch on or off", circuit.cord_live, *LIVE),
    _state("energised", TRUTH, "volts reach the set past its own switch", circuit.energised, *LIVE, "set.switch"),
    _state("dial", quantity("voltage"), "the mark on the dial; 0 before a step has set it",
           lambda p, s: s.dial or ZERO),
    _state("dial_stood", quantity("time"), "how long holds are sure to have kept the set at the volts of this dial",
           lambda p, s: s.dial_stood),
    _state("b_plus_fed", TRUTH, "the set is energised and its rectifier is in, so that B+ can rise", _b_plus_fed,
           "set.rectifier.kind"),
    _state("b_plus_loaded", TRUTH, "B+ never stands without load: its rectifier tube is indirectly heated and the"
           " tubes that it feeds are in", _b_plus_loaded, "set.rectifier.kind", "set.rectifier.heater"),
    _state("dial_at_zero", TRUTH, "a step has brought the dial to zero and none has raised it",
           lambda p, s: Truth.of(s.dial == ZERO)),
    _state("dial_output", quantity("voltage"), "what the adjustable supply puts out", circuit.dial_output,
           "mains.voltage"),
    _state("aimed_voltage", quantity("voltage"), "the volts that the plan means the supply to give: what the meter at"
           " the set was brought to, else the mark on the dial, without a dial the nominal voltage at the wall",
           _aimed_voltage, "mains.voltage"),
    _state("limiter_in", TRUTH, "the set is fed through the lamp", circuit.limiter_in, "bench.chain.limiter.bypass"),
    _state("lamp.power", quantity("power"), "rated power of the lamp in the limiter; of several in parallel that of all"
           " together, of several in series what they take at the volts of `lamp.voltage`", _lamp_power,
           "bench.chain.limiter.lamp.power", "bench.chain.limiter.lamp.joined"),
    _state("lamp.voltage", quantity("voltage"), "rated voltage of that lamp; of several in series the most volts across all"
           " at which none has more than its own", _lamp_voltage,
           "bench.chain.limiter.lamp.voltage", "bench.chain.limiter.lamp.joined"),
    _state("lamp.filament", TRUTH, "that lamp has a tungsten filament", _filament, "bench.chain.limiter.lamp.kind"),
    _state("lead_to_earth", TRUTH, "an aerial, an earth lead or an earthed output of the isolating transformer joins the"
           " set to earth", circuit.lead_to_earth, "bench.chain.isolating_transformer.output_earthed", "set.aerial",
           "set.earth_lead"),
    _state("second_device", TRUTH, "a step has put a second device on the supply of the set",
           _connected("second device")),
    _state("load_connected", TRUTH, "a loudspeaker or dummy load is on the output", _loaded, "set.speaker"),
    _state("interlock_bypassed", TRUTH, "the interlock of the back is bypassed", _interlock_bypassed, "set.interlock"),
    _state("set_open", TRUTH, "a step has taken its back off, or its chassis out of the cabinet, and none has put it back",
           lambda p, s: Truth.of(bool(s.out & {"back", "chassis"}))),
    _state("motor_connected", TRUTH, "the motor is connected", _motor_connected, "set.motor"),
    _state("degaussing_coil_connected", TRUTH, "the degaussing coil is connected",
           _listed_in("degaussing coil", lambda s: "degaussing coil" in s.apart), *PARTS_LISTED),
    _state("batteries_in", TRUTH, "batteries are in the set", _listed_in("batteries", lambda s: "batteries" in s.out),
           *PARTS_LISTED),
    _state("vibrator_in", TRUTH, "the vibrator is in its socket", _vibrator_in, "set.power_supply"),
    _state("speaker_connected", TRUTH, "the loudspeaker itself is connected, not a dummy load",
           lambda p, s: circuit.joined("disconnected" if p.set.speaker == "dummy load" else p.set.speaker, s, "speaker"),
           "set.speaker"),
    _state("dial_lamp_out", TRUTH, "the dial lamp has been taken out", lambda p, s: Truth.of("dial lamp" in s.out)),
    _state("tubes_out", TRUTH, "every tube has been taken out", lambda p, s: Truth.of(s.out >= TUBES)),
    _state("output_tubes_out", TRUTH, "the output tubes have been taken out",
           lambda p, s: Truth.of("output tubes" in s.out)),
    _state("stopped", TRUTH, "a stop or a failed check came before, and its cause is not found yet",
           lambda p, s: Truth.of(s.stopped)),
)
