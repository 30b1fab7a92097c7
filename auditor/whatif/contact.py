"""What a hand meets where a step puts it, and on the cabinet at any time: volts, what stands in the way, how long."""

from __future__ import annotations

from math import hypot, inf, pi

from msgspec import Struct

from auditor.bench import circuit
from auditor.bench.electrical.body import BODY_RESISTANCE, Shock, body_current
from auditor.bench.electrical.protective import residual_device_opens
from auditor.bench.state import State
from auditor.bench.touch import BENCH, INSIDE, LAMP, NOTHING, PLUG
from auditor.logic.truth import Truth
from auditor.plan.equipment import LineCapacitor
from auditor.plan.plan import Plan
from auditor.whatif.world import RESIDUAL, World, bonded, isolates, seen

MATTERS = ("isolation", "earth", "plug", "leaks", "bare", "residual_current_device", "lamp", "stays_closed", "switched_on")
"""The parts of an effect that a hand can feel."""
HIGHEST_WALL = 253.0
"""Volts where the plan states no mains: 230 V and its tolerance (IEC 60038)."""
NO_TIME_LIMIT = 5.0
"""Nothing opens the circuit: as long as the law of fibrillation reaches [s] (Dalziel and Lee 1968)."""
UNKNOWN_CAPACITANCE = 0.1e-6
"""Taken for a capacitor from the line to the chassis that states no farads [F]: the largest usual one (from memory)."""
FREQUENCY = 60.0
"""Hertz where the mains do not state it: the higher of the usual two passes more through a capacitor."""


class Contact(Struct, frozen=True):
    """A hand on a place. voltage: to earth or to the other hand [V]; resistance: in the way, beside the body [ohm];
    time: until something opens the circuit [s]; assumed: what was taken for granted of it, in words, or nothing."""

    voltage: float
    resistance: float = 0.0
    time: float = NO_TIME_LIMIT
    assumed: str = ""

    @property
    def current(self) -> float:
        """Through the body [A]."""
        return body_current(self.voltage, self.resistance) if self.resistance < inf else 0.0

    @property
    def shock(self) -> Shock:
        """How bad it is. What a residual current device ends before the heart is at risk only startles: for that such
        devices are made."""
        shock = Shock.of_current(self.current, self.time)
        return min(shock, Shock.STARTLES) if self.time < NO_TIME_LIMIT and shock < Shock.KILLS else shock


NO_CONTACT = Contact(0.0, inf)


def on_the_cabinet(world: World, state: State) -> Contact:
    """A hand on the chassis, a knob's shaft, the aerial or the earth lead, and the other hand or a foot on earth."""
    plan, here = world.plan, seen(world, state)
    if circuit.cord_live(plan, here) is Truth.FALSE or isolates(world, here):
        return NO_CONTACT
    volts = line_voltage(plan, here)
    if world.effect.bare:
        return Contact(volts, 0.0, _opens(world, body_current(volts)))
    if bonded(world):
        return NO_CONTACT
    reach = _of_a_hot_chassis(world, here, volts) if plan.set.chassis != "isolated" else NO_CONTACT
    leak = _through_leaks(world, volts)
    worst = max(reach, leak, key=lambda contact: contact.current)
    return Contact(worst.voltage, worst.resistance, _opens(world, worst.current), worst.assumed)


def in_use(world: World) -> Contact:
    """A hand on metal of the set when it is back in use: closed, straight at the wall, with nobody watching and, for all
    that is known, no residual current device. What is joined to the mains is then behind the cabinet; a leak is not."""
    return NO_CONTACT if bonded(world) else _through_leaks(world, min(circuit.wall(world.plan).high, HIGHEST_WALL))


