"""One world played through a plan, along every path: what harm is done before somebody surely notices."""

from __future__ import annotations

from collections.abc import Iterator
from math import exp, inf

from msgspec import Struct, field

from auditor.bench.state import NO_TIME as NOT_HELD
from auditor.bench.trace import DOING, Sample
from auditor.plan.steps import Step
from auditor.whatif import charge, contact
from auditor.whatif.appearance import Appearance, Stand, kind_of_appearance
from auditor.whatif.charge import Charges
from auditor.whatif.electrics import Model
from auditor.whatif.hands import IN_USE, Met, met
from auditor.whatif.harm import Harm
from auditor.whatif.moments import Moment, Moments, Way
from auditor.whatif.noticing import REACTION, Sign
from auditor.whatif.overload import Strain, cooling_time, reforming
from auditor.whatif.world import CHECKS, World, attended

SAYS_WHAT_FAILS = frozenset({"prove_dead", "reform"})
"""Steps whose own criterion is enough: below so many volts, at most so many amperes."""
ALIVE = 1.0 - 1e-9
"""A part whose used share of what it stands is above this is gone."""
NO_TIME = 0.0
"""No time [s]."""


class Notice(Struct, frozen=True):
    """The operator surely sees a sign. words: what shows; step: at which; index: its place on the plan as written; told:
    whether the plan says to look for it and to stop."""

    words: str
    step: Step
    index: int
    told: bool


class Course(Struct):
    """What happens in one world: every harm; and on the plan as written, up to the step at which the operator stops, every
    sign that surely shows, and the moments at which the fault acts, each with what has settled by its end."""

    harms: list[Harm] = field(default_factory=list)
    shown: list[Notice] = field(default_factory=list)
    acted: dict[int, Stand] = field(default_factory=dict)

    @property
    def notice(self) -> Notice | None:
        """The sign at which the operator stops."""
        return next((shown for shown in self.shown if shown.told), None)

    @property
    def seen(self) -> Notice | None:
        """The first sign, whether or not the plan says to look for it."""
        return next(iter(self.shown), None)


class Walk(Struct):
    """Where a path stands: what share of what it stands each part has used, how long power has been on [s], whether the
    fault acted in the step before, and for how long the bench has surely stood in which state [s]."""

    used: dict[str, float] = field(default_factory=dict)
    powered: float = 0.0
    acted: bool = False
    state: int | None = None
    stood: float = 0.0


class Rehearsal:
    """A plan with its model, ready for worlds to be played through it. What worlds have in common is kept."""

    def __init__(self, moments: Moments) -> None:
        self.moments = moments
        self.model = Model(moments.plan, moments.states)
        self._met: dict[object, tuple[Met, ...]] = {}
        self._appearances: dict[object, Appearance] = {}

    def met(self, world: World) -> tuple[Met, ...]:
        """What hands meet in this world, and in all that are alike to a hand."""
        kind = world.effect.parts(contact.MATTERS), world.effect.parts(charge.MATTERS), world.removed
        if kind not in self._met:
            self._met[kind] = met(world, self.moments, Charges(self.moments, self.model, world.effect))
        return self._met[kind]

    def appearance(self, world: World) -> Appearance:
        """What the fault of this world shows and strains."""
        kind = kind_of_appearance(world)
        if kind not in self._appearances:
            self._appearances[kind] = Appearance(world, self.moments.states, self.model.healthy, self.model.of(world))
        return self._appearances[kind]

    def play(self, world: World) -> Course:
        """The whole plan in this world, until somebody surely stops it."""
        return _Play(world, self).whole()


