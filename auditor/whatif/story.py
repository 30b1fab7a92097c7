"""One fault told step by step: what the meters show, beside what a healthy set shows, until somebody stops or is hurt."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from msgspec import Struct

from auditor.bench.prediction import Readings
from auditor.logic.interval import Interval
from auditor.plan.steps import Step
from auditor.whatif.catalogue import Entry
from auditor.whatif.harm import Harm
from auditor.whatif.whatif import Outcome, Trial, Verdict, tried
from auditor.whatif.world import World

UNTRIED = frozenset({Verdict.RULED_OUT, Verdict.CANNOT_BE, Verdict.NOT_PLAYED})
"""What a fault comes to without being played."""


class Beat(Struct, frozen=True):
    """One step of the story. place: which step of the plan, counted from 0, every stage of a raise by itself; dial: the
    mark [V]; well, faulty: the readings without and with the fault, None while it does not act; acts: whether the fault
    surely acts; signs: what surely shows, and whether the plan says to stop at it; harms: what gets through here."""

    step: Step
    place: int
    dial: Interval | None
    well: Readings | None
    faulty: Readings | None
    acts: bool
    signs: tuple[tuple[str, bool], ...]
    harms: tuple[Harm, ...]


class Story(Struct, frozen=True):
    """A fault at one severity: its outcome, and the steps at which anything of it is to be seen or felt."""

    outcome: Outcome
    beats: tuple[Beat, ...]


def told(trial: Trial, entry: Entry) -> Story:
    """The fault at the severity of its outcome, up to the step at which the operator stops."""
    return _story(trial, tried(trial, entry))


def matrix(trial: Trial, outcomes: Iterable[Outcome]) -> tuple[Story, ...]:
    """All outcomes as stories, so that every fault stands against every step at which anything of it is to be seen."""
    return tuple(_story(trial, outcome) for outcome in outcomes)


def _story(trial: Trial, outcome: Outcome) -> Story:
    return Story(outcome, () if outcome.verdict in UNTRIED else tuple(_beats(trial, outcome)))


def _beats(trial: Trial, outcome: Outcome) -> Iterator[Beat]:
    world = outcome.world or World(trial.plan, outcome.fault)
    course, looks_like = trial.course(world), trial.rehearsal.appearance(world)
    harms = trial.caused(world, course)
    exits = (k for k, moment in enumerate(trial.moments.main) if moment.sample.exit)
    for place, index in enumerate(exits):
        moment = trial.moments.main[index]
        signs = tuple((shown.words, shown.told) for shown in course.shown if shown.index == index)
        done = tuple(harm for harm in harms if harm.index in (index - 1, index))
        stand = course.acted.get(index)
        if signs or done or stand is not None:
            well, faulty = (None, None) if stand is None else looks_like.shown(moment.state, stand)
            yield Beat(moment.sample.step, place, moment.sample.state.dial, well, faulty, stand is not None, signs, done)
        if course.notice is not None and course.notice.index == index:
            return
