"""What the plan does not say is never taken for what would be harmless."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

import pytest
from msgspec.structs import replace

from auditor.bench.assumptions import assumptions
from auditor.bench.circuit import limiter_in, limiter_passes
from auditor.bench.described import set_loads, taken_for_granted
from auditor.bench.facts import Replayed, replayed
from auditor.bench.lamp_choice import lamp_choices
from auditor.bench.prediction import settled
from auditor.bench.state import TUBES, State, initial_state
from auditor.bench.trace import Sample
from auditor.logic.interval import Interval
from auditor.logic.truth import Truth
from auditor.plan.plan import Plan
from auditor.plan.read import read_plan
from auditor.review.finding import Outcome
from auditor.rulebook.examples import example
from tests.written import a_rule, review

ZERO = Interval.exactly(0.0)
ON_THE_LAMP = "raise-high"
TODAY = date(2026, 11, 20)


def played(**change: Any) -> Replayed:
    """The five-tube set of the examples, with a change."""
    return replayed(read_plan(json.dumps(example(change), default=str)))


def a_plan(**change: Any) -> Plan:
    return played(**change).trace.plan


def ends(found: Replayed, verb: str) -> list[Sample]:
    return [sample for sample in found.trace.main if sample.exit and sample.step.verb == verb]


# How far the dial is turned

def test_bringing_the_set_to_volts_through_the_lamp_after_a_mark_on_the_dial_may_be_a_rise_of_all_of_them() -> None:
    found = played(after={ON_THE_LAMP: [{"bring_set_to": "90 V", "hold": "5 min"}]})
    brought = ends(found, "bring_set_to")[0]
    assert found.value("step.dial_rise", None, brought) == Interval(0.0, 90.0)


def test_from_zero_it_is_a_rise_of_all_of_them() -> None:
    found = played(after={ON_THE_LAMP: [{"set_dial": "0 V"}, {"bring_set_to": "90 V", "hold": "5 min"}]})
    assert found.value("step.dial_rise", None, ends(found, "bring_set_to")[0]) == Interval.exactly(90.0)


def test_a_dial_without_a_stated_scale_may_stand_anywhere_above_what_the_set_was_brought_to() -> None:
    change = {"after": {ON_THE_LAMP: [{"bring_set_to": "90 V", "hold": "5 min"}]}}
    stated, unstated = (ends(played(**change, **more), "bring_set_to")[0].state.dial for more in (
        {}, {"state": {"bench.chain.autotransformer.output": "not stated"}}))
    assert stated == Interval(90.0, 140.0)
    assert unstated == Interval(90.0, float("inf"))


# For how long the set has had its volts

@pytest.mark.parametrize("rest", [
    [{"switch_off": "set"}, {"wait": "1 h"}, {"switch_on": "set"}],
    [{"unplug": "set"}, {"wait": "1 h"}, {"plug_in": "set"}]])
def test_time_without_volts_does_not_count_as_time_at_a_dial_setting(rest: list[Any]) -> None:
    found = played(after={ON_THE_LAMP: [*rest, {"observe": "the lamp", "hold": "2 min"}]})
    assert ends(found, "wait")[0].state.dial_stood == ZERO
    assert ends(found, "observe")[0].state.dial_stood == Interval.exactly(120.0)


# What is in the holder

def test_a_limiter_of_which_no_lamp_is_stated_may_pass_current() -> None:
    plan = a_plan(state={"bench.chain.limiter.lamp": "not stated"})
    state = initial_state(plan)
    assert limiter_passes(plan, replace(state, bypass_closed=Truth.FALSE)) is not Truth.FALSE
    assert limiter_in(plan, replace(state, bypass_closed=Truth.FALSE)) is not Truth.FALSE


def test_an_empty_holder_is_said_to_be_empty() -> None:
    plan = a_plan(state={"bench.chain.limiter.lamp": "none"})
    assert initial_state(plan).lamp is None


def test_into_a_holder_of_which_nothing_is_stated_a_lamp_can_be_fitted() -> None:
    lamp = {"power": "40 W", "voltage": "120 V", "kind": "clear filament"}
    found = played(state={"bench.chain.limiter.lamp": "not stated"}, before={"dial-zero": [{"fit_lamp": lamp}]})
    fitted = ends(found, "fit_lamp")[0]
    assert found.value("step.impossible", None, fitted) is Truth.FALSE


# What the readings take for granted

@pytest.mark.parametrize("heaters", [{"connection": "parallel"}, {"connection": "series"}, "not stated"])
def test_a_transformerless_set_without_any_tube_draws_nothing(heaters: Any) -> None:
    plan = a_plan(state={"set.heaters": heaters})
    assert [load.power for load in set_loads(plan, State(out=TUBES))] == [ZERO]


def test_with_some_tubes_out_and_heaters_that_may_be_in_parallel_it_may_draw_anything_up_to_its_watts() -> None:
    plan = a_plan(state={"set.heaters": "not stated"})
    (load,) = set_loads(plan, State(out=frozenset({"output tubes"})))
    assert load.power.low == 0.0 < load.power.high


def test_a_set_of_which_no_motor_is_stated_is_said_to_have_none() -> None:
    said = "The set has no motor on the mains; `motor:` replaces it."
    assert said in taken_for_granted(a_plan(state={"set.motor": "not stated"}))
    assert said not in taken_for_granted(a_plan(state={"set.motor": "no"}))


def test_an_instrument_of_which_no_place_is_stated_is_said_to_be_on_nothing() -> None:
    said = [line for line in assumptions(a_plan()) if line.startswith("An instrument is on nothing")]
    assert len(said) == 1
    instruments = [{"name": name, "kind": "multimeter", "connected_to": "nothing"} for name in ("M1", "M2")]
    assert said[0] not in assumptions(a_plan(state={"bench.instruments": instruments}))


def test_volts_of_a_set_fed_directly_are_less_by_what_transformer_and_wiring_take() -> None:
    found = played(state={"bench.chain.isolating_transformer.rated_power": "100 W"})
    brought = next(s for s in found.trace.main if s.exit and s.step.verb == "set_dial" and s.step.to is not None
                   and s.step.to.low == 105.0)
    seen, said = found.value("set_voltage", None, brought), settled(found.trace.plan, brought.state).set_voltage
    assert seen.low == said.low < 0.95 * 105.0
    assert seen.high >= said.high


# Answers that are tried

def test_a_fact_that_may_change_from_step_to_step_is_not_tried_as_one_answer() -> None:
    rule = a_rule("one-or-the-other", "always(capacitor.charged) or never(capacitor.charged)", for_each="capacitor")
    text = json.dumps(example({"state": {"set.idle_for": "not stated"}}), default=str)
    assert review(text, rule, today=TODAY).outcomes == {"one-or-the-other": Outcome.BROKEN}


# The chooser of lamps

def test_every_column_of_the_chooser_is_for_the_lamp_that_the_plan_says() -> None:
    at_120, at_240 = (lamp_choices(a_plan(state={"bench.chain.limiter.lamp.voltage": volts}))
                      for volts in ("120 V", "240 V"))
    assert all(double.short_current < single.short_current for single, double in zip(at_120, at_240, strict=True))
