"""What a fault of one severity shows and strains wherever the plan stands.

It is worked out once for all the ways in which the fault can be there that differ only in time.
"""

from __future__ import annotations

from auditor.bench.state import State
from auditor.plan.steps import Step
from auditor.whatif.electrics import Electrics
from auditor.whatif.noticing import Sign, at_the_step, on_the_meters, watched
from auditor.whatif.overload import Strain, strains
from auditor.whatif.world import World


def kind_of_appearance(world: World) -> tuple[object, ...]:
    """Worlds that are equal in this show and strain the same."""
    effect = world.effect
    return world.fault.fault if world.fault else None, effect.short, effect.draws, effect.leaks, world.removed


class Appearance:
    """Signs and strains of one fault, by step and by the number of the state."""

    def __init__(self, world: World, states: tuple[State, ...], well: Electrics, electrics: Electrics) -> None:
        self._world, self._states, self._well, self._electrics = world, states, well, electrics
        self._at: dict[int, tuple[Sign, ...]] = {}
        self._on_meters: dict[tuple[int, int], tuple[Sign, ...]] = {}
        self._watched: dict[tuple[int, tuple[str, ...]], tuple[Sign, ...]] = {}
        self._strains: dict[int, tuple[Strain, ...]] = {}

    def at(self, step: Step) -> tuple[Sign, ...]:
        """What shows whether or not the set has power."""
        if id(step) not in self._at:
            self._at[id(step)] = tuple(at_the_step(self._world, step))
        return self._at[id(step)]

    def on_meters(self, step: Step, state: int) -> tuple[Sign, ...]:
        """What meters and lamp show against what the step expects."""
        if (id(step), state) not in self._on_meters:
            well, faulty = self._well.faulty(state), self._electrics.faulty(state)
            self._on_meters[id(step), state] = tuple(
                on_the_meters(self._world.plan, step, self._states[state], well, faulty))
        return self._on_meters[id(step), state]

    def watched(self, step: Step, state: int) -> tuple[Sign, ...]:
        """Which conditions for a stop are met, those of the plan and those of the step."""
        plan = self._world.plan
        if (state, step.stop_if) not in self._watched:
            conditions = (*(plan.stop_when if plan.stop_then else ()), *step.stop_if)
            well, faulty = self._well.faulty(state), self._electrics.faulty(state)
            self._watched[state, step.stop_if] = tuple(watched(self._world, conditions, self._states[state], well, faulty))
        return self._watched[state, step.stop_if]

    def strains(self, state: int) -> tuple[Strain, ...]:
        """What is overloaded."""
        if state not in self._strains:
            self._strains[state] = tuple(strains(self._world, self._electrics.faulty(state)))
        return self._strains[state]
