"""What a fault overloads, how long that is stood, and which fuse ends it before."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf
from typing import Any

from msgspec import Struct

from auditor.bench.circuit import wall
from auditor.bench.described import SMALLEST_TRANSFORMER, motor_power, rated_voltage, set_loads
from auditor.bench.electrical.motor import standing
from auditor.bench.electrical.protective import CORD_AMPACITY, fuse_opens_within, stands
from auditor.bench.prediction import Readings
from auditor.bench.state import State
from auditor.logic.interval import Interval
from auditor.plan.plan import Plan
from auditor.plan.steps import Step
from auditor.whatif.fault import HeatedPart
from auditor.whatif.harm import BURST, FIRE
from auditor.whatif.world import FUSES, World

CORD = CORD_AMPACITY[18]
"""Of the thinnest cord met on a set, where nobody states another [A]."""
WALL = Interval.exactly(20.0)
"""What the circuit of the wall is fused with, where the outlet states no fuse of its own [A]: a printed assumption, the
larger of the usual 15 and 20 A (from memory; 13 or 16 A elsewhere)."""
LARGEST_FUSE = 3.0
"""A set as a whole stands what the largest fuse of practice lets pass: two to three times its running current where
heaters in series are cold at first (common practice). Its parts may stand much less, which is for each fault to say."""
SMALLEST_DIAL = {"autotransformer": 1.0, "direct_current_supply": 0.5}
"""Rated current of an element with a dial that states none [A]: the smallest usual one (from memory)."""
COOLS = 3600.0
"""Time constant with which a part that is judged by its rating loses its heat [s]. A choice: as long as it is taken to stand
just more than its rating (`protective.stands`)."""
SURGE = 1.15
"""Volts that an electrolytic capacitor stands for a short time over its working voltage (IEC 60384-4, for ratings up to
315 V; 1.10 above that is from memory, and is not used)."""
MOST_WHILE_REFORMING = 0.010
"""Amperes into a capacitor that is being reformed (MIL-HDBK-1131C, as cited elsewhere)."""
FUSE_IS_TRUSTED = 0.3
"""However much heat: what a fuse ends in this time [s], at ten times its rating (IEC 60127-2, sheet 3), is over before it
burns. A choice: it is what a fuse is relied on for."""
CARRIES = {"autotransformer": "the brush of the autotransformer", "direct_current_supply": "the direct current supply"}
"""For each element with a dial, the part of it that a current may overload."""
STATED = "its rating"
MOST = 1e6
"""Stands for a current or a power that nothing limits."""


class Strain(Struct, frozen=True):
    """A part under more than it is made for. hazard, says: what comes of it; stands: how long until then [s]; ended:
    when a fuse ends it [s]."""

    part: str
    hazard: str
    says: str
    stands: float
    ended: float = inf

    def share(self, time: float) -> float:
        """How much of what the part stands is used up in so much time [s]: all of it from 1 on, nothing where a fuse opens
        before the part is harmed."""
        if self.stands <= 0.0:
            return 1.0
        return 0.0 if self.ended <= self.stands else min(time, self.ended) / self.stands


def strains(world: World, readings: Readings) -> Iterator[Strain]:
    """Everything that these readings, with the fault, overload."""
    yield from _over_voltage(world, readings)
    if readings.current is None or readings.set_power is None or readings.current.high <= 0.0:
        return
    current, watts = readings.current.high, readings.set_power.high
    ended = _fuses(world, readings, current)
    for part, ratio, of in _loads(world, readings, current, watts):
        if stands(ratio) < inf:
            yield Strain(part, FIRE, f"{part} carries {_times(ratio)} {of}", stands(ratio), ended)
    heats = world.heats
    if heats is not None:
        extra = _of_the_fault(world, readings, watts)
        for_good = _for_good(heats, world.plan)
        if extra > for_good:
            yield Strain(heats.part, heats.ends_in, f"{heats.part} takes {min(extra, MOST):.0f} W",
                         max(FUSE_IS_TRUSTED, heats.before.low * for_good / extra), ended)


def cooling_time(world: World, part: str) -> float:
    """The time constant with which a part loses the heat that it has taken up [s].

    What stands P watts for ever, and just more for a time t, has taken up P t by then; at the heat at which it is gone it
    loses P as well. The one over the other is its time constant: t.
    """
    return world.heats.before.low if world.heats is not None and world.heats.part == part else COOLS


def _for_good(heats: HeatedPart, plan: Plan) -> float:
    """The watts that the part stands for good [W]."""
    rated = plan.set.rated_power
    return max(heats.stands.low, heats.share.low * rated.low if heats.share is not None and rated is not None else 0.0)


def reforming(plan: Plan, step: Step) -> Iterator[Strain]:
    """What reforming does to the capacitors of the step: more than their surge voltage, or more heat than they stand.

    10 mA is the most while reforming (MIL-HDBK-1131C, as cited elsewhere); a capacitor that leaks or bulges takes it all.
    """
    for capacitor in plan.set.filter_capacitors or ():
        named = {capacitor.name, "all"} & set(step.each or ())
        on_the_same_line = capacitor.peak_voltage is None and step.inside != "out of the set"
        if step.to is None or not (named or on_the_same_line):
            continue
        if capacitor.working_voltage is not None and step.to.high > SURGE * capacitor.working_voltage.low * (1 + 1e-9):
            yield Strain(capacitor.name, BURST, f"{capacitor.name} is reformed at {step.to.high:.0f} V and is made for "
                                                f"{capacitor.working_voltage.low:.0f} V", 0.0)
        if not named:
            continue
        limits = [step.at_most.high if step.at_most is not None else inf,
                  step.to.high / step.through.resistance.low if step.through and step.through.resistance.low > 0.0 else inf]
        if min(limits) > MOST_WHILE_REFORMING * (1 + 1e-9):
            yield Strain(capacitor.name, BURST, f"{capacitor.name} may take more than 10 mA while it reforms", 0.0)
        if capacitor.condition in ("leaking", "bulged"):
            yield Strain(capacitor.name, BURST, f"{capacitor.name} is {capacitor.condition} and takes voltage", 0.0)


def _times(ratio: float) -> str:
    return f"{ratio:.1f} times" if ratio < 20 else "far more than"


def _of_the_fault(world: World, readings: Readings, watts: float) -> float:
    """The watts that go into the fault: all of a short's, of a heavier load those beyond the healthy share [W]; all of a
    motor's that stands still, for its turning would cool it."""
    short, draws = world.effect.short, world.effect.draws
    rated = rated_voltage(world.plan)
    if world.effect.at == "the motor" and draws is not None and rated is not None:
        still = standing(rated, motor_power(world.plan) * draws)
        return min(still.most().power(readings.set_voltage.high), watts)
    if short is not None:
        return min(readings.set_voltage.high ** 2 / short.low, watts)
    return watts if draws is None else watts * max(0.0, 1.0 - 1.0 / draws.high)


