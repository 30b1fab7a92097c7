"""What a state of the bench means electrically: what is fed, through what, at how many volts."""

from __future__ import annotations

from math import isinf

from auditor.bench.state import State
from auditor.logic.interval import ANYTHING, Interval
from auditor.logic.truth import Truth
from auditor.plan.chain import Instrument
from auditor.plan.equipment import CURRENTS
from auditor.plan.plan import Plan

ZERO = Interval.exactly(0.0)
BAND_BELOW_150 = 0.05
"""Wall tolerance for 100 to 150 V systems: 114 to 126 V at 120 V, COMAR 20.50.07.02 A (the ANSI C84.1 Range A
service voltages)."""
BAND_ABOVE_150 = 0.10
"""Wall tolerance for 220 to 240 V systems: 207 to 253 V at 230 V, IEC 60038 table 1."""


def wall(plan: Plan) -> Interval:
    """The voltage at the wall [V]: the stated band, else the nominal voltage with its published tolerance."""
    if plan.mains.band is not None:
        return plan.mains.band
    nominal = plan.mains.voltage
    if nominal is None:
        return ANYTHING
    tolerance = BAND_BELOW_150 if nominal.high <= 150 else BAND_ABOVE_150
    return nominal * Interval(1 - tolerance, 1 + tolerance)


def wall_above_nominal(plan: Plan) -> float:
    """How many times its nominal voltage the wall may have at the most; that of the wider tolerance where none is stated."""
    here, nominal = wall(plan), plan.mains.voltage
    return 1 + BAND_ABOVE_150 if nominal is None or isinf(here.high) else max(1.0, here.high / nominal.high)


def supply_on(plan: Plan, state: State) -> Truth:
    """Whether the bench is fed from the wall: plugged in, its outlet on."""
    outlet = plan.record("outlet")
    return Truth.of("bench" in state.plugged) & closed("outlet", outlet.switch if outlet else "ordinary", state)


def closed(name: str, switch: str | None, state: State) -> Truth:
    """Whether a switch lets current pass: it is on, or it is not there; one that is not stated may be either."""
    if name in state.on or switch == "none":
        return Truth.TRUE
    return Truth.UNKNOWN if switch is None else Truth.FALSE


def limiter_passes(plan: Plan, state: State) -> Truth:
    """Whether current can pass the limiter: its switch on, and a lamp in the holder or the bypass closed."""
    limiter = plan.record("limiter")
    if limiter is None:
        return Truth.TRUE
    switched = Truth.of(limiter.switch != "fitted" or "limiter" in state.on)
    return switched & (Truth.of(state.lamp is not None) | state.bypass_closed)


def limiter_in(plan: Plan, state: State) -> Truth:
    """Whether the set is fed through the lamp."""
    if not plan.has("limiter") or state.lamp is None:
        return Truth.FALSE
    return ~state.bypass_closed


def dial_output(plan: Plan, state: State) -> Interval:
    """What the autotransformer, or the supply of direct current, puts out [V]: the mark on the dial, moved with the wall.

    Without a dial it is the wall; with a dial that no step has set it is anything up to its top.
    """
    here = wall(plan)
    if plan.dial is None:
        return here
    if state.dial is None:
        output = plan.record(plan.dial).output
        return Interval(0.0, output.high if output else float("inf"))
    nominal = plan.mains.voltage
    if nominal is None or here.is_anything:
        return state.dial if state.dial == ZERO else Interval(0.0, float("inf"))
    return Interval(state.dial.low * here.low / nominal.high, state.dial.high * here.high / nominal.low)


def fed(plan: Plan, state: State) -> Truth:
    """Whether volts can reach the set's outlet: supply on, limiter passing, dial not at zero."""
    if plan.dial is not None and state.dial == ZERO:
        return Truth.FALSE
    return supply_on(plan, state) & limiter_passes(plan, state)


def cord_live(plan: Plan, state: State) -> Truth:
    """Whether the set's cord and plug carry volts, its own switch on or off."""
    return fed(plan, state) if "set" in state.plugged else Truth.FALSE


def energised(plan: Plan, state: State) -> Truth:
    """Whether volts reach the set past its own switch."""
    return cord_live(plan, state) & closed("set", plan.set.switch, state)


def set_voltage(plan: Plan, state: State) -> Interval:
    """The volts at the set [V].

    The bound that holds for any set: nothing while it is not fed; what its meter was brought to; the dial's
    output while it is fed directly; between nothing and that while a lamp is in series. The electrical model
    narrows the last one (prediction.settled).
    """
    if cord_live(plan, state) is Truth.FALSE:
        return ZERO
    if state.set_reading is not None:
        return state.set_reading
    output = dial_output(plan, state)
    return output if limiter_in(plan, state) is Truth.FALSE else Interval(0.0, output.high)


def isolated(plan: Plan) -> Truth:
    """Whether an isolating transformer stands between the wall and the set, or a supply that the plan says is isolated.

    An autotransformer never counts: its output is part of the input circuit (note to IEC 60364-4-41, 411.7.4). Behind a
    supply that is not isolated no transformer helps, for its output may be joined to earth.
    """
    direct = plan.record("direct_current_supply")
    if direct is not None:
        return Truth.stated(direct.isolated)
    transformer, the_set = plan.position("isolating_transformer"), plan.position("set")
    return Truth.of(transformer is not None and the_set is not None and transformer < the_set)


def direct_current(plan: Plan) -> bool:
    """Whether what reaches the set is direct current: from a supply of it, or because the mains are."""
    return plan.has("direct_current_supply") or plan.mains.kind == CURRENTS[1]


def earth_joined(plan: Plan, state: State) -> Truth:
    """Whether something joins the set, behind the isolating transformer, to earth.

    An earthed output, a bonded chassis, an aerial or earth lead, or an earthed instrument at the set.
    """
    bonded = Truth.UNKNOWN if plan.set.earth is None else Truth.of(plan.set.earth == "bonded")
    instruments = Truth.FALSE
    at_the_set = {name for name, _ in state.connected | state.clipped}
    for instrument in plan.bench.instruments or ():
        if instrument.name in at_the_set:
            instruments |= joins_to_earth(instrument)
    return lead_to_earth(plan, state) | bonded | instruments


def joins_to_earth(instrument: Instrument) -> Truth:
    """Whether an instrument joins what it is clipped to with earth: its earth is there, and it looks through no differential
    probe."""
    earthed = Truth.stated(instrument.earthed) & ~Truth.stated(instrument.earth_lifted)
    return earthed & ~Truth.stated(instrument.differential_probe)


def lead_to_earth(plan: Plan, state: State) -> Truth:
    """Whether an earthed output of the isolating transformer, an aerial or an earth lead joins the set to earth."""
    transformer = plan.record("isolating_transformer")
    output = Truth.stated(transformer.output_earthed) if transformer else Truth.FALSE
    return output | joined(plan.set.aerial, state, "aerial") | joined(plan.set.earth_lead, state, "earth lead")


def joined(stated: str | None, state: State, lead: str, *others: str) -> Truth:
    """Whether a lead, or another in its place, is on the set; one of which the plan says nothing may be."""
    if any(what in (lead, *others) for what, _ in state.connected):
        return Truth.TRUE
    return Truth.UNKNOWN if stated is None and lead not in state.apart else Truth.FALSE
