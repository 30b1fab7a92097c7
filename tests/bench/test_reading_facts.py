"""What the rules see of the predicted readings, and of what a step expects of them."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

import pytest
from msgspec.structs import fields

from auditor.bench.facts import Replayed, replayed
from auditor.bench.prediction import Readings, settled
from auditor.bench.reading_facts import alike
from auditor.bench.state import State
from auditor.bench.trace import Sample
from auditor.logic.interval import ANYTHING, Interval
from auditor.logic.truth import Truth
from auditor.plan.plan import Plan
from auditor.plan.read import read_plan
from auditor.rulebook.examples import example

TOP_ON_THE_LAMP = "set the dial to 117 V (stage 4 of 4)"
WITHOUT_LAMP = "bring the set to 117 V by its own meter"
READINGS = ("set_voltage", "set_current", "b_plus", "settling_time")
NO_READING_DEPENDS_ON = ("dial_stood", "discharged", "apart", "clipped", "stopped")


@cache
def _played(change: str) -> Replayed:
    return replayed(read_plan(json.dumps(example(json.loads(change)))))


def played(**change: Any) -> Replayed:
    """The five-tube set of the examples, with a change."""
    return _played(json.dumps(change))


def at(plan: Replayed, words: str) -> Sample:
    """The end of the first step that is called so."""
    return next(s for s in plan.trace.main if s.exit and s.step.in_words() == words)


def read(name: str, words: str, **change: Any) -> Any:
    plan = played(**change)
    return plan.value(name, None, at(plan, words))


def expecting(expect: Any) -> dict[str, Any]:
    return {"after": {"raise-high": {"wait": "1 min", "read": ["set_voltage"], "expect": expect}}}


# What is predicted


def test_what_the_rules_see_is_what_the_prediction_says() -> None:
    plan = played()
    for words in (TOP_ON_THE_LAMP, WITHOUT_LAMP):
        sample, said = at(plan, words), settled(plan.trace.plan, at(plan, words).state)
        assert [plan.value(name, None, sample) for name in READINGS] == [
            said.set_voltage, said.current, said.b_plus, said.settling_time]


def test_a_reading_over_the_steps_is_the_reading_at_each_step() -> None:
    plan = played()
    for name in (*READINGS, "short_current", "b_plus_unloaded", "supply_load"):
        series = plan.series(name, None)
        for i, sample in enumerate(plan.trace.main):
            assert [value for value, mask in series if mask >> i & 1] == [plan.value(name, None, sample)]


def test_states_that_are_alike_show_the_same_readings() -> None:
    plan = played()
    for state, _ in plan.trace.states:
        assert settled(plan.trace.plan, alike(state)) == settled(plan.trace.plan, state)


@pytest.mark.parametrize("field", [field.name for field in fields(State)])
def test_states_are_alike_in_all_but_what_no_reading_depends_on(field: str) -> None:
    changed: Any = object()
    assert (alike(State(**{field: changed})) == alike(State())) is (field in NO_READING_DEPENDS_ON)


def test_what_is_alike_is_computed_once(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[State] = []

    def counted(plan: Plan, state: State) -> Readings:
        asked.append(alike(state))
        return settled(plan, state)

    monkeypatch.setattr("auditor.bench.prediction.settled", counted)
    plan = replayed(played().trace.plan)
    for name in READINGS:
        plan.series(name, None)
    assert len(asked) == len(set(asked)) < len(plan.trace.states)


def test_a_reading_that_the_model_cannot_give_is_anything() -> None:
    assert read("set_current", WITHOUT_LAMP, state={"set.power_supply": "vibrator"}) == ANYTHING
    assert read("b_plus", WITHOUT_LAMP, state={"set.power_supply": "transformer", "set.B+": "not stated"}) == ANYTHING


@pytest.mark.parametrize("line", [
    "mains.voltage", "set.power_supply", "set.rated_voltage", "set.rated_power", "set.motor",
    "bench.chain.isolating_transformer.rated_power", "bench.chain.limiter.lamp.power", "bench.chain.limiter.lamp.voltage",
    "bench.chain.limiter.lamp.kind",
])
def test_what_is_usual_does_not_stand_in_for_what_is_not_stated(line: str) -> None:
    assert read("set_current", TOP_ON_THE_LAMP, state={line: "not stated"}) == ANYTHING


def test_a_set_without_volts_draws_nothing_whatever_it_is() -> None:
    change = {"state": {"set.rated_power": "not stated", "set.power_supply": "not stated"}}
    assert read("set_current", "plug in the set", **change) == Interval.exactly(0)


def test_the_set_takes_more_volt_amperes_than_its_watts() -> None:
    load = read("supply_load", WITHOUT_LAMP)
    assert load.low >= 28
    assert load.high > 35


# A short behind the lamp


def test_a_short_draws_what_the_lamp_is_rated_for() -> None:
    # 40 W at 120 V: a third of an ampere; within the spread of lamps and of a wall of 114 to 126 V
    current = read("short_current", TOP_ON_THE_LAMP)
    assert 40 / 120 in current
    assert 0.88 * 40 / 120 < current.low < current.high < 1.08 * 40 / 120


def test_a_short_leaves_next_to_nothing_at_the_set() -> None:
    assert read("short_voltage", TOP_ON_THE_LAMP).high < 1


def test_the_kind_of_set_does_not_matter_to_a_short() -> None:
    usual = read("short_current", TOP_ON_THE_LAMP)
    for supply in ("transformer", "switching", "vibrator", "battery"):
        assert read("short_current", TOP_ON_THE_LAMP, state={"set.power_supply": supply}) == usual


def test_without_the_lamp_nothing_limits_a_short() -> None:
    assert read("short_current", WITHOUT_LAMP) == ANYTHING


def test_a_larger_lamp_passes_more_into_a_short() -> None:
    larger = read("short_current", TOP_ON_THE_LAMP, state={"bench.chain.limiter.lamp.power": "60 W"})
    assert larger.low > read("short_current", TOP_ON_THE_LAMP).high


# B+ without load


def test_silicon_without_a_transformer_takes_b_plus_to_the_peak_of_the_line() -> None:
    peak = read("b_plus_unloaded", WITHOUT_LAMP, state={"set.B+_peak": "not stated"})
    assert peak.low == pytest.approx(117 * 2 ** 0.5)
    assert peak.high == pytest.approx(117 * 2 ** 0.5)


def test_a_peak_stated_below_that_of_the_line_is_not_believed() -> None:
    assert read("b_plus_unloaded", WITHOUT_LAMP, state={"set.B+_peak": "120 V"}).low == pytest.approx(117 * 2 ** 0.5)


def test_behind_a_transformer_it_is_the_peak_that_is_stated_in_proportion_to_the_volts() -> None:
    change = {"state": {"set.power_supply": "transformer", "set.B+_peak": "350 V"}}
    assert read("b_plus_unloaded", WITHOUT_LAMP, **change) == Interval.exactly(350)
    half = read("b_plus_unloaded", "set the dial to 60 V (stage 3 of 6)", **change)
    assert 350 * 60 / 117 in half


def test_behind_a_transformer_of_which_no_peak_is_stated_it_is_anything() -> None:
    change = {"set.power_supply": "transformer", "set.B+_peak": "not stated"}
    assert read("b_plus_unloaded", WITHOUT_LAMP, state=change) == ANYTHING


# The dial that a reading needs


def test_through_the_lamp_the_dial_stands_higher_than_the_set() -> None:
    words = "bring the set to 60 V by its own meter"
    assert read("dial_needed", words, after={"raise-high": {"bring_set_to": "60 V"}}).low > 60


def test_what_the_dial_must_give_is_told_beyond_its_end() -> None:
    change = {"after": {"raise-high": {"bring_set_to": "110 V"}}}
    words = "bring the set to 110 V by its own meter"
    assert read("dial_needed", words, **change).low > read("bench.dial_top", words, **change).high


def test_the_end_of_the_dial_moves_with_the_wall() -> None:
    assert read("bench.dial_top", WITHOUT_LAMP) == Interval(133, 147)


# What a step expects


@pytest.mark.parametrize(("written", "low", "high"), [("40..90 V", 40, 90), ("40 V..", 40, 1e15), ("..90 V", 0, 90)])
def test_the_ends_of_an_expected_voltage(written: str, low: float, high: float) -> None:
    change = expecting({"set_voltage": written})
    assert read("step.expects_set_voltage", "wait 1 min", **change) is Truth.TRUE
    assert read("step.expects_set_voltage_from", "wait 1 min", **change) == Interval.exactly(low)
    assert read("step.expects_set_voltage_up_to", "wait 1 min", **change) == Interval.exactly(high)


@pytest.mark.parametrize("expect", ["predicted", {"lamp": "dull"}, {"set_voltage": "steady"}, {"set_voltage": "0.3 A"}])
def test_what_is_no_number_of_that_reading_is_not_expected_of_it(expect: Any) -> None:
    assert read("step.expects_set_voltage", "wait 1 min", **expecting(expect)) is Truth.FALSE


def test_b_plus_may_be_called_by_its_other_name() -> None:
    assert read("step.expected_b_plus", "wait 1 min", **expecting({"HT": "90..130 V"})) == Interval(90, 130)


@pytest.mark.parametrize(("expect", "numbers"), [
    ({"set_voltage": "40..90 V", "current": "..0.3 A"}, Truth.TRUE),
    ({"set_voltage": "40..90 V", "lamp": "dull"}, Truth.FALSE),
    ("predicted", Truth.FALSE),
    ("no smell", Truth.FALSE),
])
def test_expecting_numbers_is_expecting_nothing_that_only_a_person_can_judge(expect: Any, numbers: Truth) -> None:
    assert read("step.expects_numbers", "wait 1 min", **expecting(expect)) is numbers


@pytest.mark.parametrize(("note", "forms"), [
    ("the capacitors reform", Truth.TRUE), ("forming", Truth.TRUE), ("Formed by now?", Truth.TRUE),
    ("the transformer warms", Truth.FALSE), ("see the platform", Truth.FALSE), ("for information", Truth.FALSE),
])
def test_a_step_forms_capacitors_where_its_words_say_so(note: str, forms: Truth) -> None:
    assert read("step.forms", "wait 1 min", after={"raise-high": {"wait": "1 min", "note": note}}) is forms


@pytest.mark.parametrize(("where", "forms"), [
    ({"in": "the set"}, Truth.TRUE), ({"in": "out of the set"}, Truth.FALSE), ({}, Truth.UNKNOWN),
])
def test_reforming_counts_as_forming_in_the_set_where_it_is_done_there(where: dict[str, str], forms: Truth) -> None:
    reform = {"reform": {"each": ["C1"], "to": "100 V", "through": "100 kohm", **where}}
    assert read("step.forms", "reform C1 up to 100 V", after={"raise-high": reform}) is forms
