"""One world played through a plan, along every path: what harm is done before somebody surely notices."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from math import inf

from auditor.bench.electrical.body import Shock
from auditor.bench.stored_charge import Held
from auditor.bench.touch import INSIDE, NOTHING
from auditor.plan.steps import Step
from auditor.whatif import contact
from auditor.whatif.charge import Charges, kind_of_charge, shocks
from auditor.whatif.electrics import Model
from auditor.whatif.harm import SHOCK, Harm
from auditor.whatif.moments import Moment, Moments
from auditor.whatif.noticing import REACTION, Sign, at_the_step, on_the_meters, watched
from auditor.whatif.overload import Strain, reforming, strains
from auditor.whatif.world import CHECKS, World, attended

WITH_A_TOOL = frozenset({"discharge", "prove_dead"})
"""Steps that meet a charge with a tool made for it."""
SAYS_WHAT_FAILS = frozenset({"prove_dead", "reform"})
"""Steps whose own criterion is enough: below so many volts, at most so many amperes."""
LEAVES_THE_BENCH = frozenset({"after repair", "demonstration", "return to service"})
"""Purposes after which the set is used without the bench."""
ALIVE = 1.0 - 1e-9
"""A part whose used share of what it stands is above this is gone."""
NO_TIME = 0.0
"""No time [s]."""


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
    """What happens in one world: the harms in the order in which they are met; and on the plan as written, up to the step at
    which the operator stops, every sign that surely shows, and the moments at which the fault acts."""

    harms: list[Harm] = field(default_factory=list)
    shown: list[Notice] = field(default_factory=list)
    acted: set[int] = field(default_factory=set)

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
    """Where a path stands: what share of what it stands each part has used, and how long power has surely been on [s]."""

    used: dict[str, float] = field(default_factory=dict)
    powered: float = 0.0


Danger = tuple[str, str, Shock]
"""The part that a hand meets, what it meets there, and how bad that is."""


class Rehearsal:
    """A plan with its model, ready for worlds to be played through it. What depends on a state alone is kept."""

    def __init__(self, moments: Moments) -> None:
        self.moments = moments
        self.model = Model(moments.plan, moments.states)
        self._charges: dict[tuple[object, ...], Charges] = {}
        self._dangers: dict[object, dict[tuple[int, str], tuple[Danger, ...]]] = {}

    def charges(self, world: World) -> Charges:
        """What the capacitors hold in this world."""
        kind = kind_of_charge(world.effect)
        if kind not in self._charges:
            self._charges[kind] = Charges(self.moments, self.model, world.effect)
        return self._charges[kind]

    def dangers(self, world: World) -> dict[tuple[int, str], tuple[Danger, ...]]:
        """What a hand meets in each state at each place, as far as it has been worked out for worlds that feel alike."""
        felt = tuple(getattr(world.effect, name) for name in contact.MATTERS)
        return self._dangers.setdefault((felt, world.removed), {})

    def play(self, world: World) -> Course:
        """The whole plan in this world, until somebody surely stops it."""
        return _Play(world, self).whole()


class _Play:
    def __init__(self, world: World, rehearsal: Rehearsal) -> None:
        self.world, self.plan, self.moments = world, world.plan, rehearsal.moments
        self.well, self.electrics = rehearsal.model.healthy, rehearsal.model.of(world)
        self.charges = rehearsal.charges(world)
        self.looks = world.fault is not None and world.has(CHECKS)
        self.course = Course()
        self._dangers = rehearsal.dangers(world)
        self._strains: dict[int, tuple[Strain, ...]] = {}

    def whole(self) -> Course:
        walk = Walk()
        if not self.moments.main:
            return self.course
        for index, moment in enumerate(self.moments.main):
            for number, way in enumerate(self.moments.ways.get(index, ())):
                self._branch(index, number, way.why, way.moments, walk)
            self._touched(moment, index, None, self.charges.main[index])
            if self._ends_here(moment, index, None, walk):
                return self.course
        self._left_behind(self.moments.main[-1], len(self.moments.main) - 1, None)
        for name, volts, shock in shocks(self.plan, self.charges.at_the_end):
            self._harm(SHOCK, name, f"{name} is left with up to {volts:.0f} V", None, index, None, shock)
        in_use = contact.in_use(self.world).shock
        if self.plan.header.purpose in LEAVES_THE_BENCH and in_use > Shock.NOTHING:
            says = "metal of the set stands at mains voltage when it is used again"
            self._harm(SHOCK, "the set in use", says, None, index, None, in_use)
        return self.course

    def _left_behind(self, last: Moment, index: int, why: str | None) -> None:
        """What whoever opens the set next meets: a live set, or an interlock that no longer cuts the power."""
        here = contact.at_the_touch(self.world, self.moments.states[last.state], INSIDE)
        if here.shock > Shock.NOTHING:
            self._harm(SHOCK, INSIDE, "the set is left with power on it", None, index, why, here.shock)
        if why is None and any(what == "interlock bypass" for what, _ in self.moments.states[last.state].connected):
            says = "the interlock of the back is left bypassed: an open back is live"
            self._harm(SHOCK, "the interlock", says, None, index, None, Shock.KILLS)

    def _harm(self, hazard: str, part: str, says: str, step: Step | None, index: int, why: str | None,
              shock: Shock = Shock.NOTHING, *, minor: bool = False) -> None:
        self.course.harms.append(Harm(hazard, part, says, step, index, why, shock, minor))

    def _branch(self, index: int, number: int, why: str, moments: tuple[Moment, ...], walk: Walk) -> None:
        there = Walk(dict(walk.used), walk.powered)
        reaches_in = any(moment.place == INSIDE for moment in moments)
        for k, moment in enumerate(moments):
            held = self.charges.way(index, number)[k] if reaches_in else {}
            self._touched(moment, index, why, held)
            # A step cut short does what it does on the plan as written, or less.
            if not moment.sample.failed and self._ends_here(moment, index, why, there):
                return
        self._left_behind(moments[-1], index, why)

    def _ends_here(self, moment: Moment, index: int, why: str | None, walk: Walk) -> bool:
        """Let the time of a moment pass; whether the operator stops after it."""
        sample = moment.sample
        if not sample.exit:
            return False
        world, elapsed = self.world, sample.elapsed.high if self.world.slow else sample.elapsed.low
        live = self.electrics.live(moment.state)
        before = max(NO_TIME, walk.powered - world.starts)
        walk.powered = walk.powered + elapsed if live else NO_TIME
        after = walk.powered - world.starts
        acting = live and after >= 0.0 and self.electrics.acts(moment.state, eager=world.eager)
        signs = sorted(self._signs(moment, acting, before, after), key=_soonest) if self.looks else []
        if why is None:
            self.course.shown += [Notice(sign.words, sample.step, index, told) for sign, told, _ in signs]
            if acting:
                self.course.acted.add(index)
        if sample.step.verb == "reform":
            for strain in reforming(self.plan, sample.step):
                self._harm(strain.hazard, strain.part, strain.says, sample.step, index, why)
        stops_after = min((within for _, told, within in signs if told), default=None)
        if acting:
            time = min(elapsed, after, inf if stops_after is None else stops_after)
            self._strained(moment, index, why, walk, min(time, REACTION) if sample.tail == 1 else time)
        else:
            walk.used = {}
        return stops_after is not None

    def _signs(self, moment: Moment, acting: bool, before: float, after: float) -> Iterator[tuple[Sign, bool, float]]:
        """Every sign that surely shows in a step, whether the plan says to stop at it, and for how long the fault has then
        acted in this step [s]. before, after: how long it has acted at the beginning and at the end of the step."""
        step, state = moment.sample.step, moment.state
        told = step.otherwise is not None and (step.expect is not None or step.verb in SAYS_WHAT_FAILS)
        for sign in at_the_step(self.world, step):
            yield sign, told, inf
        if not acting:
            return
        faulty = self.electrics.faulty(state)
        for sign in on_the_meters(self.plan, step, self.well.faulty(state), faulty):
            yield sign, told, inf
        conditions = (*(self.plan.stop_when if self.plan.stop_then else ()), *step.stop_if)
        if attended(self.world, step):
            well = self.well.faulty(state)
            for sign in watched(self.world, conditions, self.moments.states[state], well, faulty):
                if after >= sign.after:
                    yield sign, True, max(0.0, sign.after - before) + REACTION

    def _touched(self, moment: Moment, index: int, why: str | None, held: Held) -> None:
        step, key = moment.sample.step, (moment.state, moment.place)
        if key not in self._dangers:
            self._dangers[key] = tuple(self._at(moment))
        for part, says, shock in self._dangers[key]:
            self._harm(SHOCK, part, says, step, index, why, shock, minor=shock is Shock.STARTLES)
        if moment.place == INSIDE and step.verb not in WITH_A_TOOL:
            for name, volts, shock in shocks(self.plan, held):
                self._harm(SHOCK, name, f"{name} still holds up to {volts:.0f} V", step, index, why, shock)

    def _at(self, moment: Moment) -> Iterator[Danger]:
        state = self.moments.states[moment.state]
        cabinet = contact.on_the_cabinet(self.world, state)
        if (shock := cabinet.shock) > Shock.NOTHING:
            says = (f"the chassis and all metal joined to it stand at up to {cabinet.voltage:.0f} V to earth: "
                    f"{_amps(cabinet.current)} through a hand{_until(cabinet.time)}")
            yield "the cabinet", says, shock
        if moment.place != NOTHING:
            here = contact.at_the_touch(self.world, state, moment.place)
            if (shock := here.shock) > Shock.NOTHING:
                yield moment.place, f"a hand at the {moment.place} meets up to {here.voltage:.0f} V", shock

    def _strained(self, moment: Moment, index: int, why: str | None, walk: Walk, time: float) -> None:
        if moment.state not in self._strains:
            self._strains[moment.state] = tuple(strains(self.world, self.electrics.faulty(moment.state)))
        used = {}
        for strain in self._strains[moment.state]:
            before = walk.used.get(strain.part, 0.0)
            used[strain.part] = before + strain.share(time)
            if before <= ALIVE < used[strain.part]:
                self._harm(strain.hazard, strain.part, strain.says, moment.sample.step, index, why)
        walk.used = used


def _soonest(found: tuple[Sign, bool, float]) -> tuple[bool, float]:
    _, told, after = found
    return not told, after


def _until(time: float) -> str:
    return f", until the residual current device opens within {time:.2g} s" if time < contact.NO_TIME_LIMIT else ""


def _amps(amperes: float) -> str:
    return f"{1e3 * amperes:.2g} mA" if amperes < 0.1 else f"{amperes:.2g} A"
