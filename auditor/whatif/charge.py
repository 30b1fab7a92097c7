"""What the filter capacitors hold at every moment of a plan, in the worlds that differ in it."""

from __future__ import annotations

from collections.abc import Iterator

from auditor.bench import circuit
from auditor.bench.electrical.body import Shock
from auditor.bench.state import initial_state
from auditor.bench.stored_charge import Held, held_after, held_at_start
from auditor.logic.interval import Interval
from auditor.logic.truth import Truth
from auditor.plan.plan import Plan
from auditor.whatif.electrics import Model, conducts
from auditor.whatif.fault import NO_EFFECT, Effect
from auditor.whatif.moments import Moment, Moments
from auditor.whatif.world import World, seen

UNKNOWN_VOLTAGE, UNKNOWN_CAPACITANCE = 450.0, 100e-6
"""Taken for a filter capacitor of which the plan says no volts, or no farads [V, F]: the largest usual ones."""
UNLISTED = "a capacitor that the plan does not list"
MAKES_B_PLUS = frozenset({None, "transformer", "transformerless", "switching"})
"""Supplies behind which there is always a filter capacitor."""
NOTHING = Interval.exactly(0.0)
MATTERS = ("b_plus", "tool", "meter", "lamp", "stays_closed", "switched_on")
"""The parts of an effect that leave more charge than a healthy set has; every other fault leaves less, or as much."""


class Charges:
    """What each capacitor holds before each moment of the plan as written, at its end, and before each moment of its
    branches."""

    def __init__(self, moments: Moments, model: Model, effect: Effect) -> None:
        self._moments = moments
        self._effect = NO_EFFECT.model_copy(update=dict(zip(MATTERS, effect.parts(MATTERS), strict=True)))
        self._world = World(moments.plan, None, self._effect)
        self._electrics = model.of(self._world)
        self._has_unlisted = not moments.plan.set.filter_capacitors and moments.plan.set.power_supply in MAKES_B_PLUS
        start = held_at_start(moments.plan, initial_state(moments.plan))
        *main, self.at_the_end = self._along(start, moments.main)
        self.main = tuple(main)
        self._ways: dict[tuple[int, int], tuple[Held, ...]] = {}

    def way(self, index: int, number: int) -> tuple[Held, ...]:
        """Along a branch: the `number`th of those that leave at `index`."""
        if (index, number) not in self._ways:
            branch = self._moments.ways[index][number].moments
            self._ways[index, number] = tuple(self._along(self.main[index], branch))
        return self._ways[index, number]

    def _along(self, held: Held, moments: tuple[Moment, ...]) -> Iterator[Held]:
        plan = self._moments.plan
        for moment in moments:
            yield held
            if moment.sample.exit and not self._useless(moment):
                here = seen(self._world, self._moments.states[moment.state])
                live = circuit.energised(plan, here) is not Truth.FALSE
                b_plus = self._electrics.faulty(moment.state).b_plus if live else NOTHING
                unlisted = {name: volts for name, volts in held.items() if name == UNLISTED}
                if live and self._has_unlisted and conducts(plan, here) is not Truth.FALSE:
                    unlisted = {UNLISTED: None}  # that nobody can name, and so nobody discharges
                listed = {name: volts for name, volts in held.items() if name != UNLISTED}
                held = {**held_after(plan, moment.sample, listed, b_plus), **unlisted}
        yield held

    def _useless(self, moment: Moment) -> bool:
        """Whether the tool discharges nothing, so that only who heeds the meter is warned, or the meter shows nothing."""
        verb, effect = moment.sample.step.verb, self._effect
        return (verb in ("discharge", "prove_dead") and effect.tool is not None) or (
            verb == "prove_dead" and effect.meter is not None)


def shocks(plan: Plan, held: Held) -> Iterator[tuple[str, float, Shock]]:
    """Every capacitor whose charge shocks a hand: its name, its volts [V], and how badly."""
    if UNLISTED in held:
        yield UNLISTED, UNKNOWN_VOLTAGE, Shock.of_charge(UNKNOWN_VOLTAGE, UNKNOWN_CAPACITANCE)
    for capacitor in plan.set.filter_capacitors or ():
        volts = held.get(capacitor.name)
        high = UNKNOWN_VOLTAGE if volts is None else volts.high
        farads = capacitor.capacitance.high if capacitor.capacitance is not None else UNKNOWN_CAPACITANCE
        if (shock := Shock.of_charge(high, farads)) > Shock.NOTHING:
            yield capacitor.name, high, shock
