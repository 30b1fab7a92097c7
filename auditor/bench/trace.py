"""The plan as a tree of paths: the steps as written, and a branch from every place where they can end early.

Each step is seen twice, on entry and on exit. Path 0 is the plan as written. A branch shares the samples of the
way to it, ends its last step early, and goes on with the stop actions or with the steps of `otherwise`.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from functools import cached_property, reduce
from operator import or_

from msgspec import Struct
from msgspec.structs import replace

from auditor.bench.circuit import fed
from auditor.bench.replay import after
from auditor.bench.state import NO_TIME, State, initial_state
from auditor.logic.interval import Interval
from auditor.logic.timeline import Timeline
from auditor.logic.truth import Truth
from auditor.plan.plan import Plan
from auditor.plan.steps import Step

DOING = Interval(5.0, 120.0)
"""How long a step takes beside its hold [s], where the plan does not say: a printed assumption."""
SHOWS_WITHOUT_CHANGING = frozenset({"prove_dead"})
"""When such a step fails, what it was to show is not so, and the bench is as it was before."""


class Sample(Struct, frozen=True):
    """The bench at one moment: on entry to a step or on exit from it.

    failed: the step ended early, so that what it was to show has not been shown.
    tail: the how-manieth step of a branch this is, 0 for the plan as written.
    elapsed: the time since the sample before [s].
    """

    step: Step
    state: State
    before: State
    exit: bool
    failed: bool = False
    tail: int = 0
    elapsed: Interval = NO_TIME


class Branch(Struct, frozen=True):
    """Where a path leaves the plan: after which step, why, and its own samples."""

    step: Step
    why: str
    shared: int
    samples: tuple[Sample, ...]


class Trace(Struct, frozen=True, dict=True):
    """Every path of a plan. `main` are the samples of the plan as written."""

    plan: Plan
    main: tuple[Sample, ...]
    branches: tuple[Branch, ...]
    timeline: Timeline

    @cached_property
    def laid_out(self) -> tuple[tuple[Sample, int], ...]:
        """Each sample once, with the mask of its positions in the timeline: one for each path that shares it."""
        first = len(self.main)
        starts: list[tuple[int, int]] = [(0, first)]
        own: list[tuple[Sample, int]] = []
        for branch in self.branches:
            starts.append((first, branch.shared))
            own.extend((s, 1 << first + branch.shared + k) for k, s in enumerate(branch.samples))
            first += branch.shared + len(branch.samples)
        # From the end of the plan to its start, more and more paths share a sample.
        paths, masks = sorted(starts, key=lambda path: path[1]), []
        sharing = 0
        for k in reversed(range(len(self.main))):
            while paths and paths[-1][1] > k:
                sharing |= 1 << paths.pop()[0]
            masks.append(sharing << k)
        return (*zip(self.main, reversed(masks), strict=True), *own)

    @cached_property
    def by_state(self) -> tuple[tuple[Sample, int], ...]:
        """One sample of each state, with the mask of all positions that have this state."""
        return _told_apart(self.laid_out, lambda sample: sample.state)

    @cached_property
    def by_step(self) -> tuple[tuple[Sample, int], ...]:
        """One sample of each step, with the mask of all its positions. Steps are told by their identity."""
        return _told_apart(self.laid_out, lambda sample: id(sample.step))

    @cached_property
    def states(self) -> tuple[tuple[State, int], ...]:
        """Each state once, with the mask of all its positions: states that are equal are one."""
        return tuple((sample.state, mask) for sample, mask in self.by_state)

    @cached_property
    def steps(self) -> tuple[tuple[Step, int], ...]:
        """Each step once, with the mask of all its positions."""
        return tuple((sample.step, mask) for sample, mask in self.by_step)

    def sample(self, path: int, index: int) -> Sample:
        """The sample at this position of this path."""
        if path == 0:
            return self.main[index]
        branch = self.branches[path - 1]
        return self.main[index] if index < branch.shared else branch.samples[index - branch.shared]


def _told_apart(samples: Iterable[tuple[Sample, int]], by: Callable[[Sample], Hashable]) -> tuple[tuple[Sample, int], ...]:
    """The first sample of all that are equal in something, with their masks brought together."""
    groups: dict[Hashable, tuple[Sample, list[int]]] = {}
    for sample, mask in samples:
        groups.setdefault(by(sample), (sample, []))[1].append(mask)
    return tuple((sample, reduce(or_, masks)) for sample, masks in groups.values())


def replay(plan: Plan) -> Trace:
    """Every path that the plan can take, sample by sample."""
    main = _walk(plan, initial_state(plan), plan.steps)
    branches = tuple(_branches(plan, main))
    paths = [main, *(main[: b.shared] + b.samples for b in branches)]
    gaps = [gap for path in paths for gap in _gaps(path)]
    return Trace(plan, main, branches, Timeline(tuple(map(len, paths)), tuple(gaps)))


def _walk(plan: Plan, state: State, steps: tuple[Step, ...], *, branch: bool = False) -> tuple[Sample, ...]:
    samples = []
    for count, step in enumerate(steps, start=1):
        tail = count if branch else 0
        then = after(state, step, plan)
        samples.append(Sample(step, state, state, exit=False, tail=tail))
        samples.append(Sample(step, then, state, exit=True, tail=tail, elapsed=duration(step)))
        state = then
    return tuple(samples)


def _branches(plan: Plan, main: tuple[Sample, ...]) -> list[Branch]:
    branches = []
    for i in range(0, len(main), 2):
        entry, exit_ = main[i], main[i + 1]
        step = entry.step
        if plan.stop_then and fed(plan, exit_.state) is not Truth.FALSE:
            branches.append(_branch(plan, i, exit_, "a stop condition is met", plan.stop_then))
        if isinstance(step.otherwise, tuple):
            branches.append(_branch(plan, i, exit_, "it does not show what it should", step.otherwise))
        elif step.otherwise == "stop" and plan.stop_then and fed(plan, exit_.state) is Truth.FALSE:
            branches.append(_branch(plan, i, exit_, "it does not show what it should", plan.stop_then))
    return branches


def _branch(plan: Plan, entry: int, exit_: Sample, why: str, steps: tuple[Step, ...]) -> Branch:
    state = exit_.before if exit_.step.verb in SHOWS_WITHOUT_CHANGING else exit_.state
    cut_short = replace(state, dial_stood=Interval(0.0, state.dial_stood.high))  # none of its hold is sure to have passed
    ended = Sample(exit_.step, cut_short, exit_.before, exit=True, failed=True,
                   elapsed=Interval(0.0, exit_.elapsed.high))
    stopped = replace(cut_short, stopped=True)
    return Branch(exit_.step, why, entry + 1, (ended, *_walk(plan, stopped, steps, branch=True)))


def duration(step: Step) -> Interval:
    """How long the step lasts [s]: its hold, or up to the bound of its `until`, and the time for doing it."""
    doing = step.takes or DOING
    hold = step.hold or step.lasting or NO_TIME
    if step.until is not None:
        hold = Interval(hold.low, hold.high + step.until.bound.high)
    return doing + hold


def _gaps(path: tuple[Sample, ...]) -> list[Interval]:
    return [NO_TIME] + [sample.elapsed if sample.exit else NO_TIME for sample in path[1:]]
