"""Every property that a rule reads and a plan can leave out has a question, and a line that a plan may have."""

from __future__ import annotations

import json
from copy import deepcopy
from typing import Any

import pytest

from auditor.bench.facts import FACTS
from auditor.bench.item_facts import LISTS
from auditor.logic.nodes import names_in
from auditor.plan.read import read_plan
from auditor.plan.yaml_text import parse_yaml
from auditor.review.questions import LINES
from auditor.rulebook.examples import example
from tests.rules.played import RULEBOOK

READ = {name for rule in RULEBOOK.rules for name in names_in(rule.demand) if name in FACTS}
ASKED = sorted({ask for name in READ for ask in FACTS[name].asks}
               | {LISTS[rule.text.for_each][1] for rule in RULEBOOK.rules if rule.text.for_each})

WHERE_IT_IS_ASKED: dict[str, dict[str, Any]] = {
    "set.motor_power": {"set.motor": "yes"},
    "bench.chain.limiter.lamp.joined": {"bench.chain.limiter.lamp.power": ["25 W", "15 W"]},
}
"""What a plan states in which such a line is missing; any other plan for the rest."""


@pytest.mark.parametrize("ask", ASKED)
def test_there_is_a_question_and_a_line(ask: str) -> None:
    question, line = LINES[ask]
    assert question[0].islower()
    assert not question.endswith("?")
    assert line.startswith(f"{ask.split('.')[-1]}: ")


@pytest.mark.parametrize("ask", ASKED)
def test_a_plan_with_that_line_is_accepted_and_states_it(ask: str) -> None:
    plan: dict[str, Any] = deepcopy(example({"state": WHERE_IT_IS_ASKED.get(ask, {})}))
    owner = _owner(plan, ask.split(".")[:-1])
    owner.update(parse_yaml(LINES[ask][1]).data)
    assert read_plan(json.dumps(plan, default=str)).steps


@pytest.mark.parametrize("ask", LINES)
def test_no_line_asks_for_what_no_fact_needs(ask: str) -> None:
    assert ask in {asks for fact in FACTS.values() for asks in fact.asks} | {line for _, line in LISTS.values()}


def _owner(plan: dict[str, Any], parts: list[str]) -> dict[str, Any]:
    """The mapping of the plan that the line belongs into: an element of the chain by its kind, the first of a list.

    A supply of direct current, which the base plan does not have, is put in place of its autotransformer.
    """
    here: Any = plan
    if "direct_current_supply" in parts:
        here["bench"]["chain"][2] = {"direct_current_supply": {}}
    for part in parts:
        if isinstance(here, list):
            i = next(i for i, element in enumerate(here) if element == part or part in element)
            here[i] = here[i] if isinstance(here[i], dict) else {part: {}}
            here = here[i][part]
        else:
            here = here[part[:-2]][0] if part.endswith("[]") else here[part]
    assert isinstance(here, dict)
    return here
