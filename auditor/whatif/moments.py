"""A replayed plan laid out for playing many worlds through it: its moments, each with the number of its state."""

from __future__ import annotations

from msgspec import Struct

from auditor.bench.reading_facts import alike
from auditor.bench.state import State
from auditor.bench.touch import NOTHING, touch
from auditor.bench.trace import Sample, Trace, replay
from auditor.plan.plan import Plan


class Moment(Struct, frozen=True):
    """One sample. state: which of the distinct states it is in; place: where the step puts a hand or a tool."""

    sample: Sample
    state: int
    place: str


class Way(Struct, frozen=True, eq=False):
    """A branch: how many moments of the plan as written lead to it, why it leaves, and its own moments."""

    shared: int
    why: str
    moments: tuple[Moment, ...]


class Moments(Struct, frozen=True):
    """states: every state that the plan can be in, once, but for what no reading and no touch depends on. main: the plan as
    written. ways: for each moment of it, the branches that leave there, without the beginnings of steps that touch nothing:
    the bench then is as the step before has left it."""

    plan: Plan
    states: tuple[State, ...]
    main: tuple[Moment, ...]
    ways: dict[int, tuple[Way, ...]]


def moments(plan: Plan, trace: Trace | None = None) -> Moments:
    """The moments of a plan, replayed where no replay is given."""
    trace = trace or replay(plan)
    numbers: dict[State, int] = {}

    def laid_out(samples: tuple[Sample, ...]) -> tuple[Moment, ...]:
        return tuple(Moment(sample, numbers.setdefault(alike(sample.state), len(numbers)),
                            touch(sample.step, sample.before)) for sample in samples)

    main = laid_out(trace.main)
    ways: dict[int, list[Way]] = {}
    for branch in trace.branches:
        there = tuple(m for m in laid_out(branch.samples) if m.sample.exit or m.place != NOTHING)
        ways.setdefault(branch.shared, []).append(Way(branch.shared, branch.why, there))
    return Moments(plan, tuple(numbers), main, {index: tuple(found) for index, found in ways.items()})
