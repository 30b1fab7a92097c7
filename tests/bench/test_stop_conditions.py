"""Which words of a stop condition say that smoke, or a smell, ends the attempt by itself."""

from __future__ import annotations

import pytest

from auditor.bench.facts import FACTS
from auditor.logic.truth import Truth
from auditor.plan.read import read_plan


def stops_at(sign: str, *conditions: str) -> Truth:
    """The fact `stop.SIGN` of a plan with these conditions."""
    plan = read_plan(f"procedure: {{title: A trial}}\nset: {{}}\nbench: {{chain: [set]}}\n"
                     f"stop: {{if: {list(conditions)}}}\nsteps: [{{plug_in: set}}]\n")
    found = FACTS[f"stop.{sign}"].read(plan)
    assert isinstance(found, Truth)
    return found


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
