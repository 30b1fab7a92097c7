"""The vocabulary of the rules: every fact says what it means, and is there because a rule uses it."""

from __future__ import annotations

import re

import pytest

from auditor.bench.facts import FACTS, ITEM_KINDS
from auditor.bench.item_facts import ITEM_FACTS
from auditor.bench.plan_facts import PLAN_FACTS
from auditor.bench.reading_facts import READING_FACTS
from auditor.bench.state_facts import STATE_FACTS
from auditor.bench.step_facts import STEP_FACTS
from auditor.logic.nodes import names_in
from auditor.rulebook.load import PLACEHOLDER, load_rulebook

EVERY_FACT = pytest.mark.parametrize("name", FACTS)
RULES = load_rulebook().rules
SPARE = {
    "set.motor": "whether there is a motor at all; the shipped rules ask whether it is connected",
    "set.filter": "whether a capacitor or a choke follows the rectifier; the shipped rules leave it to the electrical model",
    "set.heaters": "how the heaters are fed; the shipped rules leave it to the electrical model",
    "procedure.signed_off": "whether the plan was signed off; the shipped rules leave it to the shop",
    "procedure.as_signed_off": "whether it is still what was signed; every report tells, and a shop can require it",
}
"""Facts that no shipped rule uses, and why a shop may want them."""


@EVERY_FACT
def test_a_fact_has_a_meaning(name: str) -> None:
    assert len(FACTS[name].meaning.split()) >= 2
    assert not FACTS[name].meaning.endswith(".")


@EVERY_FACT
def test_a_fact_is_used_by_a_rule_or_its_message(name: str) -> None:
    assert name in SPARE or any(
        name in names_in(rule.demand) or name in PLACEHOLDER.findall(rule.text.message) for rule in RULES)


@EVERY_FACT
def test_a_fact_has_a_name_that_a_rule_can_write(name: str) -> None:
    assert re.fullmatch(r"[a-z][a-z0-9_]*(\.[a-z][a-z0-9_]*)?", name)


def test_a_spare_fact_is_one_that_no_rule_uses() -> None:
    assert set(SPARE) <= set(FACTS)
    assert not set(SPARE) & {name for rule in RULES for name in names_in(rule.demand)}


def test_no_name_is_given_to_two_facts() -> None:
    assert len(FACTS) == sum(map(len, (PLAN_FACTS, STATE_FACTS, READING_FACTS, STEP_FACTS, ITEM_FACTS)))


def test_facts_of_an_item_are_called_after_it_and_no_others_are() -> None:
    for name, fact in FACTS.items():
        assert (fact.scope in ITEM_KINDS) == (name.split(".")[0] in ITEM_KINDS)
