"""Which words of a stop condition give a number in time, and which say that smoke or a smell ends the attempt by itself."""

from __future__ import annotations

import pytest

from auditor.bench.fact import NO_CEILING, Value
from auditor.bench.facts import FACTS
from auditor.logic.interval import Interval
from auditor.logic.truth import Truth
from auditor.plan.read import read_plan

SET = "{rated_voltage: 117 V, B+: 90..130 V, B+_peak: 178 V}"


def fact(name: str, *conditions: str, of: str = "{}") -> Value:
    """The fact `stop.NAME` of a plan with these conditions, for a set of which this is stated."""
    plan = read_plan(f"procedure: {{title: A trial}}\nset: {of}\nbench: {{chain: [set]}}\n"
                     f"stop: {{if: {list(conditions)}}}\nsteps: [{{plug_in: set}}]\n")
    return FACTS[f"stop.{name}"].read(plan)


def stops_at(sign: str, *conditions: str) -> Truth:
    found = fact(sign, *conditions)
    assert isinstance(found, Truth)
    return found


@pytest.mark.parametrize("condition", [
    "current above 0.5 A", "set current above 500 mA", "the set current over 0.5 A", "current above 0.5 A after 30 s",
    "current above 0.5 A after 5 min", "current above 0.5 A for more than 10 s"])
def test_a_current_within_some_minutes_is_a_limit(condition: str) -> None:
    assert fact("current_above", "smoke", condition) == Interval.exactly(0.5)


@pytest.mark.parametrize("condition", [
    "current above 0.5 A after 6 min", "current above 0.5 A after 100 h", "current above 0.5 A for more than 1 day",
    "current above 0.5 A for a day", "current above 0.5 A unless the tubes are cold", "no current above 0.5 A",
    "current above 0.5 A after 1 min and smoke", "current above normal"])
def test_a_current_that_counts_late_or_waits_for_more_is_none(condition: str) -> None:
    assert fact("current_above", "smoke", condition) == Interval.exactly(NO_CEILING)


@pytest.mark.parametrize("condition", [
    "set voltage below 40 % of the dial after 1 min", "set voltage below half the dial", "set_voltage below 40% of the dial",
    "the voltage at the set stays below 35 % of what the dial shows after 30 s", "set voltage below 5 % of the dial",
    "Set voltage below 100 % of the dial", "set voltage under 50 V at full dial", "set voltage below 6 V",
    "set voltage below 117 V after 5 min", "B+ below 100 V with the set at 105 V", "B+ stays below 50 V", "HT below 50 V",
    "the B+ above 140 V", "B+ over 178 V", "B+ above 90 V", "B+ below 7 V"])
def test_a_voltage_that_a_fault_comes_to_is_a_limit(condition: str) -> None:
    assert fact("voltage_limit", "smoke", condition, of=SET) is Truth.TRUE


@pytest.mark.parametrize("condition", [
    "set voltage below 40 % of the dial after 100 h", "set voltage below 40 % of the dial after 6 min",
    "set voltage below 4 % of the dial", "set voltage below 1 % of the dial", "set voltage below 101 % of the dial",
    "set voltage below 5 V", "set voltage below 118 V", "set voltage above 1 % of the dial", "B+ above 179 V",
    "B+ above 9000 V", "B+ above 89 V", "B+ below 4 V", "B+ below 131 V", "B+ below 50 V and smoke",
    "set voltage below 40 % of the dial unless cold", "no set voltage below 40 % of the dial", "set voltage below normal"])
def test_a_voltage_that_no_fault_comes_to_or_that_counts_late_is_none(condition: str) -> None:
    assert fact("voltage_limit", "smoke", condition, of=SET) is Truth.FALSE


@pytest.mark.parametrize("condition", ["B+ above 165 V", "B+ below 5 V", "set voltage below 5.4 V"])
def test_a_voltage_that_a_fault_comes_to_only_in_part_of_the_range_stays_open(condition: str) -> None:
    set_in_ranges = "{rated_voltage: 105..117 V, B+: 90..130 V, B+_peak: 160..178 V}"
    assert fact("voltage_limit", condition, of=set_in_ranges) is Truth.UNKNOWN


@pytest.mark.parametrize("condition", ["B+ above 140 V", "B+ below 50 V", "set voltage below 50 V"])
def test_a_voltage_that_the_set_has_to_be_known_for_stays_open(condition: str) -> None:
    assert fact("voltage_limit", condition) is Truth.UNKNOWN


@pytest.mark.parametrize("condition", [
    "set voltage below 50 v", "B+ above 140 v", "current above 0.5 a", "current above 5 A after 3 x"])
def test_a_unit_that_is_none_gives_no_limit(condition: str) -> None:
    assert fact("voltage_limit", condition, of=SET) is Truth.FALSE
    assert fact("current_limit", condition) is Truth.FALSE


@pytest.mark.parametrize("condition", ["smell", "Smell", "a smell", "a smell of burning", "burning smell", "it smells",
                                       "smoke or smell", "crackling, smell", "smell stronger than that of dust"])
def test_a_condition_that_names_a_smell_stops_at_it(condition: str) -> None:
    assert stops_at("smell", "current above 1 A", condition) is Truth.TRUE


@pytest.mark.parametrize("condition", [
    "no smell", "current above 1 A and a smell", "a smell with smoke", "lamp dark, not a smell", "a smell, unless of dust",
    "only a bad smell", "current above 1 A without smell", "smells never end", "any smell except dust",
    "a smell until it is warm", "smelter", "red anode"])
def test_a_condition_that_waits_for_more_or_means_the_opposite_does_not(condition: str) -> None:
    assert stops_at("smell", "current above 1 A", condition) is Truth.FALSE


def test_each_sign_is_named_for_itself() -> None:
    assert (stops_at("smoke", "smoke"), stops_at("smell", "smoke")) == (Truth.TRUE, Truth.FALSE)
    assert (stops_at("smoke", "smell"), stops_at("smell", "smell")) == (Truth.FALSE, Truth.TRUE)
    assert (stops_at("smoke", "smoke", "smell"), stops_at("smell", "smoke", "smell")) == (Truth.TRUE, Truth.TRUE)


def test_a_plan_without_conditions_stops_at_nothing() -> None:
    assert (stops_at("smoke"), stops_at("smell")) == (Truth.FALSE, Truth.FALSE)


@pytest.mark.parametrize("condition", ["red anode", "a red plate", "an anode glows", "Anodes glow", "a plate turns red"])
def test_a_glowing_anode_is_a_sign_of_its_own(condition: str) -> None:
    assert stops_at("red_anode", condition) is Truth.TRUE


@pytest.mark.parametrize("condition", ["lamp red", "red anode and hum", "no red anode", "the anode is dark", "red"])
def test_other_words_are_not_that_sign(condition: str) -> None:
    assert stops_at("red_anode", condition) is Truth.FALSE
