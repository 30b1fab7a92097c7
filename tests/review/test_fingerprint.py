"""What a finding is known by, on generated plans with the shipped rules; by example in tests/report/test_since.py."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import lru_cache

from hypothesis import given, settings
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
@settings(max_examples=20)
def test_every_finding_has_a_fingerprint_that_no_other_of_the_plan_has(data: Data) -> None:
    audit = reviewed(as_text(data))
    assert all(finding.fingerprints for finding in audit.findings)
    assert len(set(marks(audit))) == len(marks(audit))


@given(plans(), choices)
@settings(max_examples=15)
def test_the_same_plan_in_another_hand_has_the_same_fingerprints(data: Data, number: Callable[[int], int]) -> None:
    assert marks(reviewed(as_text(data))) == marks(reviewed(in_another_hand(data, number)))


def test_no_two_rules_share_a_fingerprint() -> None:
    found = rule_fingerprints(shipped())
    assert set(found) == {rule.name for rule in shipped().rules}
    assert len(set(found.values())) == len(found)


def test_the_fingerprints_of_rules_are_the_same_in_every_run() -> None:
    assert rule_fingerprints(load_rulebook()) == rule_fingerprints(shipped())
