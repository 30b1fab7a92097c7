"""Reviewing everything that was asked for; one unreadable plan never hides the others."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from auditor.plan.files import PlanText, plan_texts
from auditor.plan.problems import Problem, Unreadable
from auditor.review.finding import Audit, Verdict
from auditor.review.review import counts, review_plan
from auditor.rulebook.rule import Rulebook


@dataclass(frozen=True)
class Reviewed:
    """One plan that was asked for: what the audit says of it, or why it could not be read."""

    path: str
    title: str | None
    audit: Audit | None
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True)
class Summary:
    """All plans together. exit_status: 2 if anything could not be used, 1 if something counts, else 0."""

    plans: int
    unreadable: int
    with_findings: int
    nothing_to_review: int
    findings: dict[str, int]
    exit_status: int


def review_file(path: str, rulebook: Rulebook, today: date, *, standard_input: bytes = b"",
                asked_by_name: bool = True) -> Iterator[Reviewed]:
    """The reviews of every plan in one file."""
    for text in plan_texts(path, standard_input, asked_by_name=asked_by_name):
        yield review_text(text, rulebook, today)


def review_text(text: PlanText, rulebook: Rulebook, today: date) -> Reviewed:
    """The review of one plan."""
    try:
        plan = text.read()
        return Reviewed(text.path, plan.header.title, review_plan(plan, rulebook, today))
    except Unreadable as error:
        return Reviewed(text.path, None, None, error.problems)


def summed_up(reviews: Iterable[Reviewed], at_least: str) -> Summary:
    """All reviews together; findings count from the signal word `at_least` up.

    A plan that never energises the set counts as well: nothing of it was reviewed.
    """
    reviews = tuple(reviews)
    audits = [r.audit for r in reviews if r.audit is not None]
    findings: dict[str, int] = {}
    for audit in audits:
        for finding in audit.findings:
            findings[finding.signal_word] = findings.get(finding.signal_word, 0) + 1
    idle = sum(a.verdict is Verdict.NOTHING_TO_REVIEW for a in audits)
    unreadable = sum(r.audit is None for r in reviews)
    failing = idle > 0 or any(counts(a, at_least) for a in audits)
    return Summary(len(reviews), unreadable, sum(bool(a.findings) for a in audits), idle, findings,
                   2 if unreadable or not reviews else 1 if failing else 0)
