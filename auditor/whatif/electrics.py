"""What the meters show of a set with a fault, from the same electrical model as a healthy one."""

from __future__ import annotations

from dataclasses import replace

from auditor.bench import circuit, described
from auditor.bench.electrical.load import SetLoad
from auditor.bench.prediction import Readings, settled, with_loads
from auditor.bench.state import State
from auditor.logic.interval import Interval
from auditor.logic.truth import Truth
from auditor.plan.plan import Plan
from auditor.whatif.fault import Effect
from auditor.whatif.world import LAMP, World, seen

REFERENCE = Interval.exactly(100.0)
"""The volts at which the watts of a short are stated; any would do [V]."""
ZERO = Interval.exactly(0.0)


def faulty(world: World, state: State, *, sure: bool) -> Readings:
    """The readings with the fault. sure: whether it is surely there by now; else it may be, or may not."""
    plan, effect, here = world.plan, world.effect, seen(world, state)
    if not effect.changes_the_load:
        found = settled(plan, here)
        return _with_peak(plan, here, found) if effect.b_plus else found
    if effect.at == "the cord":
        here = replace(here, on=here.on | {"set"})
    if effect.at == "B+" and conducts(plan, here) is Truth.FALSE:
        return settled(plan, here)
    healthy = described.set_loads(plan, here)
    loads = tuple(dict.fromkeys(load for well in healthy or (None,) for load in _loads(effect, well)))
    found = with_loads(plan, here, loads if sure else (*loads, *healthy))
    return _with_peak(plan, here, found) if effect.b_plus else found


def shows(world: World, state: State) -> bool:
    """Whether the fault surely acts in this state: power reaches it, and B+ is up where it needs that."""
    plan, here = world.plan, seen(world, state)
    if world.effect.at == "the cord":
        return circuit.cord_live(plan, here) is Truth.TRUE
    if circuit.energised(plan, here) is not Truth.TRUE:
        return False
    return world.effect.at != "B+" or conducts(plan, here) is Truth.TRUE


def conducts(plan: Plan, state: State) -> Truth:
    """Whether the rectifier of a healthy set would make B+ at these volts."""
    supplies, rated = described.supplies(plan, state), described.rated_voltage(plan)
    if rated is None or not supplies:
        return Truth.UNKNOWN
    if state.out & {"tubes", "rectifier tube", "fuse"}:
        return Truth.FALSE
    volts = settled(plan, state).set_voltage
    found = {_enough(volts, rated, supply.onset if supply.needs_heat else ZERO) for supply in supplies}
    return found.pop() if len(found) == 1 else Truth.UNKNOWN


def _enough(volts: Interval, rated: Interval, onset: Interval) -> Truth:
    """Whether these volts make a rectifier conduct: surely, surely not, or perhaps."""
    if volts.low > 0.0 and volts.low >= onset.high * rated.high:
        return Truth.TRUE
    return Truth.FALSE if volts.high <= onset.low * rated.low else Truth.UNKNOWN


def _loads(effect: Effect, healthy: described.Load | None) -> tuple[described.Load, ...]:
    """The faulty set as a load; none where it is a share of a healthy one of which nothing is known."""
    if effect.open_circuit:
        return (SetLoad(REFERENCE, ZERO, described.COLD_HEATERS),)
    if effect.short is not None:
        return (SetLoad(REFERENCE, REFERENCE * REFERENCE / effect.short, described.COLD_HEATERS),)
    if healthy is None or effect.draws is None:
        return ()
    return (replace(healthy, power=healthy.power * effect.draws),)


def _with_peak(plan: Plan, state: State, readings: Readings) -> Readings:
    """With nothing drawn on B+, so that it may stand at the peak that belongs to the volts."""
    rated, supplies = described.rated_voltage(plan), described.supplies(plan, state)
    if rated is None or not supplies:
        return readings
    peak = max(supply.peak.high for supply in supplies)
    return replace(readings, b_plus=Interval(0.0, peak * readings.set_voltage.high / rated.low))


class Electrics:
    """The readings of one world in the numbered states of its plan, each computed once."""

    def __init__(self, world: World, states: tuple[State, ...]) -> None:
        self.world, self.states = world, states
        self._shows: dict[int, bool] = {}
        self._faulty: dict[tuple[int, bool], Readings] = {}

    def shows(self, state: int) -> bool:
        """Whether the fault surely acts in the state of this number."""
        if state not in self._shows:
            self._shows[state] = shows(self.world, self.states[state])
        return self._shows[state]

    def faulty(self, state: int, *, sure: bool) -> Readings:
        """The readings with the fault, surely or perhaps there."""
        if (state, sure) not in self._faulty:
            self._faulty[state, sure] = faulty(self.world, self.states[state], sure=sure)
        return self._faulty[state, sure]


class Model:
    """The readings of a plan in every world that is asked for; worlds that no meter tells apart share them."""

    def __init__(self, plan: Plan, states: tuple[State, ...]) -> None:
        self._plan, self._states = plan, states
        self._worlds: dict[object, Electrics] = {}
        self.healthy = self.of(World(plan))

    def of(self, world: World) -> Electrics:
        """The readings of this world."""
        lamp = frozenset({LAMP}) & world.removed
        key = (tuple(getattr(world.effect, name) for name in ELECTRICAL), lamp)
        if key not in self._worlds:
            self._worlds[key] = Electrics(World(self._plan, None, world.effect, lamp), self._states)
        return self._worlds[key]


ELECTRICAL = ("short", "draws", "at", "open_circuit", "b_plus", "lamp", "stays_closed", "switched_on")
"""The parts of an effect that the meters of the chain can tell."""
