"""The audit of one plan: every rule judged, its failures told as findings, accepted risks set apart."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from auditor.bench.assumptions import assumptions
from auditor.bench.circuit import energised
from auditor.bench.facts import Replayed, replayed
from auditor.logic.truth import Truth
from auditor.plan.plan import Plan
from auditor.review.accepted import check_names, set_apart
from auditor.review.finding import Audit, Finding, Outcome, Verdict
from auditor.review.judge import Case, Judgement, judge
from auditor.review.message import findings as findings_of
from auditor.review.questions import ranked
from auditor.review.sign_off import signed_off
from auditor.rulebook.rule import SIGNAL_WORDS, Rulebook

WORST_FIRST = (Outcome.BROKEN, Outcome.UNDETERMINED, Outcome.KEPT, Outcome.NOT_APPLICABLE)


def review_plan(plan: Plan, rulebook: Rulebook, today: date) -> Audit:
    """Review a plan. `today` decides which accepted risks still stand.

    Raises Unreadable where an accepted risk names a rule that does not exist.
    """
    check_names(plan, rulebook)
    if not plan.steps:
        return Audit(plan, Verdict.NOTHING_TO_REVIEW, (), (), assumptions(plan), (), {}, rulebook.policy,
                     (*signed_off(plan), *rulebook.notes))
    return review_replayed(replayed(plan), rulebook, today)


def review_replayed(replayed: Replayed, rulebook: Rulebook, today: date) -> Audit:
    """Review a plan that has been replayed."""
    plan = replayed.trace.plan
    case = Case(replayed, rulebook)
    judgements = [judgement for rule in rulebook.rules for judgement in judge(rule, case)]
    failed = [j for j in judgements if j.outcome in (Outcome.BROKEN, Outcome.UNDETERMINED)]
    apart = set_apart(sorted(findings_of(failed, case), key=_seriousness), plan, rulebook, today)
    accepted, findings = apart.accepted, apart.standing
    outcomes = {rule.name: Outcome.NOT_APPLICABLE for rule in rulebook.rules} | _outcomes(judgements)
    standing = {finding.rule for finding in findings}
    outcomes.update({a.finding.rule: Outcome.ACCEPTED for a in accepted if a.finding.rule not in standing})
    powered = any(energised(plan, sample.state) is not Truth.FALSE for sample in replayed.trace.main)
    verdict = (Verdict.NOTHING_TO_REVIEW if not powered
               else Verdict.FINDINGS if findings or accepted else Verdict.NOTHING_FOUND)
    return Audit(plan, verdict, findings, accepted, assumptions(plan), ranked(findings), outcomes, rulebook.policy,
                 (*signed_off(plan), *rulebook.notes, *apart.notes))


def counts(audit: Audit, at_least: str) -> bool:
    """Whether the audit has a finding at or above this signal word that no earlier report had."""
    bar = SIGNAL_WORDS.index(at_least)
    return any(SIGNAL_WORDS.index(f.signal_word) <= bar and (f.since is None or f.since.new) for f in audit.findings)


def _seriousness(finding: Finding) -> tuple[int, int, int, int]:
    return (SIGNAL_WORDS.index(finding.signal_word), WORST_FIRST.index(finding.outcome),
            finding.step if finding.step is not None else 0, finding.place.line)


def _outcomes(judgements: Iterable[Judgement]) -> dict[str, Outcome]:
    """For every rule the worst of what it comes to for its items."""
    worst: dict[str, Outcome] = {}
    for j in judgements:
        was = worst.setdefault(j.rule.name, j.outcome)
        if was is not j.outcome:
            worst[j.rule.name] = min(was, j.outcome, key=WORST_FIRST.index)
    return worst
