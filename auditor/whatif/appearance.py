"""What a fault of one severity shows and strains wherever the plan stands.

It is worked out once for all the ways in which the fault can be there that differ only in time.
"""

from __future__ import annotations

from functools import partial

from msgspec import Struct

from auditor.bench.forecast import READ_AFTER
from auditor.bench.state import State
from auditor.plan.steps import Step
from auditor.whatif.electrics import Electrics
from auditor.whatif.noticing import Pair, Sign, at_the_step, on_the_meters, watched
from auditor.whatif.overload import Strain, strains
from auditor.whatif.world import World


class Stand(Struct, frozen=True):
    """What has surely settled: the set that is well, the set with the fault, and the set before the fault set in."""

    well: bool
    faulty: bool
    before: bool


def kind_of_appearance(world: World) -> tuple[object, ...]:
    """Worlds that are equal in this show and strain the same."""
    effect = world.effect
    return world.fault.fault if world.fault else None, effect.short, effect.draws, effect.leaks, world.removed


class Appearance:
    """Signs and strains of one fault, by step and by the number of the state."""

    def __init__(self, world: World, states: tuple[State, ...], well: Electrics, electrics: Electrics) -> None:
        self._world, self._states, self._well, self._electrics = world, states, well, electrics
        self._at: dict[int, tuple[Sign, ...]] = {}
        self._on_meters: dict[tuple[int, int, Stand], tuple[Sign, ...]] = {}
        self._watched: dict[tuple[int, tuple[str, ...], Stand], tuple[Sign, ...]] = {}
        self._strains: dict[int, tuple[Strain, ...]] = {}

    def at(self, step: Step) -> tuple[Sign, ...]:
        """What shows whether or not the set has power."""
        if id(step) not in self._at:
            self._at[id(step)] = tuple(at_the_step(self._world, step))
        return self._at[id(step)]

    def stand(self, state: int, stood: float, acted: float) -> Stand:
        """What has settled when somebody reads the meters after the bench has surely stood so for one time, and the fault
        has acted for another [s]."""
        well, faulty = self._well, self._electrics
        return Stand(well.settles(state, stood + READ_AFTER), faulty.settles(state, min(stood, acted) + READ_AFTER),
                     well.settles(state, stood - acted))

    def on_meters(self, step: Step, state: int, stand: Stand) -> tuple[Sign, ...]:
        """What meters and lamp show at the end of a step against what it expects."""
        key = id(step), state, stand
        if key not in self._on_meters:
            self._on_meters[key] = tuple(
                on_the_meters(self._world.plan, step, self._states[state], *self.shown(state, stand)))
        return self._on_meters[key]

    def watched(self, step: Step, state: int, stand: Stand) -> tuple[Sign, ...]:
        """Which conditions for a stop are met by the end of a step, those of the plan and those of the step."""
        plan, key = self._world.plan, (state, step.stop_if, stand)
        if key not in self._watched:
            conditions = (*(plan.stop_when if plan.stop_then else ()), *step.stop_if)
            self._watched[key] = tuple(watched(
                self._world, conditions, self._states[state], *self.shown(state, stand),
                partial(self.shown, state, Stand(stand.before, False, stand.before)) if stand.faulty else None))
        return self._watched[key]

    def shown(self, state: int, stand: Stand) -> Pair:
        """The readings of a healthy set and of one with the fault, each settled or on its way."""
        return (self._well.faulty(state) if stand.well else self._well.on_the_way(state, warm=False),
                self._electrics.faulty(state) if stand.faulty else self._electrics.on_the_way(state, warm=stand.before))

    def strains(self, state: int) -> tuple[Strain, ...]:
        """What is overloaded."""
        if state not in self._strains:
            self._strains[state] = tuple(strains(self._world, self._electrics.faulty(state)))
        return self._strains[state]
