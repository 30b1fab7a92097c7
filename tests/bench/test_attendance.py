"""Whether somebody is sure to watch a step, where the step itself does not say it."""

from __future__ import annotations

import pytest

from auditor.bench.fact import Value
from auditor.bench.facts import FACTS
from auditor.logic.truth import Truth
from auditor.plan.read import read_plan


def attended(step: str, people: str = "") -> Value:
    """The fact `attended` of this step, with these people."""
    plan = read_plan(f"procedure: {{title: A trial}}\nset: {{}}\nbench: {{chain: [autotransformer, set]{people}}}\n"
                     f"steps: [{step}]\n")
    return FACTS["attended"].read(plan, plan.steps[0])


AT_TIMES = ", people: {attended: at times}"
SHORT = ["{switch_on: outlet}", "{set_dial: 30 V, takes: 5 min}", "{set_dial: 30 V, takes: 20 s}",
         "{measure: resistance, across: plug, settle: 5 min}", "{discharge: {each: all, through: 10 kohm, for: 5 min}}"]
LONG = ["{set_dial: 30 V, hold: 10 s}", "{wait: 1 min}", "{observe: the lamp}", "{set_dial: 30 V, takes: 301 s}",
        "{set_dial: 30 V, takes: 400 h}", "{set_dial: 30 V, takes: 1..10 min}",
        "{measure: leakage, across: exposed metal to earth, fed_from: wall, settle: 2 h}",
        "{discharge: {each: all, through: 10 kohm, for: 1 h}}"]


@pytest.mark.parametrize("step", SHORT)
def test_a_step_that_is_done_at_once_is_watched_by_whoever_does_it(step: str) -> None:
    assert attended(step) is attended(step, AT_TIMES) is Truth.TRUE


@pytest.mark.parametrize("step", LONG)
def test_a_step_that_leaves_something_to_wait_for_is_watched_as_the_bench_says(step: str) -> None:
    assert attended(step) is Truth.UNKNOWN
    assert attended(step, AT_TIMES) is Truth.FALSE
    assert attended(step, ", people: {attended: throughout}") is Truth.TRUE


@pytest.mark.parametrize("step", [*SHORT, *LONG])
def test_what_the_step_says_goes_before_the_bench(step: str) -> None:
    assert attended(step[:-1] + ", attended: yes}", AT_TIMES) is Truth.TRUE
    assert attended(step[:-1] + ", attended: no}", ", people: {attended: throughout}") is Truth.FALSE
