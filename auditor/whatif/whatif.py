"""Every usual fault against a plan: what gets through, what contains it, and by which sign it is noticed."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from enum import Enum

from msgspec import Struct

from auditor.bench.electrical.body import Shock
from auditor.bench.facts import FACTS, ITEM_KINDS, Facts, Replayed
from auditor.bench.item_facts import items
from auditor.logic.evaluate import Evaluation
from auditor.logic.nodes import Expression, names_in
from auditor.logic.truth import Truth
from auditor.plan.plan import Plan
from auditor.whatif.catalogue import Entry, load_catalogue
from auditor.whatif.contact import MATTERS as FELT
from auditor.whatif.course import Course, Notice, Rehearsal
from auditor.whatif.electrics import ELECTRICAL
from auditor.whatif.fault import NO_EFFECT, Fault
from auditor.whatif.harm import Harm
from auditor.whatif.moments import Moments, moments
from auditor.whatif.world import CHECKS, EARTH, FUSES, ISOLATION, LAMP, PROTECTIONS, RESIDUAL, World, worlds


class Verdict(Enum):
    """What a plan makes of a fault, the most serious first."""

    NOT_CONTAINED = "not contained"
    RESIDUAL = "residual"
    CONTAINED = "contained"
    HARMLESS = "does no harm here"
    RULED_OUT = "ruled out by what the plan states"
    CANNOT_BE = "cannot be in this set"
    NOT_PLAYED = "not played"


class Outcome(Struct, frozen=True):
    """One fault and one plan.

    assumed: facts that the plan does not state, so that the fault was taken to be possible. harms: what gets through, each
    kind once, to persons first. contained_by: of PROTECTIONS, those without which there would be harm; all of several
    where any one of them is enough. notice: where the plan has the operator look and stop. seen: the first sure sign.
    world: the way of being there that these speak of: the gravest that is not contained, else the gravest; None where the
    fault was not played.
    """

    fault: Fault
    topic: str
    verdict: Verdict
    world: World | None = None
    assumed: tuple[str, ...] = ()
    harms: tuple[Harm, ...] = ()
    contained_by: tuple[str, ...] = ()
    any_of_them: bool = False
    notice: Notice | None = None
    seen: Notice | None = None


class WhatIf(Struct, frozen=True):
    """All faults, and the harm that the plan does with everything well."""

    plan: Plan
    healthy: tuple[Harm, ...]
    outcomes: tuple[Outcome, ...]


WORKS_ON = {LAMP: ELECTRICAL, FUSES: (*ELECTRICAL, "fuse"), **dict.fromkeys((ISOLATION, EARTH, RESIDUAL), FELT)}
"""The parts of an effect that a protection can hold down."""
NOT_DONE = -1
"""Below every grade of a shock, and below the none of a harm that is no shock."""


class Trial:
    """A plan ready for faults to be tried on it."""

    def __init__(self, replayed: Replayed) -> None:
        self.plan = replayed.trace.plan
        self.moments: Moments = moments(self.plan, replayed.trace)
        self.rehearsal = Rehearsal(self.moments)
        self._replayed = replayed
        self._well: dict[frozenset[str], dict[tuple[str, str], Shock]] = {}

    def course(self, world: World) -> Course:
        """What happens in this world."""
        return self.rehearsal.play(world)

    def caused(self, world: World, course: Course) -> tuple[Harm, ...]:
        """The harms that are the fault's: those that the same bench without it does not do, or not as badly, each kind
        once."""
        if world.removed not in self._well:
            well = _each_once(self.course(World(self.plan).without(*world.removed)).harms)
            self._well[world.removed] = {(harm.hazard, harm.part): harm.shock for harm in well}
        worst = self._well[world.removed]
        return _each_once(h for h in course.harms if h.shock > worst.get((h.hazard, h.part), NOT_DONE))

    def possible(self, entry: Entry) -> bool:
        """Whether the set may have this fault, and the model plays it."""
        return (entry.fault.not_simulated is None and self.truth(entry.possible, Truth.TRUE)[0] is not Truth.FALSE
                and self.truth(entry.ruled_out, Truth.FALSE)[0] is not Truth.TRUE)

    def truth(self, condition: Expression | None, otherwise: Truth) -> tuple[Truth, tuple[str, ...]]:
        """Whether a condition of a fault holds, and the facts that are not stated where that cannot be told.

        A condition that speaks of items holds where it holds for each of them.
        """
        if condition is None:
            return otherwise, ()
        kinds = {FACTS[name].scope for name in names_in(condition)} & set(ITEM_KINDS)
        whole, unstated = Truth.TRUE, set()
        for item in items(self.plan, kinds.pop()) if kinds else (None,):
            evaluation = Evaluation(self._replayed.trace.timeline, Facts(self._replayed, {}, item))
            truth = evaluation.column(condition).truth(0)
            if truth is Truth.UNKNOWN:
                unstated |= {name for name in names_in(condition) if evaluation.unstated(name) & 1}
            whole = whole & truth
        return whole, tuple(sorted(unstated)) if whole is Truth.UNKNOWN else ()


def _each_once(harms: Iterable[Harm]) -> tuple[Harm, ...]:
    first: dict[tuple[str, str], Harm] = {}
    for harm in harms:
        was = first.get((harm.hazard, harm.part))
        if was is None or harm.shock > was.shock:
            first[harm.hazard, harm.part] = harm
    return tuple(sorted(first.values(), key=lambda harm: (not harm.serious, not harm.to_a_person, -harm.shock, harm.index)))


def what_if(replayed: Replayed, catalogue: tuple[Entry, ...] | None = None,
            progress: Callable[[Fault], None] = lambda fault: None) -> WhatIf:
    """Every fault of the catalogue, by default the shipped one, against a plan. progress: told of each in turn."""
    trial, outcomes = Trial(replayed), []
    for entry in load_catalogue() if catalogue is None else catalogue:
        progress(entry.fault)
        outcomes.append(tried(trial, entry))
    return WhatIf(trial.plan, _each_once(trial.course(World(trial.plan)).harms), tuple(outcomes))


def tried(trial: Trial, entry: Entry) -> Outcome:
    """One fault against a plan."""
    fault = entry.fault
    if fault.not_simulated is not None:
        return Outcome(fault, entry.topic, Verdict.NOT_PLAYED)
    possible, unstated = trial.truth(entry.possible, Truth.TRUE)
    if possible is Truth.FALSE:
        return Outcome(fault, entry.topic, Verdict.CANNOT_BE)
    ruled_out, doubtful = trial.truth(entry.ruled_out, Truth.FALSE)
    if ruled_out is Truth.TRUE:
        return Outcome(fault, entry.topic, Verdict.RULED_OUT)
    assumed = tuple(dict.fromkeys((*unstated, *doubtful)))
    played = [_played(trial, world) for world in worlds(trial.plan, fault)]
    world, course, harms = max(played, key=lambda one: (_badness(one[2]), one[0].effect.draws is not None))
    if harms:
        verdict = Verdict.NOT_CONTAINED if fault.residual is None else Verdict.RESIDUAL
        return Outcome(fault, entry.topic, verdict, world, assumed, harms, (), False, course.notice, course.seen)
    by, any_of_them, world, course = _containment(trial, played)
    verdict = Verdict.CONTAINED if by else Verdict.HARMLESS
    return Outcome(fault, entry.topic, verdict, world, assumed, (), by, any_of_them, course.notice, course.seen)


Played = tuple[World, Course, tuple[Harm, ...]]


def _played(trial: Trial, world: World) -> Played:
    course = trial.course(world)
    return world, course, trial.caused(world, course)


def _badness(harms: tuple[Harm, ...]) -> tuple[int, int]:
    return (max((1 + harm.to_a_person + 4 * harm.serious + harm.shock for harm in harms), default=0), len(harms))


def _containment(trial: Trial, played: list[Played]) -> tuple[tuple[str, ...], bool, World, Course]:
    """What contains a fault that does no harm: the protections without one of which it would, in any way of being there;
    and a way that shows it. Where each is enough without the others, all without which together it would."""
    def harmful(world: World, *removed: str) -> bool:
        return bool(_played(trial, world.without(*removed))[2])

    shown = next(((w, c) for w, c, _ in reversed(played) if c.notice is not None), played[-1][:2])
    gravest_first = played[::-1]
    needed = tuple(p for p in PROTECTIONS if any(
        _may_contain(p, world, course) and harmful(world, p) for world, course, _ in gravest_first))
    if needed:
        return needed, False, *shown
    bare = [(world, course) for world, course, _ in played if harmful(world, *PROTECTIONS)]
    if not bare:
        return (), False, *played[-1][:2]
    world, course = next(((w, c) for w, c in reversed(bare) if c.notice is not None), bare[-1])
    spare = list(PROTECTIONS)
    for protection in PROTECTIONS:
        if harmful(world, *(p for p in spare if p != protection)):
            spare.remove(protection)
    return tuple(spare), True, world, course


def _may_contain(protection: str, world: World, course: Course) -> bool:
    """Whether a protection by itself can make a difference to this fault beyond what it makes to a set that is well."""
    if protection == CHECKS:
        return course.notice is not None
    return any(getattr(world.effect, name) != getattr(NO_EFFECT, name) for name in WORKS_ON[protection])