def _loads(world: World, readings: Readings, current: float, watts: float) -> Iterator[tuple[str, float, str]]:
    """Each part with what it carries over its rating, and which rating that is, in words: the stated one, else that of the
    smallest usual part of its kind."""
    plan, source = world.plan, readings.source_voltage
    yield "the cord of the set", current / CORD, STATED
    if world.effect.at != "the cord":
        if plan.set.rated_power is not None:
            yield "the set", _over(watts, LARGEST_FUSE * plan.set.rated_power.high), STATED
        else:
            yield from _of_a_small_set(world, readings, watts)
    if plan.dial is not None:
        rating, of = _rating(plan.record(plan.dial).rated_current, SMALLEST_DIAL[plan.dial], "A")
        yield CARRIES[plan.dial], _over(current, rating), of
    transformer = plan.record("isolating_transformer")
    if transformer is not None and source is not None:
        rating, of = _rating(transformer.rated_power, SMALLEST_TRANSFORMER, "VA")
        yield "the isolating transformer", _over(current * source.high, rating), of


def _rating(stated: Interval | None, smallest: float, unit: str) -> tuple[float, str]:
    """What a part is rated for at the least, and which rating that is, in words."""
    return (stated.low, STATED) if stated is not None else (
        smallest, f"the {smallest:g} {unit} of the smallest usual one, for the plan states none")


def _of_a_small_set(world: World, readings: Readings, watts: float) -> Iterator[tuple[str, float, str]]:
    """A set that states no watts, taken for the smallest usual one of its kind, with what it carries should it have the
    fault. One that is well is not overloaded by itself, and of its motor the fault says how long that stands."""
    plan, effect = world.plan, world.effect
    rated = rated_voltage(plan)
    smallest = min((load.power.low for load in set_loads(plan, State()) if load.power.low > 0.0), default=None)
    if rated is None or smallest is None or not effect.changes_the_load or effect.at == "the motor":
        return
    well = smallest * readings.set_voltage.high / rated.low  # at fewer volts it draws less than that
    if effect.short is not None:
        watts = min(well + readings.set_voltage.high ** 2 / effect.short.low, watts)
    elif effect.draws is not None:
        watts = min(well * effect.draws.high, watts)
    stood = LARGEST_FUSE * smallest
    yield "the set", watts / stood, f"the {stood:g} W that the smallest usual one stands, for the plan states no watts"


def _dial(plan: Plan) -> Any:
    """What is stated of the element that has the dial; None where the chain has none."""
    return plan.record(plan.dial) if plan.dial is not None else None


def _over(value: float, rating: float) -> float:
    """How many times its rating a part carries; one rated for nothing carries too much of anything."""
    return value / rating if rating > 0.0 else inf


def _fuses(world: World, readings: Readings, current: float) -> float:
    """When the first fuse in the way has surely opened [s]. One before the dial carries the current turned down with the
    volts."""
    plan, fuse = world.plan, world.plan.set.fuse
    if not world.has(FUSES):
        return inf
    dial, outlet = _dial(plan), plan.record("outlet")
    of_the_outlet = outlet.fuse if outlet is not None and outlet.fuse is not None else WALL
    ratings: list[Interval | None] = [dial.fuse if dial else None]
    if world.effect.at != "the cord" and world.effect.fuse is None and fuse is not None and fuse.fitted:
        ratings.append(fuse.rating)
    behind = (_over(current, rating.high) for rating in ratings if rating is not None)
    before = _over(current * _turned_down(plan, readings), of_the_outlet.high)
    return min(map(fuse_opens_within, (before, *behind)))


def _turned_down(plan: Plan, readings: Readings) -> float:
    """The volts of the dial over those of the wall, at the least."""
    source, here = readings.source_voltage, wall(plan)
    if plan.dial is None or source is None or not 0.0 < here.low < inf:
        return 1.0
    return source.low / here.low


def _over_voltage(world: World, readings: Readings) -> Iterator[Strain]:
    """Capacitors at more than their surge voltage: it bursts them at once, or soon."""
    for capacitor in world.plan.set.filter_capacitors or ():
        rated, highest = capacitor.working_voltage, readings.b_plus
        if rated is None or highest is None or capacitor.peak_voltage is not None or highest.high == inf:
            continue
        if highest.high > SURGE * rated.low * (1 + 1e-9):
            yield Strain(capacitor.name, BURST,
                         f"{capacitor.name} gets up to {highest.high:.0f} V and is made for {rated.low:.0f} V", 0.0)
