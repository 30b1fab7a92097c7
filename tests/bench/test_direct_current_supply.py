"""A supply of direct current in the chain: it has the dial, isolates where the plan says so, and what it gives is known."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest

from auditor.bench import circuit
from auditor.bench.facts import replayed
from auditor.logic.interval import Interval
from auditor.logic.truth import Truth
from auditor.plan.plan import Plan
from auditor.plan.problems import Unreadable
from auditor.plan.read import read_plan
from tests.plan_text import as_text

PLAN: dict[str, Any] = {
    "procedure": {"title": "A set for direct current"},
    "mains": {"voltage": "120 V"},
    "bench": {"chain": [{"outlet": {"switch": "ordinary"}}, {"direct_current_supply": {
        "output": "0..250 V", "rated_current": "1 A", "fuse": "1 A", "isolated": "yes"}}, "set"]},
    "steps": [{"plug_in": "set"}, {"switch_on": "outlet"}, {"set_dial": "100 V"}],
}


def plan_with(*steps: Any, **supply: str) -> Plan:
    data = deepcopy(PLAN)
    data["bench"]["chain"][1]["direct_current_supply"].update(supply)
    data["steps"] += steps
    return read_plan(as_text(data))


def test_what_it_gives_is_its_dial_moved_with_the_wall() -> None:
    plan = plan_with()
    last = replayed(plan).trace.main[-1].state
    assert circuit.dial_output(plan, last) == Interval(100 * 114 / 120, 100 * 126 / 120)


def test_the_cord_is_dead_while_its_dial_is_at_zero() -> None:
    plan = plan_with({"set_dial": "0 V"})
    assert circuit.cord_live(plan, replayed(plan).trace.main[-1].state) is Truth.FALSE


@pytest.mark.parametrize(("stated", "isolates"), [("yes", Truth.TRUE), ("no", Truth.FALSE), ("unknown", Truth.UNKNOWN)])
def test_it_isolates_where_the_plan_says_so(stated: str, isolates: Truth) -> None:
    assert circuit.isolated(plan_with(isolated=stated)) is isolates


def test_the_set_gets_direct_current_whatever_the_mains_are() -> None:
    plan = plan_with()
    facts = replayed(plan)
    assert facts.value("bench.gives", None, facts.trace.main[0]) == "direct current"
    assert facts.value("mains.kind", None, facts.trace.main[0]) == "alternating current"


def test_its_dial_ends_where_its_scale_ends() -> None:
    beyond = plan_with({"set_dial": "260 V"})
    facts = replayed(beyond)
    assert facts.value("step.impossible", None, facts.trace.main[-1]) is Truth.TRUE


def test_there_is_one_of_it_in_a_chain() -> None:
    data = deepcopy(PLAN)
    data["bench"]["chain"].insert(1, "direct_current_supply")
    with pytest.raises(Unreadable) as refused:
        read_plan(as_text(data))
    assert "a second `direct_current_supply`" in refused.value.problems[0].message
