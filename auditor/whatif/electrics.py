"""What the meters show of a set with a fault, from the same electrical model as a healthy one."""

from __future__ import annotations

from collections.abc import Callable
from math import inf

from msgspec.structs import replace

from auditor.bench import circuit, described, usual_loads
from auditor.bench.electrical.load import SetLoad
from auditor.bench.prediction import Readings, settled, standing, unsettled, with_loads
from auditor.bench.state import State
from auditor.logic.interval import Interval
from auditor.logic.truth import Truth
from auditor.plan.plan import Plan
from auditor.whatif.fault import Effect
from auditor.whatif.moments import Way
from auditor.whatif.world import LAMP, World, seen

REFERENCE = Interval.exactly(100.0)
"""The volts at which the watts of a short are stated; any would do [V]."""
ZERO = Interval.exactly(0.0)


def faulty(world: World, state: State) -> Readings:
    """The readings with the fault, which acts."""
    def standing_still(plan: Plan, here: State, draws: Interval) -> Readings:
        return standing(plan, here, described.motor_power(plan) * draws)

    return _with_the_fault(world, seen(world, state), settled, described.set_loads, standing_still, settles=True)


def on_the_way(world: World, state: State, *, warm: bool) -> Readings:
    """The readings with the fault while heaters are on their way to what `faulty` gives: anything from cold to settled, as
    `prediction.unsettled` has it of a healthy set.

    warm: whether all had settled when the fault set in. Fed directly, a warm set then keeps its volts, and its heaters do
    not change. A short behind a rectifier that is cold yet is not felt, and heats nothing either: it is taken to be felt.
    Of a motor that stands nothing is said but that the set gets no more than the dial gives.
    """
    def standing_still(plan: Plan, here: State, draws: Interval) -> Readings:
        source = settled(plan, here).source_voltage
        return Readings(Interval(0.0, inf if source is None else source.high))

    here = seen(world, state)
    keeps_its_volts = warm and circuit.limiter_in(world.plan, here) is Truth.FALSE
    healthy, loads = (settled, described.set_loads) if keeps_its_volts else (unsettled, described.unsettled_loads)
    return _with_the_fault(world, here, healthy, loads, standing_still, settles=False)


def _with_the_fault(world: World, here: State, healthy: Callable[[Plan, State], Readings],
                    set_loads: Callable[[Plan, State], tuple[usual_loads.Load, ...]],
                    standing_still: Callable[[Plan, State, Interval], Readings], *, settles: bool) -> Readings:
    """The readings with the fault, which acts. healthy, set_loads: of the set without it; standing_still: of one whose
    motor stands and draws so many times what it does turning; settles: whether B+ has come down from its peak."""
    plan, effect = world.plan, world.effect
    if effect.changes_the_load and effect.at == "the motor" and effect.draws is not None:
        return standing_still(plan, here, effect.draws)
    loads: tuple[usual_loads.Load, ...] = ()
    if effect.changes_the_load:
        if effect.at == "the cord":
            here = replace(here, on=here.on | {"set"})
        loads = tuple(dict.fromkeys(load for well in set_loads(plan, here) or (None,) for load in _loads(effect, well)))
    found = with_loads(plan, here, loads) if loads else healthy(plan, here)
    peak = effect.b_plus or (effect.changes_the_load and not settles)
    return _with_peak(plan, here, found) if peak else found


def acts(world: World, state: State) -> Truth:
    """Whether the fault can do anything in this state: power reaches it, and B+ is up where it needs that."""
    plan, here = world.plan, seen(world, state)
    match world.effect.at:
        case "the cord":
            return circuit.cord_live(plan, here)
        case "B+":
            return circuit.energised(plan, here) & conducts(plan, here)
        case "the motor":
            return circuit.energised(plan, here) & Truth.of(any(what == "motor" for what, _ in here.connected))
    return circuit.energised(plan, here)


def conducts(plan: Plan, state: State) -> Truth:
    """Whether the rectifier of a healthy set would make B+ at these volts."""
    supplies, rated = described.supplies(plan, state), described.rated_voltage(plan)
    tube = plan.set.rectifier is not None and plan.set.rectifier.kind == "tube"
    if "fuse" in state.out or (tube and "rectifier tube" in state.out):
        return Truth.FALSE
    if rated is None or not supplies:
        return Truth.UNKNOWN
    volts = settled(plan, state).set_voltage
    found = set()
    for supply in supplies:
        if supply.needs_heat and "rectifier tube" in state.out:
            found.add(Truth.FALSE)
        else:
            found.add(_enough(volts, rated, supply.onset if supply.needs_heat else ZERO))
    return found.pop() if len(found) == 1 else Truth.UNKNOWN


def _enough(volts: Interval, rated: Interval, onset: Interval) -> Truth:
    """Whether these volts make a rectifier conduct: surely, surely not, or perhaps."""
    if volts.low > 0.0 and volts.low >= onset.high * rated.high:
        return Truth.TRUE
    return Truth.FALSE if volts.high <= onset.low * rated.low else Truth.UNKNOWN


