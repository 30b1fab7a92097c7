"""What a value in a plan means, whatever YAML would make of it."""

from __future__ import annotations

from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from auditor.logic.interval import Interval
from auditor.plan.plan import Plan
from auditor.plan.read import read_plan
from tests.written import spot, stands_at, the_refusal, the_set, with_set, with_steps

YES_AND_NO = [("yes", True), ("Yes", True), ("on", True), ("true", True), ("no", False), ("OFF", False),
              ("false", False), ("'no'", False)]


@pytest.mark.parametrize(("written", "meant"), YES_AND_NO)
def test_yes_and_no_are_read_whatever_an_editor_takes_them_for(written: str, meant: bool) -> None:
    assert the_set(f"motor: {written}").set.motor is meant


@pytest.mark.parametrize("written", ["y", "1", "maybe", "ja", "yes please"])
def test_nothing_else_is_taken_for_yes_or_no(written: str) -> None:
    assert the_refusal(with_set(f"motor: {written}")).message == f"expected `yes` or `no`, found `{written}`"


@pytest.mark.parametrize("word", ["on", "off", "both"])
def test_on_and_off_are_words_where_words_are_expected(word: str) -> None:
    text = with_steps(f"{{measure: resistance, across: plug, set_switch: {word}, expect: 10 Mohm.., otherwise: stop}}")
    assert read(text).steps[0].set_switch == word


def read(text: str) -> Plan:
    from auditor.plan.read import read_plan

    return read_plan(text)


def test_a_time_of_day_is_no_duration() -> None:
    text = with_set("idle_for: 12:30")
    assert stands_at(the_refusal(text)) == spot(text, "12:30")


def test_a_time_of_day_stays_words_where_words_are_expected() -> None:
    assert the_set("description: 12:30").set.description == "12:30"


@pytest.mark.parametrize("written", ["007 A", "0100 A", "00.5 A"])
def test_a_number_with_a_leading_zero_is_refused(written: str) -> None:
    assert "leading zero" in the_refusal(with_set(f"fuse: {{rating: {written}}}")).message


def test_a_leading_zero_is_never_taken_for_an_octal_number() -> None:
    assert the_refusal(with_set("fuse: {rating: 010 A}")).suggestion == "10 A"


def test_a_bare_number_is_refused_with_the_unit_it_needs() -> None:
    problem = the_refusal(with_set("rated_voltage: 117"))
    assert (problem.message, problem.suggestion) == ("write `117 V`: a voltage needs its unit", "117 V")


def test_a_unit_of_another_kind_is_refused_with_what_was_expected() -> None:
    message = the_refusal(with_set("rated_voltage: 117 W")).message
    assert message == "`117 W` is a power; here a voltage is expected, such as `60 V`"


def test_a_reversed_range_is_refused_and_turned() -> None:
    assert the_refusal(with_set("rated_power: 35..28 W")).suggestion == "28..35 W"


@pytest.mark.parametrize("written", ["-5 V", "-5..5 V", "-3 V..", "..-1 V"])
def test_a_quantity_of_a_set_is_never_below_zero(written: str) -> None:
    text = with_set(f"rated_voltage: {written}")
    problem = the_refusal(text)
    assert "below zero" in problem.message
    assert stands_at(problem) == spot(text, written)


@pytest.mark.parametrize("written", ["0 V", "..120 V", "0..130 V"])
def test_a_voltage_that_something_is_made_for_is_above_zero(written: str) -> None:
    text = with_set(f"rated_voltage: {written}")
    problem = the_refusal(text)
    assert "above zero" in problem.message
    assert stands_at(problem) == spot(text, written)


@pytest.mark.parametrize("text", [
    with_set("fuse: {rating: 0 A}"), with_set() + "mains: {residual_current_device: 0 mA}",
    *(with_set() + f"bench: {{chain: [{element}, set]}}" for element in (
        "residual_current_device: {trips_at: 0 mA}", "autotransformer: {fuse: 0 A}", "outlet: {fuse: 0..0 A}",
        "direct_current_supply: {rated_current: 0 A}"))])
def test_what_opens_or_carries_no_current_at_all_is_refused(text: str) -> None:
    assert "of zero is none" in the_refusal(text).message


@pytest.mark.parametrize("written", ["0 uF", "0..0 nF", "..0 F"])
def test_a_capacitor_of_nothing_is_refused(written: str) -> None:
    text = with_set(f"filter_capacitors: [{{name: C1, capacitance: {written}}}]")
    problem = the_refusal(text)
    assert "of zero is none" in problem.message
    assert stands_at(problem) == spot(text, written)


def test_at_most_means_from_nothing_up() -> None:
    assert the_set("rated_power: ..35 W").set.rated_power == Interval(0.0, 35.0)


def test_at_least_has_no_upper_end() -> None:
    assert the_set("B+_resistance: 20 kohm..").set.b_plus_resistance == Interval(20e3, inf)


@pytest.mark.parametrize("written", ["capacitor input", "choke input"])
def test_what_stands_at_the_input_of_the_filter_is_one_of_two_and_not_stated_otherwise(written: str) -> None:
    assert the_set(f"filter: {written}").set.filter == written
    assert the_set("motor: no").set.filter is None
    assert the_refusal(with_set("filter: choke")).suggestion


