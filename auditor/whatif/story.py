"""One fault told step by step: what the meters show, beside what a healthy set shows, until somebody stops or is hurt."""

from __future__ import annotations

from dataclasses import dataclass

from auditor.bench.prediction import Readings
from auditor.logic.interval import Interval
from auditor.plan.steps import Step
from auditor.whatif.catalogue import Entry
from auditor.whatif.harm import Harm
from auditor.whatif.whatif import Outcome, Trial, tried
from auditor.whatif.world import World


@dataclass(frozen=True)
class Beat:
    """One step of the story. dial: the mark [V]; well, faulty: the readings without and with the fault, None while the set
    has no power; acts: whether the fault surely acts; signs: what surely shows, and whether the plan says to stop at it;
    harms: what gets through here."""

    step: Step
    dial: Interval | None
    well: Readings | None
    faulty: Readings | None
    acts: bool
    signs: tuple[tuple[str, bool], ...]
    harms: tuple[Harm, ...]


@dataclass(frozen=True)
class Story:
    """A fault at one severity: its outcome, and the steps at which anything of it is to be seen or felt."""

    outcome: Outcome
    beats: tuple[Beat, ...]


def told(trial: Trial, entry: Entry) -> Story:
    """The fault at the severity of its outcome, up to the step at which the operator stops."""
    outcome = tried(trial, entry)
    world = World(trial.plan, entry.fault, outcome.effect)
    course, electrics = trial.course(world), trial.model.of(world)
    harms = trial.caused(world, course)
    beats = []
    for index, moment in enumerate(trial.moments.main):
        if not moment.sample.exit:
            continue
        signs = tuple((shown.words, shown.told) for shown in course.shown if shown.index == index)
        done = tuple(harm for harm in harms if harm.index in (index - 1, index))
        acts = electrics.shows(moment.state)
        if signs or done or acts:
            well = trial.model.healthy.faulty(moment.state, sure=True) if acts else None
            beats.append(Beat(moment.sample.step, moment.sample.state.dial, well,
                              electrics.faulty(moment.state, sure=True) if acts else None, acts, signs, done))
        if course.notice is not None and course.notice.index == index:
            break
    return Story(outcome, tuple(beats))
