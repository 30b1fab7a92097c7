"""What an index keeps of the review of one plan, so that a thousand reviews need not be held at once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from msgspec import Struct

from auditor.plan.fingerprint import plan_fingerprint
from auditor.plan.plan import Plan
from auditor.plan.problems import Problem
from auditor.review.finding import Audit, Outcome, Verdict
from auditor.review.run import Reviewed, Summary, summed_up


class RiskAccepted(Struct, frozen=True):
    """A risk that a plan accepts, and the last day on which it does."""

    rule: str
    signal_word: str
    by: str
    until: str


class SignedOff(Struct, frozen=True):
    """Who signed the plan off on which day, and whether what was signed is what stands there now."""

    by: str
    on: str
    unchanged: bool


class Entry(Struct, frozen=True):
    """One plan of an index.

    kind: which kind of set it is for, None where it does not say. verdict: None where the plan could not be read, and then
    problem is the first reason. findings: those that are broken, by signal word; waiting: rules that cannot be told.
    alone: the summary of this plan alone.
    """

    path: str
    title: str | None
    kind: str | None
    verdict: Verdict | None
    findings: dict[str, int]
    waiting: int
    questions: int
    accepted: tuple[RiskAccepted, ...]
    signed_off: SignedOff | None
    problem: Problem | None
    alone: Summary


def entry(reviewed: Reviewed, at_least: str | None = None) -> Entry:
    """The entry of one plan; its findings count from the signal word `at_least` up, as in `summed_up`."""
    audit, alone = reviewed.audit, summed_up([reviewed], at_least)
    if audit is None:
        return Entry(reviewed.path, reviewed.title, None, None, {}, 0, 0, (), None, reviewed.problems[0], alone)
    broken = Counter(finding.signal_word for finding in audit.findings if finding.outcome is Outcome.BROKEN)
    waiting = {finding.rule for finding in audit.findings if finding.outcome is not Outcome.BROKEN}
    return Entry(
        reviewed.path, reviewed.title, kind_of_set(audit.plan), audit.verdict, dict(broken),
        len(waiting), len(audit.questions), _accepted(audit), _signed_off(audit.plan), None, alone)


def kind_of_set(plan: Plan) -> str | None:
    """What the plan calls its set; else how that makes its supply and feeds its heaters, and whether it has a motor."""
    described = plan.set
    heaters = described.heaters.connection if described.heaters is not None else None
    said = (described.power_supply, f"{heaters} heaters" if heaters else None, "motor" if described.motor else None)
    return described.description or ", ".join(filter(None, said)) or None


def all_together(entries: Iterable[Entry]) -> Summary:
    """The summary of all plans of an index, that of their reviews."""
    entries = tuple(entries)
    alone = [each.alone for each in entries]
    findings: Counter[str] = Counter()
    for each in alone:
        findings.update(each.findings)
    return Summary(
        len(alone), sum(each.unreadable for each in alone), sum(each.with_findings for each in alone),
        sum(each.nothing_to_review for each in alone), dict(findings), max((each.exit_status for each in alone), default=2),
        policies=tuple(dict.fromkeys(policy for each in alone for policy in each.policies)))


def _accepted(audit: Audit) -> tuple[RiskAccepted, ...]:
    risks = (RiskAccepted(each.finding.rule, each.finding.signal_word, each.by, each.until) for each in audit.accepted)
    return tuple(dict.fromkeys(risks))


def _signed_off(plan: Plan) -> SignedOff | None:
    if plan.signed_off is None:
        return None
    signed = plan.signed_off
    return SignedOff(signed.by, signed.on.isoformat(), signed.fingerprint == plan_fingerprint(plan))
