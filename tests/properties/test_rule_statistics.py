"""How often generated plans keep each rule, break it, and leave it open: a search that never breaks a rule tests nothing.

`pytest -k statistics -s` prints the table.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from datetime import date

from hypothesis import Phase, given, settings

from auditor.plan.read import read_plan
from auditor.review.review import review_plan
from auditor.rulebook.examples import changes_of
from auditor.rulebook.load import load_rulebook
from tests.plan_text import as_text
from tests.plans import Data, plans

PLANS = 300
LEAST = 0.01
"""The share of the plans in which every outcome that a rule can have has to turn up."""
TODAY = date(2026, 11, 20)


def test_statistics_of_the_rules_over_generated_plans() -> None:
    rulebook = load_rulebook()
    seen: dict[str, Counter[str]] = defaultdict(Counter)

    @settings(max_examples=PLANS, derandomize=True, database=None, deadline=None, phases=[Phase.generate])
    @given(plans())
    def count(data: Data) -> None:
        for rule, outcome in review_plan(read_plan(as_text(data)), rulebook, TODAY).outcomes.items():
            seen[rule][outcome.value] += 1

    count()
    rare = []
    print(f"\n{'':54}{'kept':>8}{'broken':>8}{'open':>8}{'n/a':>8}")
    for rule in rulebook.rules:
        found = seen[rule.name]
        print(f"{rule.name:54}" + "".join(f"{found[o]:8}" for o in ("kept", "broken", "undetermined", "not applicable")))
        expected = {outcome for outcome, _ in changes_of(rule, rulebook)}
        rare += [f"{rule.name}: {outcome} in {found[outcome]} of {PLANS} plans"
                 for outcome in sorted(expected) if found[outcome] < LEAST * PLANS]
    assert not rare, "\n".join(rare)