@given(low=st.integers(0, 10**6), width=st.integers(0, 10**6))
def test_every_range_of_volts_is_read_as_written(low: int, width: int) -> None:
    assert the_set(f"B+_peak: {low}..{low + width} V").set.b_plus_peak == Interval(low, low + width)


@given(st.integers(1, 10**6))
def test_the_spelling_of_the_unit_changes_nothing(millivolts: int) -> None:
    assert the_set(f"rated_voltage: {millivolts} mV") .set == the_set(f"rated_voltage: {millivolts / 1000} V").set


@pytest.mark.parametrize(("written", "meant"), [("Hot", "hot"), ("HOT", "hot"), ("hot", "hot")])
def test_case_does_not_matter_in_a_word(written: str, meant: str) -> None:
    assert the_set(f"chassis: {written}").set.chassis == meant


def test_a_misspelt_word_is_refused_with_the_nearest_one() -> None:
    text = with_set("power_supply: transformerles")
    problem = the_refusal(text)
    assert problem.suggestion == "transformerless"
    assert stands_at(problem) == spot(text, "transformerles")


def test_a_word_that_is_like_no_other_is_refused_without_a_guess() -> None:
    assert the_refusal(with_set("power_supply: steam")).suggestion is None


@pytest.mark.parametrize("written", ["2026-02-30", "20260220", "2026-2-3", "3.2.2026", "tomorrow"])
def test_only_a_day_of_the_calendar_is_a_date(written: str) -> None:
    text = f"procedure: {{title: x, date: {written}}}\nsteps: []\n"
    assert the_refusal(text).message == f"`{written}` is not a date"


def test_a_list_where_a_word_belongs_is_refused() -> None:
    assert the_refusal(with_set("chassis: [hot]")).message == "expected one of `hot` or `isolated`, found a list"


def test_a_mapping_where_words_belong_is_refused() -> None:
    assert the_refusal(with_set("description: {a: b}")).message == "expected some words, found a mapping"


@pytest.mark.parametrize("text", ["100", "10 kohm 10 V", "ten ohms", "{a: b}"])
def test_a_discharging_tool_is_a_resistance_with_or_without_a_power(text: str) -> None:
    step = f"{{discharge: {{each: [C1], through: {text}}}}}"
    assert stands_at(the_refusal(with_steps(step))) == spot(with_steps(step), text)


def test_a_discharging_tool_is_read_with_its_power() -> None:
    tool = read(with_steps("discharge: {each: [C1], through: 10 kohm 10 W}")).steps[0].through
    assert tool is not None
    assert (tool.resistance, tool.power) == (Interval.exactly(10e3), Interval.exactly(10.0))


def test_a_hold_until_a_reading_needs_a_bound() -> None:
    assert "upper bound" in the_refusal(with_steps('{wait: 1 min, until: "leakage below 1 mA"}')).message


def test_a_hold_until_a_reading_keeps_its_bound() -> None:
    until = read(with_steps('{wait: 1 min, until: "leakage below 1 mA, at most 4 h"}')).steps[0].until
    assert until is not None
    assert (until.reading, until.bound) == ("leakage below 1 mA", Interval.exactly(4 * 3600.0))


# One lamp or several

def holder(lamp: str) -> str:
    return f"procedure: {{title: x}}\nbench: {{chain: [{{limiter: {{lamp: {lamp}}}}}, set]}}\n"


def test_one_lamp_has_its_watts_and_several_have_a_list_of_them() -> None:
    for lamp, watts in (("{power: 60 W}", (60,)), ("{power: [60 W, 40 W], joined: in series}", (60, 40)),
                        ("{voltage: 120 V}", ())):
        assert [each.low for each in read_plan(holder(lamp)).record("limiter").lamp.each] == list(watts)


@pytest.mark.parametrize(("lamp", "message"), [
    ("{power: [60 W]}", "a list here has two to 4 of them, this one has 1"),
    ("{power: [1 W, 2 W, 3 W, 4 W, 5 W]}", "a list here has two to 4 of them, this one has 5"),
    ("{power: 60 W, joined: in series}", "`joined` says how several lamps are joined, and here is one"),
    ("{power: [60 W, 40], joined: in series}", "unit"),
    ("{power: [60 W, 40 W], joined: crosswise}", "`crosswise` is not one of `in parallel` or `in series`")])
def test_lamps_that_cannot_be_so_are_refused_where_they_stand(lamp: str, message: str) -> None:
    refused = the_refusal(holder(lamp))
    assert message in refused.message
    assert refused.place is not None
    assert refused.place.line == 2


def test_the_watts_of_a_motor_that_is_not_there_are_refused() -> None:
    assert "`motor_power` is stated" in the_refusal(with_set("motor: no", "motor_power: 12 W")).message
    assert the_set("motor_power: 12 W").set.motor_power == Interval.exactly(12)


def test_a_step_says_how_several_lamps_are_joined() -> None:
    plan = read_plan(with_steps("{change_lamp: {power: [60 W, 40 W], joined: in parallel, voltage: 120 V}}"))
    assert plan.steps[0].in_words() == "change the lamp to 60 W and 40 W in parallel"
