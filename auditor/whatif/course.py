"""One world played through a plan, along every path: what harm is done before somebody surely notices."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from math import inf

from auditor.bench import circuit
from auditor.bench.electrical.body import Shock
from auditor.bench.stored_charge import Held, held_after, held_at_start
from auditor.bench.touch import INSIDE, NOTHING
from auditor.bench.trace import Sample
from auditor.logic.interval import Interval
from auditor.logic.truth import Truth
from auditor.plan.plan import Plan
from auditor.plan.steps import Step
from auditor.whatif.contact import Contact, at_the_touch, on_the_cabinet
from auditor.whatif.electrics import Model
from auditor.whatif.harm import SHOCK, Harm
from auditor.whatif.moments import Moment, Moments
from auditor.whatif.noticing import REACTION, Sign, at_the_step, on_the_meters, watched
from auditor.whatif.overload import Strain, strains
from auditor.whatif.world import CHECKS, World, attended, seen

UNKNOWN_VOLTAGE, UNKNOWN_CAPACITANCE = 450.0, 100e-6
"""Taken for a filter capacitor of which the plan says no volts, or no farads [V, F]: the largest usual ones."""
WITH_A_TOOL = frozenset({"discharge", "prove_dead"})
"""Steps that meet a charge with a tool made for it."""
ALIVE = 1.0 - 1e-9
"""A part whose used share of what it stands is above this is gone."""


@dataclass(frozen=True, slots=True)
class Notice:
    """The operator surely sees a sign. words: what shows; step: at which; index: its place on the plan as written; told:
    whether the plan says to look for it and to stop."""

    words: str
    step: Step
    index: int
    told: bool


@dataclass
class Course:
    """What happens in one world: the harms in the order in which they are met, and every sign that surely shows on the
    plan as written, up to the step at which the operator stops."""

    harms: list[Harm] = field(default_factory=list)
    shown: list[Notice] = field(default_factory=list)

    @property
    def notice(self) -> Notice | None:
        """The sign at which the operator stops."""
        return next((shown for shown in self.shown if shown.told), None)

    @property
    def seen(self) -> Notice | None:
        """The first sign, whether or not the plan says to look for it."""
        return next(iter(self.shown), None)


@dataclass(slots=True)
class Walk:
    """Where a path stands: what the capacitors hold; what share of what it stands each part has used; for how long power
    has surely been on [s]."""

    held: Held
    used: dict[str, float]
    powered: float = 0.0

    def copy(self) -> Walk:
        return Walk(dict(self.held), dict(self.used), self.powered)


class Player:
    """Plays one world. What depends on the state alone is worked out once a state."""

    def __init__(self, world: World, moments: Moments, model: Model) -> None:
        self.world, self.plan, self.moments = world, world.plan, moments
        self.well, self.electrics = model.healthy, model.of(world)
        self.starts = world.fault.starts.high if world.fault is not None else 0.0
        self.looks = world.fault is not None and world.has(CHECKS)
        self._cabinet: dict[int, Contact] = {}
        self._touched: dict[tuple[int, str], Contact] = {}
        self._strains: dict[tuple[int, bool], tuple[Strain, ...]] = {}
        self._live: dict[int, bool] = {}

    def play(self) -> Course:
        """The whole plan, until somebody surely stops it."""
        course, walk = Course(), Walk(held_at_start(self.plan, self.moments.main[0].sample.state), {})
        for index, moment in enumerate(self.moments.main):
            for way in self.moments.ways.get(index, ()):
                there = walk.copy()
                for step in way.moments:
                    if self._moment(step, index, way.why, there, course):
                        break
            if self._moment(moment, index, None, walk, course):
                break
        return course

    def _moment(self, moment: Moment, index: int, why: str | None, walk: Walk, course: Course) -> bool:
        """Play one moment; whether the operator stops after it."""
        sample, live = moment.sample, self._is_live(moment.state)
        course.harms += self._touches(moment, index, why, walk.held)
        if not sample.exit:
            return False
        walk.powered = walk.powered + sample.elapsed.low if live else 0.0
        acting = walk.powered - self.starts
        signs = list(self._signs(moment, live, acting)) if self.looks else []
        stops_after = min((after for _, told, after in signs if told), default=None)
        if why is None:
            course.shown += [Notice(sign.words, sample.step, index, told) for sign, told, _ in sorted(signs, key=_soonest)]
        if live:
            time = sample.elapsed.high if stops_after is None else min(sample.elapsed.high, stops_after)
            if sample.tail == 1:
                time = min(time, REACTION)
            course.harms += self._strained(moment, index, why, walk, time, acting >= 0.0)
        walk.held = self._held(moment, walk.held, live)
        return stops_after is not None

    def _is_live(self, state: int) -> bool:
        """Whether volts may reach the cord of the set."""
        if state not in self._live:
            here = seen(self.world, self.moments.states[state])
            self._live[state] = circuit.cord_live(self.plan, here) is not Truth.FALSE
        return self._live[state]

    def _signs(self, moment: Moment, live: bool, acting: float) -> Iterator[tuple[Sign, bool, float]]:
        """Every sign that surely shows at the end of a step, whether the plan says to stop at it, and after which time [s]."""
        step, state = moment.sample.step, moment.state
        told = step.can_fail() or (step.expect is not None and step.otherwise is not None)
        for sign in at_the_step(self.world, step):
            yield sign, told, inf
        if not live or acting < 0.0 or not self.electrics.shows(state):
            return
        faulty = self.electrics.faulty(state, sure=True)
        for sign in on_the_meters(self.plan, step, self.well.faulty(state, sure=True), faulty):
            yield sign, told, inf
        conditions = (*(self.plan.stop_when if self.plan.stop_then else ()), *step.stop_if)
        if attended(self.world, step):
            for sign in watched(self.world, conditions, self.moments.states[state], faulty):
                if acting >= sign.after:
                    yield sign, True, sign.after + REACTION

    def _touches(self, moment: Moment, index: int, why: str | None, held: Held) -> Iterator[Harm]:
        state, place, step = moment.state, moment.place, moment.sample.step
        if state not in self._cabinet:
            self._cabinet[state] = on_the_cabinet(self.world, self.moments.states[state])
        cabinet = self._cabinet[state]
        if cabinet.shock > Shock.NOTHING:
            yield Harm(SHOCK, "the cabinet", "the chassis and all metal joined to it stand at up to "
                       f"{cabinet.voltage:.0f} V to earth: {_amps(cabinet.current)} through a hand", step, index, why,
                       cabinet.shock)
        if place == NOTHING:
            return
        if (state, place) not in self._touched:
            self._touched[state, place] = at_the_touch(self.world, self.moments.states[state], place)
        here = self._touched[state, place]
        if here.shock > Shock.NOTHING:
            yield Harm(SHOCK, place, f"a hand at the {place} meets up to {here.voltage:.0f} V", step, index, why, here.shock)
        if place == INSIDE and step.verb not in WITH_A_TOOL:
            yield from _charged(self.plan, step, index, why, held)

    def _strained(self, moment: Moment, index: int, why: str | None, walk: Walk, time: float, acting: bool
                  ) -> Iterator[Harm]:
        sure = acting and self.electrics.shows(moment.state)
        key = moment.state, sure
        if key not in self._strains:
            self._strains[key] = tuple(strains(self.world, self.electrics.faulty(moment.state, sure=sure)))
        used = {}
        for strain in self._strains[key]:
            if strain.ended <= strain.stands and strain.stands > 0.0:
                continue  # the fuse opens before the part is harmed
            before = walk.used.get(strain.part, 0.0)
            more = 1.0 if strain.stands <= 0.0 else min(time, strain.ended) / strain.stands
            used[strain.part] = before + more
            if before <= ALIVE < before + more:
                yield Harm(strain.hazard, strain.part, strain.says, moment.sample.step, index, why)
        walk.used = used

    def _held(self, moment: Moment, held: Held, live: bool) -> Held:
        """What the capacitors hold afterwards, with a discharging tool or a meter that may be of no use."""
        verb, effect = moment.sample.step.verb, self.world.effect
        if (verb == "discharge" and effect.tool is not None) or (verb == "prove_dead" and effect.meter is not None):
            return held
        b_plus = self.electrics.faulty(moment.state, sure=False).b_plus if live else Interval.exactly(0.0)
        return held_after(self.plan, moment.sample, held, b_plus)


def _soonest(found: tuple[Sign, bool, float]) -> tuple[bool, float]:
    _, told, after = found
    return not told, after


def _charged(plan: Plan, step: Step, index: int, why: str | None, held: Held) -> Iterator[Harm]:
    for capacitor in plan.set.filter_capacitors or ():
        volts = held.get(capacitor.name)
        high = UNKNOWN_VOLTAGE if volts is None else volts.high
        farads = capacitor.capacitance.high if capacitor.capacitance is not None else UNKNOWN_CAPACITANCE
        if (shock := Shock.of_charge(high, farads)) > Shock.NOTHING:
            yield Harm(SHOCK, capacitor.name, f"{capacitor.name} still holds up to {high:.0f} V", step, index, why, shock)


def _amps(amperes: float) -> str:
    return f"{1e3 * amperes:.2g} mA" if amperes < 0.1 else f"{amperes:.2g} A"


