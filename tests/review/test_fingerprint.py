"""What a finding is known by, on generated plans with the shipped rules; by example in tests/report/test_since.py."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import lru_cache

from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from auditor.plan.read import read_plan
from auditor.review.finding import Audit
from auditor.review.review import review_plan
from auditor.rulebook.fingerprint import rule_fingerprints
from auditor.rulebook.load import load_rulebook
from auditor.rulebook.rule import Rulebook
from tests.plan_text import as_text, in_another_hand
from tests.plans import Data, chooser, plans

choices = st.binary(min_size=400, max_size=400).map(chooser)


@lru_cache(maxsize=1)
def shipped() -> Rulebook:
    return load_rulebook()


def reviewed(text: str) -> Audit:
    return review_plan(read_plan(text), shipped(), date(2026, 11, 20))


def marks(audit: Audit) -> list[str]:
    return [mark for finding in audit.findings for mark in finding.fingerprints]


@given(plans())
@settings(max_examples=20, phases=[Phase.generate])
def test_every_finding_has_a_fingerprint_that_no_other_of_the_plan_has(data: Data) -> None:
    audit = reviewed(as_text(data))
    assert all(finding.fingerprints for finding in audit.findings)
    shared = [(f.rule, f.item, f.step) for f in audit.findings for mark in f.fingerprints if marks(audit).count(mark) > 1]
    assert shared == []


@given(plans(), choices)
@settings(max_examples=15, phases=[Phase.generate])
def test_the_same_plan_in_another_hand_has_the_same_fingerprints(data: Data, number: Callable[[int], int]) -> None:
    assert sorted(marks(reviewed(as_text(data)))) == sorted(marks(reviewed(in_another_hand(data, number))))


NAMELESS = """\
procedure: {title: Two capacitors without a name}
set:
  power_supply: transformerless
  chassis: hot
  line_capacitors:
    - {between: line and chassis, capacitance: 47 nF, class: paper}
    - {between: line and chassis, capacitance: 100 nF, class: paper}
bench: {chain: [outlet, set]}
steps: [{plug_in: set}, {switch_on: outlet}]
"""


def test_capacitors_without_a_name_are_told_apart() -> None:
    about_both = [f for f in reviewed(NAMELESS).findings if f.item == "line and chassis, line and chassis"]
    assert about_both
    assert all(len(set(f.fingerprints)) == 2 for f in about_both)


def test_no_two_rules_share_a_fingerprint() -> None:
    found = rule_fingerprints(shipped())
    assert set(found) == {rule.name for rule in shipped().rules}
    assert len(set(found.values())) == len(found)
