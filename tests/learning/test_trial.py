"""What the model tells of a safeguard and of a hazard."""

from __future__ import annotations

import json

import pytest

from auditor.learning.figures import example_plan
from auditor.learning.lessons import load_lessons
from auditor.learning.taken_out import TAKEN_OUT
from auditor.learning.topic import Played, Safeguard
from auditor.learning.trial import Tried, ends_in, faults_leading_to, rules_by_stage, tried
from auditor.plan.plan import Plan
from auditor.rulebook.load import load_rulebook
from auditor.rulebook.rule import HAZARDS, STAGES
from auditor.whatif.catalogue import load_catalogue
from tests.whatif.tried import LAMP, METERS, UP, a_plan


def the_trial(name: str) -> Tried:
    safeguard = load_lessons().called(name)[0]
    assert isinstance(safeguard, Safeguard)
    assert safeguard.played is not None
    return tried(safeguard.played)


def test_the_lamp_alone_contains_a_dead_short_and_neither_a_touch_nor_a_soft_fault() -> None:
    alone = the_trial("limiter").alone
    assert alone is not None
    assert "short-in-the-cord" in {fault.fault for fault in alone.contains}
    through = {fault.fault: harm.hazard for fault, harm in alone.lets_through}
    assert through["cord-perished"] == "electric shock"
    assert through["b-plus-line-partly-shorted"] == "fire"


def test_a_residual_current_device_makes_a_touch_less_grave_and_prevents_no_fire() -> None:
    trial = the_trial("residual current device")
    assert trial.alone is not None
    assert "cord-perished" in {fault.fault for fault, _ in trial.alone.lessens}
    assert "fire" in {harm.hazard for _, harm in trial.alone.lets_through}
    assert trial.without is not None
    assert {harm.hazard for _, harm in trial.without} == {"electric shock"}


def test_nothing_is_tried_that_is_not_asked_for() -> None:
    trial = tried(Played(plan_says="nothing"))
    assert (trial.alone, trial.without) == (None, None)


def test_of_every_plan_that_safeguards_are_tried_on_something_is_really_taken_out() -> None:
    for safeguard in load_lessons().safeguards:
        if safeguard.played is not None and safeguard.played.taken_out is not None:
            plan = example_plan(json.dumps(safeguard.played.plan))
            assert TAKEN_OUT[safeguard.played.taken_out](plan) != plan, safeguard.safeguard


def everything() -> Plan:
    chain = ({"outlet": {"switch": "ordinary", "fuse": "10 A"}}, {"residual_current_device": {"trips_at": "6 mA"}},
             {"isolating_transformer": {"rated_power": "300 W"}}, {"autotransformer": {"output": "0..140 V", "fuse": "3 A"}},
             LAMP, *METERS[2:])
    return a_plan("{inspect: cord, expect: whole, otherwise: stop}", *UP, chain=chain, stop=["smoke"])


@pytest.mark.parametrize(("what", "kind"), [
    ("the limiter", "limiter"), ("the isolating transformer", "isolating_transformer"),
    ("the residual current device", "residual_current_device"), ("the meters of the chain", "voltmeter")])
def test_an_element_is_taken_out_and_all_others_stay(what: str, kind: str) -> None:
    plan = everything()
    without = TAKEN_OUT[what](plan)
    assert plan.has(kind)
    assert not without.has(kind)
    assert without.has("set")
    assert without.steps == plan.steps


def test_every_fuse_is_taken_out_together() -> None:
    without = TAKEN_OUT["every fuse"](everything())
    assert (without.record("outlet").fuse, without.record("autotransformer").fuse) == (None, None)
    assert without.set.fuse is not None
    assert not without.set.fuse.fitted


def test_the_rules_of_a_hazard_stand_in_the_order_of_the_work() -> None:
    for hazard in HAZARDS:
        staged = rules_by_stage(hazard, load_rulebook())
        assert [stage for stage, _ in staged] == [stage for stage in STAGES if stage in dict(staged)]
        assert {rule.text.hazard for _, rules in staged for rule in rules} == {hazard}


def test_every_rule_stands_under_its_hazard_once() -> None:
    rulebook = load_rulebook()
    told = [rule.name for hazard in HAZARDS for _, rules in rules_by_stage(hazard, rulebook) for rule in rules]
    assert sorted(told) == sorted(rule.name for rule in rulebook.rules)


@pytest.mark.parametrize(("fault", "hazards"), [
    ("cord-perished", {"electric shock"}), ("short-in-the-cord", {"fire"}), ("filter-capacitor-reversed", {"burst"}),
    ("damp-or-dirt-tracks", {"electric shock", "fire"})])
def test_a_fault_leads_to_what_its_part_ends_in_and_to_a_shock_where_a_hand_meets_it(fault: str, hazards: set[str]) -> None:
    (entry,) = (entry for entry in load_catalogue() if entry.fault.fault == fault)
    assert ends_in(entry.fault, load_rulebook()) == hazards


def test_whoever_asks_for_a_fire_is_told_of_the_short_in_the_cord() -> None:
    named = [fault.fault for fault in faults_leading_to("fire", load_rulebook(), load_catalogue())]
    assert "short-in-the-cord" in named
    assert "cord-perished" not in named