def at_the_touch(world: World, state: State, place: str) -> Contact:
    """A hand or a bare tool at a place that the step touches, one of bench.touch.TOUCHES, charge left aside."""
    plan, here = world.plan, seen(world, state)
    volts = line_voltage(plan, here)
    if place == INSIDE and circuit.cord_live(plan, here) is not Truth.FALSE:
        return Contact(max(volts, _b_plus(plan)))
    if place == PLUG and circuit.cord_live(plan, here) is not Truth.FALSE:
        return Contact(volts)
    if place in (LAMP, BENCH) and circuit.supply_on(plan, here) is not Truth.FALSE:
        return Contact(volts)
    return on_the_cabinet(world, state) if place != NOTHING else NO_CONTACT


def line_voltage(plan: Plan, state: State) -> float:
    """The most that a live part of the bench or the set can have [V]: an autotransformer's lower end may be the live one."""
    here, dial = circuit.wall(plan), circuit.dial_output(plan, state)
    highest = max(here.high, dial.high)
    return highest if highest < inf else HIGHEST_WALL


def _of_a_hot_chassis(world: World, state: State, volts: float) -> Contact:
    """A chassis that belongs to one side of the mains, or may: which side decides."""
    plug, effect = world.plan.set.plug, world.effect
    on_neutral = (plug is not None and plug.polarised is True and plug.neutral_to in ("chassis", "common")
                  and effect.plug is None)
    if not on_neutral:
        return Contact(volts)
    if world.plan.set.switch in ("in the neutral line", None) and \
            circuit.closed("set", world.plan.set.switch, state) is not Truth.TRUE:
        return Contact(volts, _through_the_set(world.plan))
    return NO_CONTACT


def _through_the_set(plan: Plan) -> float:
    """Cold resistance of heaters and whatever else joins the live side to the chassis [ohm]."""
    stated = plan.set.plug_resistance
    return stated.low if stated is not None else 0.0


def _through_leaks(world: World, volts: float) -> Contact:
    """From the line to a chassis that a transformer keeps apart: capacitors, or a fault of the insulation. A capacitor
    that does not state what it is between may be one of them."""
    leaks = [(inf, "")]
    if world.effect.leaks is not None:
        leaks.append((world.effect.leaks.low, ""))
    for capacitor in world.plan.set.line_capacitors or ():
        if capacitor.between in ("line and chassis", None):
            farads = UNKNOWN_CAPACITANCE if capacitor.capacitance is None else capacitor.capacitance.high
            leaks.append((_as_resistance(1 / (2 * pi * _frequency(world.plan) * farads)), _assumed(capacitor)))
    resistance, assumed = min(leaks)
    return Contact(volts, resistance, assumed=assumed)


def _assumed(capacitor: LineCapacitor) -> str:
    """What was taken for granted of a capacitor from the line to the chassis; nothing where the plan says all of it."""
    if capacitor.between is not None and capacitor.capacitance is not None:
        return ""
    farads = f"{1e6 * UNKNOWN_CAPACITANCE:g} uF " if capacitor.capacitance is None else ""
    name = capacitor.name or "a line capacitor"
    return f"should {name} be {farads}from the line to the chassis, for the plan does not say"


def _as_resistance(reactance: float) -> float:
    """The resistance in the way that lets the same current through a body as this reactance does [ohm]: the volts of body
    and capacitor add as the sides of a right angle."""
    return hypot(BODY_RESISTANCE, reactance) - BODY_RESISTANCE


def _frequency(plan: Plan) -> float:
    return float(plan.mains.frequency.split()[0]) if plan.mains.frequency else FREQUENCY


def _b_plus(plan: Plan) -> float:
    stated = plan.set.b_plus_peak or plan.set.b_plus
    return 0.0 if stated is None or stated.high == inf else stated.high


def _opens(world: World, current: float) -> float:
    """When a residual current device ends it, if there is one and no transformer hides the leak from it [s]."""
    plan = world.plan
    if world.effect.residual_current_device is not None or not world.has(RESIDUAL) \
            or circuit.isolated(plan) is not Truth.FALSE:
        return NO_TIME_LIMIT
    record = plan.record("residual_current_device")
    trips_at = (record.trips_at if record else None) or plan.mains.residual_current_device
    if trips_at is None:
        return NO_TIME_LIMIT
    return min(NO_TIME_LIMIT, residual_device_opens(current, trips_at.high))
