"""The replay of the audit against a second one that was written to be obvious, on generated plans, along every path."""

from __future__ import annotations

from typing import Any

from hypothesis import given, note

from auditor.bench import circuit
from auditor.bench.replay import why_impossible
from auditor.bench.touch import touch
from auditor.bench.trace import Sample, Trace, replay
from auditor.logic.interval import Interval
from auditor.logic.truth import Truth
from auditor.plan.plan import Plan
from auditor.plan.read import read_plan
from tests.bench.naive_replay import naive_paths
from tests.plan_text import as_text
from tests.plans import Data, plans, searched

AS_PLAINLY = {Truth.TRUE: True, Truth.FALSE: False, Truth.UNKNOWN: None}


def plainly(value: Any) -> Any:
    """A truth as True, False or None, a range as its two ends."""
    if isinstance(value, Truth):
        return AS_PLAINLY[value]
    return (value.low, value.high) if isinstance(value, Interval) else value


def asked(plan: Plan, sample: Sample) -> dict[str, Any]:
    """What the replay says of one moment, in the words of the naive one."""
    state = sample.state
    answers = {
        "verb": sample.step.verb, "exit": sample.exit, "plugged": set(state.plugged), "on": set(state.on),
        "dial": state.dial, "stood": (state.dial_stood.low, state.dial_stood.high),
        "supply_on": circuit.supply_on(plan, state),
        "fed": circuit.fed(plan, state), "cord_live": circuit.cord_live(plan, state),
        "energised": circuit.energised(plan, state), "limiter_in": circuit.limiter_in(plan, state),
        "earth_joined": circuit.earth_joined(plan, state), "touch": touch(sample.step, sample.before),
        "impossible": why_impossible(sample.before, sample.step, plan) is not None, "out": set(state.out),
    }
    return {**{key: plainly(value) for key, value in answers.items()},
            "charged": {name: plainly(truth) for name, truth in state.charged}}


def paths_of(trace: Trace) -> list[list[Sample]]:
    return [list(trace.main), *([*trace.main[: b.shared], *b.samples] for b in trace.branches)]


@given(plans())
@searched(50)
def test_both_replays_say_the_same_of_every_moment_on_every_path(data: Data) -> None:
    text = as_text(data)
    note(text)
    plan = read_plan(text)
    paths, naive = paths_of(replay(plan)), naive_paths(plan)
    assert [len(path) for path in paths] == [len(path) for path in naive]
    for number, (path, rows) in enumerate(zip(paths, naive, strict=True)):
        for sample, row in zip(path, rows, strict=True):
            said = asked(plan, sample)
            assert said == {key: row[key] for key in said}, f"path {number}, step {sample.step.number}"


@given(plans())
@searched(25)
def test_volts_at_the_set_stay_within_what_the_dial_can_give(data: Data) -> None:
    text = as_text(data)
    note(text)
    plan = read_plan(text)
    for path, rows in zip(paths_of(replay(plan)), naive_paths(plan), strict=True):
        for sample, row in zip(path, rows, strict=True):
            found, (low, high) = circuit.set_voltage(plan, sample.state), row["set_voltage"]
            assert low - 1e-6 <= found.low <= found.high <= high + 1e-6, f"step {sample.step.number}"
            if row["limiter_in"] is False and row["fed"] is not None:
                assert (found.low, found.high) == (low, high), f"step {sample.step.number}: nothing takes volts away"


@given(plans())
@searched(25)
def test_a_stop_or_a_failed_check_stays_behind_until_the_cause_is_found(data: Data) -> None:
    text = as_text(data)
    note(text)
    plan = read_plan(text)
    for path, rows in zip(paths_of(replay(plan)), naive_paths(plan), strict=True):
        for sample, row in zip(path, rows, strict=True):
            assert sample.state.stopped == row["stopped"], f"step {sample.step.number}"
