"""What holds of every plan under a policy that tightens a limit: no finding is taken away."""

from __future__ import annotations

from functools import lru_cache

from hypothesis import given, note, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from auditor.bench.facts import Replayed, replayed
from auditor.logic.interval import Interval
from auditor.logic.nodes import names_in
from auditor.plan.read import read_plan
from auditor.review.finding import Outcome
from auditor.review.judge import Case, judge
from auditor.review.review import WORST_FIRST
from auditor.rulebook.load import load_rulebook
from auditor.rulebook.rule import Rule, Rulebook
from tests.plan_text import as_text
from tests.plans import Data, plans

FAILED = (Outcome.BROKEN, Outcome.UNDETERMINED)


@lru_cache(maxsize=1)
def shipped() -> Rulebook:
    return load_rulebook()


def with_limit(name: str, share: float) -> Rulebook:
    """The shipped rules with one limit moved to its stricter side by a share of itself."""
    limit = shipped().limits[name]
    value = limit.value.low * (1 - share if limit.stricter == "lower" else 1 + share)
    return replace(shipped(), limits={**shipped().limits, name: replace(limit, value=Interval.exactly(value), was=limit)})


def outcome(rule: Rule, plan: Replayed, rulebook: Rulebook) -> Outcome:
    return min((judgement.outcome for judgement in judge(rule, Case(plan, rulebook))), key=WORST_FIRST.index,
               default=Outcome.NOT_APPLICABLE)


@given(plans(), st.data())
@settings(max_examples=40)
def test_a_tighter_limit_takes_no_finding_away(data: Data, choose: st.DataObject) -> None:
    """The rule stays unkept, or another at least as serious speaks in its place."""
    plan = replayed(read_plan(as_text(data)))
    name = choose.draw(st.sampled_from(sorted(shipped().limits)))
    tighter = with_limit(name, choose.draw(st.sampled_from((0.02, 0.1, 0.5))))
    users = [rule for rule in shipped().rules if f"limit.{name}" in names_in(rule.demand)]
    for rule in users:
        if outcome(rule, plan, shipped()) in FAILED and outcome(rule, plan, tighter) not in FAILED:
            note(f"{name}: {rule.name}")
            assert any(outcome(other, plan, tighter) in FAILED for other in shipped().rules
                       if other is not rule and other.seriousness <= rule.seriousness)
