"""A staged `raise` is short for the dial settings that it stands for."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from auditor.logic.interval import Interval
from auditor.plan.stages import MOST_STEPS
from tests.written import spot, stands_at, steps_of, the_refusal, with_steps


def settings_of(*steps: str) -> list[float]:
    return [step.to.low for step in steps_of(*steps) if step.to is not None]


def test_a_raise_goes_up_by_equal_stages() -> None:
    assert settings_of("raise: {from: 0 V, to: 60 V, by: 15 V}") == [15.0, 30.0, 45.0, 60.0]


def test_the_last_stage_is_shorter_where_the_rise_is_no_multiple() -> None:
    assert settings_of("raise: {from: 0 V, to: 50 V, by: 15 V}") == [15.0, 30.0, 45.0, 50.0]


def test_a_raise_begins_where_the_dial_was_left() -> None:
    assert settings_of("set_dial: 30 V", "raise: {to: 60 V, by: 15 V}") == [30.0, 45.0, 60.0]


def test_a_raise_begins_where_the_raise_before_it_ended() -> None:
    assert settings_of("raise: {from: 0 V, to: 20 V, by: 10 V}", "raise: {to: 40 V, by: 10 V}") == [10, 20, 30, 40]


def test_after_the_set_was_brought_to_its_volts_nobody_knows_where_the_dial_stands_and_a_raise_has_to_say_so() -> None:
    text = with_steps("set_dial: 30 V", "bring_set_to: 60 V", "raise: {to: 90 V, by: 15 V}")
    assert "where the dial stands before this `raise` is not known" in the_refusal(text).message
    assert settings_of("bring_set_to: 60 V", "raise: {from: 60 V, to: 90 V, by: 15 V}")[1:] == [75.0, 90.0]


def test_from_says_where_a_raise_begins() -> None:
    assert settings_of("raise: {from: 30 V, to: 60 V, by: 15 V}") == [45.0, 60.0]


def test_every_stage_keeps_the_number_of_its_step_and_its_own() -> None:
    steps = steps_of("set_dial: 0 V", "raise: {to: 30 V, by: 15 V}", "wait: 1 min")
    assert [(step.number, step.stage) for step in steps] == [(1, None), (2, (1, 2)), (2, (2, 2)), (3, None)]


def test_every_stage_keeps_what_was_written_beside_the_raise() -> None:
    steps = steps_of("{raise: {from: 0 V, to: 30 V, by: 15 V}, hold: 1 min, read: [current]}")
    assert {(step.hold, step.read) for step in steps} == {(Interval.exactly(60.0), ("current",))}


def test_a_stage_says_which_it_is() -> None:
    steps = steps_of("raise: {from: 0 V, to: 30 V, by: 15 V}")
    assert steps[1].in_words() == "set the dial to 30 V (stage 2 of 2)"


@given(start=st.integers(0, 100), rise=st.integers(1, 300), by=st.integers(1, 300))
def test_no_stage_is_larger_than_asked_for_and_the_last_one_arrives(start: int, rise: int, by: int) -> None:
    settings = [float(start), *settings_of(f"raise: {{from: {start} V, to: {start + rise} V, by: {by} V}}")]
    assert settings[-1] == start + rise
    assert all(0 < after - before <= by + 1e-9 for before, after in pairwise(settings))


@given(stages=st.integers(1, 50), tenths=st.integers(1, 40))
def test_tenths_of_volts_make_no_extra_stage(stages: int, tenths: int) -> None:
    by = tenths / 10
    assert len(settings_of(f"raise: {{from: 0 V, to: {stages * tenths / 10} V, by: {by} V}}")) == stages


def test_a_raise_from_an_unknown_dial_is_refused() -> None:
    text = with_steps("plug_in: set", "raise: {to: 60 V, by: 15 V}")
    problem = the_refusal(text)
    assert "from: 0 V" in (problem.suggestion or "")
    assert stands_at(problem) == spot(text, "raise")


@pytest.mark.parametrize("to", ["60 V", "40 V"])
def test_a_raise_that_does_not_go_up_is_refused(to: str) -> None:
    assert "cannot be raised" in the_refusal(with_steps("set_dial: 60 V", f"raise: {{to: {to}, by: 5 V}}")).message


@pytest.mark.parametrize(("to", "by"), [("60 V", "0 V"), ("50..60 V", "5 V"), ("60 V", "5..10 V"), ("60 V", "..5 V"),
                                        ("60 V", "5 V.."), ("60 V..", "5 V"), ("..60 V", "5 V")])
def test_a_raise_needs_one_voltage_and_one_size_of_stage(to: str, by: str) -> None:
    the_refusal(with_steps(f"raise: {{from: 0 V, to: {to}, by: {by}}}"))


@pytest.mark.parametrize("by", ["0.001 V", "1e-30 V"])
def test_a_raise_of_endless_stages_is_refused(by: str) -> None:
    assert f"more than {MOST_STEPS}" in the_refusal(with_steps(f"raise: {{from: 0 V, to: 60 V, by: {by}}}")).message


def test_many_raises_together_have_an_end_too() -> None:
    up = "raise: {from: 0 V, to: 100 V, by: 1 V}"
    assert f"more than {MOST_STEPS}" in the_refusal(with_steps(*[up] * 5)).message