class _Play:
    def __init__(self, world: World, rehearsal: Rehearsal) -> None:
        self.world, self.plan, self.moments = world, world.plan, rehearsal.moments
        self.electrics, self.met = rehearsal.model.of(world), rehearsal.met(world)
        self.looks_like = rehearsal.appearance(world)
        self.looks = world.fault is not None and world.has(CHECKS)
        self.course = Course()
        self.begun = world.starts == NO_TIME

    def whole(self) -> Course:
        stopped = self._pass()
        self.course.harms += [one.harm for one in self.met if self._is_reached(one, stopped)]
        self.course.harms.sort(key=lambda harm: harm.index)
        return self.course

    def _pass(self) -> int | None:
        """Let the time of the plan pass; the moment after which the operator stops, None where nobody does."""
        walk = Walk()
        for index, moment in enumerate(self.moments.main):
            stops = self._ends_here(moment, index, None, walk)
            for way in self.moments.ways.get(index, ()):
                if self.electrics.stays_live(way):
                    self._branch(index, way, walk)
            if stops:
                return index
        return None

    def _branch(self, index: int, way: Way, walk: Walk) -> None:
        # A step cut short does at most what it does on the plan as written, and the branch goes on from there.
        there = Walk(dict(walk.used), walk.powered, walk.acted)
        any(self._ends_here(moment, index, way.why, there) for moment in way.moments if not moment.sample.failed)

    def _is_reached(self, one: Met, stopped: int | None) -> bool:
        """Whether a path comes so far: nobody stops before, on the plan or on the branch."""
        if one.way is None:
            return (stopped is None or one.place <= stopped) and (self.begun or one.harm.part != IN_USE)
        return (stopped is None or one.harm.index <= stopped) and not any(
            self._shows_without_power(moment) for moment in one.way.moments[:one.place])

    def _shows_without_power(self, moment: Moment) -> bool:
        return self.looks and moment.sample.exit and not moment.sample.failed and _tells(moment.sample.step) and any(
            self.looks_like.at(moment.sample.step))

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
        if walk.state != moment.state:  # and of the step that changes it only the hold is sure to come after the change
            walk.state, stood, walk.stood = moment.state, NO_TIME, (sample.step.hold or NOT_HELD).low
        else:
            stood, walk.stood = walk.stood, walk.stood + sample.elapsed.low
        stand = self.looks_like.stand(moment.state, walk.stood, after) if acting else None
        signs = sorted(self._signs(moment, stand, before, after, stood, walk), key=_soonest) if self.looks else []
        if why is None:
            self.course.shown += [Notice(sign.words, sample.step, index, told) for sign, told, _ in signs]
            if stand is not None:
                self.course.acted[index] = stand
                self.begun = True
        if sample.step.verb == "reform":
            self._strained(reforming(self.plan, sample.step), sample.step, index, why, walk, NO_TIME)
        stops_after = min((within for _, told, within in signs if told), default=None)
        if acting:
            time = min(elapsed, after, inf if stops_after is None else stops_after)
            self._strained(self.looks_like.strains(moment.state), sample.step, index, why, walk,
                           min(time, self._reacted(sample, elapsed)))
        else:
            self._cools(walk, (sample.step.hold or NOT_HELD).low if walk.acted else sample.elapsed.low)
        walk.acted = acting
        return stops_after is not None

    def _cools(self, walk: Walk, time: float) -> None:
        """Let parts lose heat for so long [s]: the least that they are sure to take up none. What is gone stays gone."""
        walk.used = {part: share if share > ALIVE else share * exp(-time / cooling_time(self.world, part))
                     for part, share in walk.used.items()}

    def _reacted(self, sample: Sample, elapsed: float) -> float:
        """The longest that the first action of a stop leaves power on [s]: whoever stops is quick, but a hold is a hold, and
        what the plan says that the action takes it takes."""
        if sample.tail != 1 or sample.step.takes is not None:
            return inf
        return elapsed - (DOING.high if self.world.slow else DOING.low) + REACTION

    def _signs(self, moment: Moment, stand: Stand | None, before: float, after: float, stood: float,
               walk: Walk) -> Iterator[tuple[Sign, bool, float]]:
        """Every sign that surely shows in a step, whether the plan says to stop at it, and for how long the fault has then
        acted in this step [s]. stand: what has settled by its end, None where the fault does not act; before, after: how
        long it has acted at the beginning and at the end; stood: how long the bench has stood so at the beginning."""
        step, state = moment.sample.step, moment.state
        for sign in self.looks_like.at(step):
            if self.begun or not sign.begun:
                yield sign, _tells(step), inf
        if stand is None:
            return
        for sign in self.looks_like.on_meters(step, state, stand):
            yield sign, _tells(step), inf
        if attended(self.world, step):
            for sign in self.looks_like.watched(step, state, stand):
                within = max(NO_TIME, sign.settles - min(stood, before),
                             min(sign.after - before, self._heated(sign.used, moment, walk)))
                if within <= after - before:
                    yield sign, True, within + REACTION

    def _heated(self, share: float, moment: Moment, walk: Walk) -> float:
        """How long a step must last until the part that the fault heats has used up this share of what it stands [s]."""
        heats = self.world.heats
        return min(((share - walk.used.get(strain.part, 0.0)) * strain.stands
                    for strain in self.looks_like.strains(moment.state)
                    if heats is not None and strain.part == heats.part), default=inf)

    def _strained(self, found: Iterator[Strain] | tuple[Strain, ...], step: Step, index: int, why: str | None, walk: Walk,
                  time: float) -> None:
        for strain in found:
            before = walk.used.get(strain.part, 0.0)
            walk.used[strain.part] = before + strain.share(time)
            if before <= ALIVE < walk.used[strain.part]:
                self.course.harms.append(Harm(strain.hazard, strain.part, strain.says, step, index, why))


def _tells(step: Step) -> bool:
    """Whether the plan says what to stop at in this step, and to stop."""
    return step.otherwise is not None and (step.expect is not None or step.verb in SAYS_WHAT_FAILS)


def _soonest(found: tuple[Sign, bool, float]) -> tuple[bool, float]:
    _, told, after = found
    return not told, after
