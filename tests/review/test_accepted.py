"""Findings that a plan sets aside on purpose."""

from __future__ import annotations

from datetime import date

import pytest

from auditor.plan.problems import Unreadable
from auditor.review.finding import Audit, Outcome, Verdict
from auditor.review.review import counts
from tests.written import a_rule, review, spot, stands_at, with_steps

POWERED = with_steps("set_dial: 0 V", "plug_in: set", "switch_on: outlet", "switch_on: set", "set_dial: 60 V")


def reviewed(word: str = "WARNING", *, until: str = "2027-03-01", rule: str = "never-on", holds: str = "never(energised)",
             today: date = date(2026, 11, 20)) -> Audit:
    text = POWERED + f"accepted_risks:\n  - {{rule: {rule}, reason: soaked before, by: bench foreman, until: {until}}}\n"
    return review(text, a_rule("never-on", holds, word=word), a_rule("plug-out", "never(set_plugged)", word="NOTICE"),
                  today=today)


def test_an_accepted_finding_is_set_apart() -> None:
    audit = reviewed()
    assert [accepted.finding.rule for accepted in audit.accepted] == ["never-on"]
    assert [finding.rule for finding in audit.findings] == ["plug-out"]


def test_an_accepted_finding_says_why_by_whom_and_until_when() -> None:
    accepted = reviewed().accepted[0]
    assert (accepted.reason, accepted.by, accepted.until) == ("soaked before", "bench foreman", "2027-03-01")


def test_an_accepted_finding_does_not_count() -> None:
    assert not counts(reviewed(), "WARNING")


def test_an_accepted_rule_has_an_outcome_of_its_own() -> None:
    assert reviewed().outcomes["never-on"] is Outcome.ACCEPTED


def test_a_plan_whose_findings_are_all_accepted_is_not_one_without_findings() -> None:
    text = POWERED + "accepted_risks: [{rule: never-on, reason: x, by: y, until: 2027-01-01}]\n"
    assert review(text, a_rule("never-on", "never(energised)")).verdict is Verdict.FINDINGS


def test_past_its_day_the_finding_is_back() -> None:
    audit = reviewed(until="2026-11-19")
    assert audit.accepted == ()
    assert audit.findings[0].note == "Accepted by bench foreman until 2026-11-19; that day is past."
    assert counts(audit, "WARNING")


def test_on_its_last_day_an_acceptance_still_stands() -> None:
    assert reviewed(until="2026-11-20").accepted != ()


def test_an_expired_acceptance_is_as_if_it_were_not_there() -> None:
    plug_out = a_rule("plug-out", "never(set_plugged)", word="NOTICE")
    without = review(POWERED, a_rule("never-on", "never(energised)"), plug_out)
    expired = reviewed(until="2020-01-01")
    assert expired.outcomes == without.outcomes
    assert [finding.rule for finding in expired.findings] == [finding.rule for finding in without.findings]


def test_a_danger_cannot_be_accepted() -> None:
    audit = reviewed("DANGER")
    assert audit.accepted == ()
    assert "DANGER cannot be accepted" in (audit.findings[0].note or "")
    assert counts(audit, "DANGER")


def test_an_open_rule_can_be_accepted_like_a_broken_one() -> None:
    audit = reviewed(holds="set.chassis is isolated")
    assert audit.accepted[0].finding.outcome is Outcome.UNDETERMINED
    assert audit.questions == ()


def test_a_rule_that_does_not_exist_is_refused_with_the_nearest_one() -> None:
    with pytest.raises(Unreadable) as caught:
        reviewed(rule="never-onn")
    problem = caught.value.problems[0]
    assert problem.suggestion == "never-on"
    assert stands_at(problem)[0] == spot(POWERED + "accepted_risks:\n  - {rule: never-onn", "never-onn")[0]


@pytest.mark.parametrize("left_out", ["rule: never-on", "reason: x", "by: y", "until: 2027-01-01"])
def test_an_acceptance_names_rule_reason_person_and_last_day(left_out: str) -> None:
    said = ", ".join(part for part in ("rule: never-on", "reason: x", "by: y", "until: 2027-01-01") if part != left_out)
    with pytest.raises(Unreadable, match="is missing"):
        review(POWERED + f"accepted_risks: [{{{said}}}]\n")