def _loads(effect: Effect, healthy: usual_loads.Load | None) -> tuple[usual_loads.Load, ...]:
    """The faulty set as a load; none where it is a share of a healthy one of which nothing is known."""
    if effect.open_circuit:
        return (SetLoad(REFERENCE, ZERO, usual_loads.COLD_HEATERS),)
    if effect.short is not None:
        return (_beside(healthy, effect.short) if isinstance(healthy, SetLoad) else
                SetLoad(REFERENCE, REFERENCE * REFERENCE / effect.short, usual_loads.COLD_HEATERS),)
    if healthy is None or effect.draws is None:
        return ()
    return (replace(healthy, power=healthy.power * effect.draws),)


def _beside(healthy: SetLoad, resistance: Interval) -> SetLoad:
    """A resistance beside a healthy set, as one band of plain resistances that encloses the sum of the two.

    The set draws nothing at the least. At the most it draws twice what a resistance of its watts would: heaters take
    u**0.55 of their current at u of their volts, which is below 2 u from u = 0.22 on; at fewer volts what counts is the
    resistance that has pulled them down.
    """
    watts = healthy.voltage * healthy.voltage / resistance
    return SetLoad(healthy.voltage, watts + Interval(0.0, 2 * healthy.power.high), usual_loads.COLD_HEATERS)


def _with_peak(plan: Plan, state: State, readings: Readings) -> Readings:
    """With nothing drawn on B+, so that it may stand at the peak that belongs to the volts."""
    rated, supplies = described.rated_voltage(plan), described.supplies(plan, state)
    if rated is None or not supplies or ("rectifier tube" in state.out and all(supply.needs_heat for supply in supplies)):
        return readings
    if readings.set_voltage.high == inf:  # nobody says how many volts the wall has
        return replace(readings, b_plus=None)
    peak = max(supply.peak.high for supply in supplies)
    return replace(readings, b_plus=Interval(0.0, peak * readings.set_voltage.high / rated.low))


class Electrics:
    """The readings of one world in the numbered states of its plan, each computed once."""

    def __init__(self, world: World, states: tuple[State, ...]) -> None:
        self.world, self.states = world, states
        self._acts: dict[int, Truth] = {}
        self._live: dict[int, bool] = {}
        self._stays: dict[Way, bool] = {}
        self._faulty: dict[int, Readings] = {}
        self._on_the_way: dict[tuple[int, bool], Readings] = {}

    def live(self, state: int) -> bool:
        """Whether volts may reach the cord of the set."""
        if state not in self._live:
            here = seen(self.world, self.states[state])
            self._live[state] = circuit.cord_live(self.world.plan, here) is not Truth.FALSE
        return self._live[state]

    def stays_live(self, way: Way) -> bool:
        """Whether volts may reach the cord, or a capacitor that is reformed, after some action of a branch, which mostly cut
        the power at once."""
        if way not in self._stays:
            self._stays[way] = any(moment.sample.step.verb == "reform" or self.live(moment.state) for moment in way.moments
                                   if moment.sample.exit and not moment.sample.failed)
        return self._stays[way]

    def acts(self, state: int, *, eager: bool) -> bool:
        """Whether the fault acts in the state of this number; where that is open, whether it is eager."""
        if state not in self._acts:
            self._acts[state] = acts(self.world, self.states[state])
        truth = self._acts[state]
        return truth is Truth.TRUE or (eager and truth is Truth.UNKNOWN)

    def faulty(self, state: int) -> Readings:
        """The readings with the fault, where it acts."""
        if state not in self._faulty:
            self._faulty[state] = faulty(self.world, self.states[state])
        return self._faulty[state]

    def on_the_way(self, state: int, *, warm: bool) -> Readings:
        """The readings with the fault, where it acts, before all has settled. warm: whether all had when it set in."""
        if (state, warm) not in self._on_the_way:
            self._on_the_way[state, warm] = on_the_way(self.world, self.states[state], warm=warm)
        return self._on_the_way[state, warm]

    def settles(self, state: int, stood: float) -> bool:
        """Whether all has surely settled after the bench has stood so for this time [s]."""
        time = self.faulty(state).settling_time
        return time is None or stood >= time.high


class Model:
    """The readings of a plan in every world that is asked for; worlds that no meter tells apart share them."""

    def __init__(self, plan: Plan, states: tuple[State, ...]) -> None:
        self._plan, self._states = plan, states
        self._worlds: dict[object, Electrics] = {}
        self.healthy = self.of(World(plan))

    def of(self, world: World) -> Electrics:
        """The readings of this world."""
        lamp = frozenset({LAMP}) & world.removed
        key = (world.effect.parts(ELECTRICAL), lamp)
        if key not in self._worlds:
            self._worlds[key] = Electrics(World(self._plan, None, world.effect, removed=lamp), self._states)
        return self._worlds[key]


ELECTRICAL = ("short", "draws", "at", "open_circuit", "b_plus", "lamp", "stays_closed", "switched_on")
"""The parts of an effect that the meters of the chain can tell."""
