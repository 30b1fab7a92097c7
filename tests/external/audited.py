"""What the rules come to on a base plan with a few changes, for the checks against published practice."""

from __future__ import annotations

import json
from copy import deepcopy
from datetime import date
from functools import cache
from typing import Any

from auditor.plan.plan import Plan
from auditor.plan.read import read_plan
from auditor.review.finding import Audit, Outcome
from auditor.review.review import review_plan
from auditor.rulebook.examples import base_plan, example
from auditor.rulebook.load import load_rulebook
from auditor.rulebook.rule import Rulebook

TODAY = date(2026, 11, 20)
Change = dict[str, Any]

WORK: Change = {"work": "replace the line capacitor", "where": "inside"}
LOOK: Change = {"inspect": "inside", "expect": "no tool or clip lead left, nothing loose", "otherwise": "stop"}
DISCHARGE: Change = {"discharge": {"each": ["C1", "C2"], "through": "10 kohm 10 W", "for": "10 s", "clip_first": "common"}}
PROVE_METER: Change = {"prove": "M1", "on": "known source", "expect": "114..126 V", "otherwise": "stop"}
PROVE_DEAD: Change = {"prove_dead": {"each": ["C1", "C2"], "below": "10 V", "instrument": "M1", "otherwise": "stop"}}


@cache
def rulebook() -> Rulebook:
    """The shipped rules."""
    return load_rulebook()


def limit(name: str) -> float:
    """A limit of the shipped rules, in SI units."""
    value = rulebook().limits[name].value
    assert value.low == value.high
    return value.low


def plan_of(change: Change) -> Plan:
    """The base plan that the change names, changed (see auditor.rulebook.examples)."""
    return read_plan(json.dumps(example(change)))


def audited(change: Change) -> Audit:
    """The audit of that plan by the shipped rules."""
    return review_plan(plan_of(change), rulebook(), TODAY)


def outcome(change: Change, rule: str) -> Outcome:
    """What one rule comes to on that plan."""
    return audited(change).outcomes[rule]


def found(change: Change) -> set[str]:
    """The rules that the plan breaks or leaves undetermined."""
    return {finding.rule for finding in audited(change).findings}


def broken(change: Change) -> set[str]:
    """The rules that the plan breaks."""
    return {finding.rule for finding in audited(change).findings if finding.outcome is Outcome.BROKEN}


def without(label: str, change: Change) -> Change:
    """The same plan with one labelled step left out."""
    left = deepcopy(change)
    left["leave_out"] = [*left.get("leave_out", []), f"steps.{label}"]
    return left


def swapped(first: str, second: str, change: Change) -> Change:
    """The same plan with two labelled steps in each other's place."""
    turned = deepcopy(change)
    steps: dict[str, Any] = {**base_plan(change.get("base", "five-tube"))["steps"], **change.get("write", {})}
    turned["write"] = {**change.get("write", {}), first: steps[second], second: steps[first]}
    return turned
