"""Reviewing everything that was asked for; one unreadable plan never hides the others."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from datetime import date

from msgspec import Struct
from msgspec.structs import replace

from auditor.bench.facts import FACTS
from auditor.logic.nodes import names_in
from auditor.plan.files import PlanText, plan_texts
from auditor.plan.problems import Problem, Unreadable
from auditor.review.finding import Audit, Finding, Outcome, Verdict
from auditor.review.review import counts, review_plan
from auditor.rulebook.policy import USUAL_BAR, Policy
from auditor.rulebook.rule import Rulebook

WHENEVER = frozenset({"cord_live", "energised", "stopped", "step.first_of_branch"})
"""Facts beside those of the bench that its rules may read: whether there are volts, and how a way out begins."""


CARD_ALONE = ("This is a bench card by itself, played with a bare attempt to give some set power: only the rules that speak "
              "of bench, people and stop conditions alone were looked at. Each plan that names the card is audited with it.")


class Gone(Struct, frozen=True):
    """A finding of an earlier report that is no longer there."""

    rule: str
    signal_word: str
    outcome: Outcome
    step_words: str | None
    message: str


class Reviewed(Struct, frozen=True):
    """One plan that was asked for: what the audit says of it, or why it could not be read.

    gone, was_idle: what an earlier report had that is gone, None where none was given, and whether the plan had nothing
    to review then too. policy: the one in force for it, whether or not it could be read.
    """

    path: str
    title: str | None
    audit: Audit | None
    problems: tuple[Problem, ...] = ()
    gone: tuple[Gone, ...] | None = None
    was_idle: bool = False
    policy: Policy | None = None


class Summary(Struct, frozen=True):
    """All plans together. exit_status: 2 if anything could not be used, 1 if something counts, else 0.

    new: of the findings those that an earlier report had not, None where none was given; gone: those that it had.
    policies: those under which plans were audited, or would have been if they could be read, each once.
    """

    plans: int
    unreadable: int
    with_findings: int
    nothing_to_review: int
    findings: dict[str, int]
    exit_status: int
    new: dict[str, int] | None = None
    gone: int = 0
    policies: tuple[Policy, ...] = ()


def review_file(path: str, rulebook: Rulebook, today: date, *, standard_input: bytes = b"",
                asked_by_name: bool = True) -> Iterator[Reviewed]:
    """The reviews of every plan in one file."""
    cards = rulebook.policy.cards if rulebook.policy is not None else None
    for text in plan_texts(path, standard_input, asked_by_name=asked_by_name, cards=cards):
        yield review_text(text, rulebook, today)


def review_text(text: PlanText, rulebook: Rulebook, today: date) -> Reviewed:
    """The review of one plan."""
    try:
        plan = text.read(today)
        if not text.is_card:
            return Reviewed(text.path, plan.header.title, review_plan(plan, rulebook, today), policy=rulebook.policy)
        audit = review_plan(plan, of_the_bench(rulebook), today)
        return Reviewed(text.path, plan.header.title, replace(audit, notes=(*audit.notes, CARD_ALONE)),
                        policy=rulebook.policy)
    except Unreadable as error:
        return Reviewed(text.path, None, None, error.problems, policy=rulebook.policy)


def of_the_bench(rulebook: Rulebook) -> Rulebook:
    """The rules that can be judged of a card by itself: they speak of the bench, its people and its stop rules alone."""
    return replace(rulebook, rules=tuple(
        rule for rule in rulebook.rules if all(map(_of_the_bench, names_in(rule.demand) & FACTS.keys()))))


def _of_the_bench(name: str) -> bool:
    fact = FACTS[name]
    if fact.scope == "plan":
        return name.startswith(("bench.", "mains.", "stop."))
    return name in WHENEVER or (fact.scope in ("registered", "instrument") and fact.constant)


def summed_up(reviews: Iterable[Reviewed], at_least: str | None = None) -> Summary:
    """All reviews together; findings count from the signal word `at_least` up, of those compared with an earlier
    report only the new ones. None: from the one that the policy of each plan names.

    A plan that never energises the set counts as well, unless the earlier report said so: nothing of it was reviewed.
    """
    reviews = tuple(reviews)
    audits = [r.audit for r in reviews if r.audit is not None]
    findings = [finding for audit in audits for finding in audit.findings]
    new = [finding for finding in findings if finding.since is not None and finding.since.new]
    compared = any(r.gone is not None for r in reviews)
    idle = [r for r in reviews if r.audit is not None and r.audit.verdict is Verdict.NOTHING_TO_REVIEW]
    unreadable = sum(r.audit is None for r in reviews)
    failing = any(not r.was_idle for r in idle) or any(counts(a, at_least or _bar(a)) for a in audits)
    return Summary(len(reviews), unreadable, sum(bool(a.findings) for a in audits), len(idle), _by_word(findings),
                   2 if unreadable or not reviews else 1 if failing else 0,
                   _by_word(new) if compared else None, sum(len(r.gone or ()) for r in reviews),
                   tuple(dict.fromkeys(policy for policy in map(_policy, reviews) if policy is not None)))


def _policy(reviewed: Reviewed) -> Policy | None:
    return reviewed.policy if reviewed.policy is not None else reviewed.audit.policy if reviewed.audit is not None else None


def _bar(audit: Audit) -> str:
    return audit.policy.fails_from if audit.policy is not None else USUAL_BAR


def _by_word(findings: Iterable[Finding]) -> dict[str, int]:
    return dict(Counter(finding.signal_word for finding in findings))
