"""Risks that a plan accepts: which of them count, under the policy in force, and why the others do not."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from msgspec import Struct
from msgspec.structs import replace

from auditor.bench.plan_facts import DAY
from auditor.plan.chain import AcceptedRisk
from auditor.plan.nearest import nearest
from auditor.plan.plan import Plan
from auditor.plan.problems import Problem, Unreadable
from auditor.plan.values import listed
from auditor.review.finding import Accepted, Finding
from auditor.rulebook.policy import Permission, Policy
from auditor.rulebook.rule import SIGNAL_WORDS, Rule, Rulebook


class SetApart(Struct, frozen=True):
    """The findings that a plan accepts, those that stand, and what is to be said of acceptances that no finding needs."""

    accepted: tuple[Accepted, ...]
    standing: tuple[Finding, ...]
    notes: tuple[str, ...]


def check_names(plan: Plan, rulebook: Rulebook) -> None:
    """Raises Unreadable where the plan accepts the risk of a rule that does not exist, or that is not in force."""
    problems = []
    for i, risk in enumerate(plan.accepted_risks):
        path = ("accepted_risks", i, "rule")
        if risk.rule in rulebook.by_name:
            continue
        if rulebook.policy is not None and risk.rule in rulebook.policy.left_out:
            problems.append(Problem(f"the rule `{risk.rule}` is not audited under the policy {rulebook.policy.file}, so "
                                    "there is nothing to accept", path, plan.source.place(path), "take this risk out"))
        else:
            problems.append(Problem(f"no rule is called `{risk.rule}`", path, plan.source.place(path),
                                    nearest(risk.rule, tuple(rulebook.by_name))))
    if problems:
        raise Unreadable(tuple(problems))


def set_apart(findings: Sequence[Finding], plan: Plan, rulebook: Rulebook, today: date) -> SetApart:
    """The findings, told apart by whether the plan accepts them and may do so."""
    risks: dict[str, list[AcceptedRisk]] = {}
    for risk in plan.accepted_risks:
        risks.setdefault(rulebook.by_name[risk.rule].name, []).append(risk)
    accepted: list[Accepted] = []
    standing: list[Finding] = []
    for finding in findings:
        counting, why_not = _counting(risks.get(finding.rule, ()), rulebook, today)
        if counting is not None:
            accepted.append(Accepted(finding, counting.reason, counting.by, counting.until.isoformat()))
        else:
            standing.append(replace(finding, note=why_not) if why_not else finding)
    needed = {finding.rule for finding in findings}
    return SetApart(tuple(accepted), tuple(standing), tuple(
        _not_needed(name, risk, rulebook, today) for name, each in risks.items() if name not in needed for risk in each))


def why_not(risk: AcceptedRisk, rule: Rule, policy: Policy | None, today: date) -> str | None:
    """Why an accepted risk does not count, in a sentence; None where it does."""
    danger = rule.text.signal_word == "DANGER"
    permissions = policy.accepting if policy is not None else None
    if risk.until < today:
        return f"Accepted by {risk.by} until {risk.until}; that day is past."
    if risk.on is not None and risk.on > today:
        return f"Accepted by {risk.by} from {risk.on} on; that day has not come."
    if permissions is None or policy is None:
        if danger:
            return "The plan accepts this risk, but a DANGER cannot be accepted, unless a policy permits this rule by name."
        return None
    fitting = [p for p in permissions if _permits(p, rule)]
    if not fitting:
        unless = ", and a DANGER can be accepted only where it permits the rule by name" if danger else ""
        return f"The plan accepts this risk, but the policy {policy.file} does not permit that{unless}."
    theirs = [p for p in fitting if not p.who or risk.by in p.who]
    if not theirs:
        people = tuple(dict.fromkeys(name for p in fitting for name in p.who))
        return f"Accepted by {risk.by}, but by the policy {policy.file} only {listed(people)} may accept it."
    if any(_short_enough(risk, p) for p in theirs):
        return None
    longest = max(theirs, key=lambda p: p.longest or 0.0).written
    if risk.on is None:
        return (f"By the policy {policy.file} it may be accepted for {longest} at most, and the plan does not say from "
                "which day on: add `on:` with the day of acceptance.")
    return f"By the policy {policy.file} it may be accepted for {longest} at most; {risk.on} to {risk.until} is longer."


def _permits(permission: Permission, rule: Rule) -> bool:
    if rule.name in permission.rules:
        return True
    up_to = permission.up_to
    return up_to is not None and SIGNAL_WORDS.index(rule.text.signal_word) >= SIGNAL_WORDS.index(up_to)


def _short_enough(risk: AcceptedRisk, permission: Permission) -> bool:
    if permission.longest is None:
        return True
    return risk.on is not None and (risk.until - risk.on).days * DAY <= permission.longest


def _counting(risks: Iterable[AcceptedRisk], rulebook: Rulebook, today: date) -> tuple[AcceptedRisk | None, str | None]:
    """The first of these that counts; else why the first of them does not."""
    first: str | None = None
    for risk in risks:
        reason = why_not(risk, rulebook.by_name[risk.rule], rulebook.policy, today)
        if reason is None:
            return risk, None
        first = first or reason
    return None, first


def _not_needed(name: str, risk: AcceptedRisk, rulebook: Rulebook, today: date) -> str:
    said = f"The risk of `{name}` is accepted by {risk.by} until {risk.until} (reason: {risk.reason}), but was not found."
    reason = why_not(risk, rulebook.by_name[name], rulebook.policy, today)
    return f"{said} {reason}" if reason else said
