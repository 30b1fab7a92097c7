"""The report for programs: one JSON document, whose schema is audit.schema.json beside this module."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path as FilePath
from typing import Any

from auditor import __version__
from auditor.plan.fingerprint import plan_fingerprint
from auditor.plan.place import show_path
from auditor.plan.problems import Problem
from auditor.report.notice import CAUTIONS, NOT_LOOKED_AT
from auditor.review.finding import Audit, Finding, Missing
from auditor.review.run import Gone, Reviewed, Summary
from auditor.rulebook.fingerprint import rule_fingerprints
from auditor.rulebook.policy import Policy
from auditor.rulebook.rule import Rulebook

SCHEMA = FilePath(__file__).with_name("audit.schema.json")


def report(reviews: Iterable[Reviewed], summary: Summary, rulebook: Rulebook) -> str:
    """All reviews and their summary as one JSON document, with the fingerprints of the rules in force."""
    document = {
        "auditor": __version__,
        "rules": rule_fingerprints(rulebook),
        "plans": [_plan(reviewed) for reviewed in reviews],
        "summary": {
            "plans": summary.plans, "unreadable": summary.unreadable, "with_findings": summary.with_findings,
            "nothing_to_review": summary.nothing_to_review, "findings": summary.findings,
            "new": summary.new, "gone": summary.gone, "policies": [policy_data(policy) for policy in summary.policies],
            "exit_status": summary.exit_status,
        },
        "notice": [NOT_LOOKED_AT, CAUTIONS],
    }
    return json.dumps(document, indent=2, ensure_ascii=False)


def _plan(reviewed: Reviewed) -> dict[str, Any]:
    audit = reviewed.audit
    return {
        "path": reviewed.path,
        "title": reviewed.title,
        "fingerprint": plan_fingerprint(audit.plan) if audit else None,
        "policy": audit.policy.file if audit and audit.policy else None,
        "verdict": audit.verdict.value if audit else None,
        "findings": [_finding(f) for f in audit.findings] if audit else [],
        "accepted": _accepted(audit) if audit else [],
        "notes": list(audit.notes) if audit else [],
        "assumptions": list(audit.assumptions) if audit else [],
        "questions": [{**_missing(q.missing), "decides": list(q.rules)} for q in audit.questions] if audit else [],
        "outcomes": {rule: outcome.value for rule, outcome in audit.outcomes.items()} if audit else {},
        "gone": None if reviewed.gone is None else [_gone(gone) for gone in reviewed.gone],
        "error": None if audit else [_problem(p) for p in reviewed.problems],
    }


def policy_data(policy: Policy) -> dict[str, Any]:
    """A policy, and wherever it asks for less than the rules do."""
    return {"file": policy.file, "title": policy.title, "files": list(policy.files), "fails_from": policy.fails_from,
            "weakens": list(policy.weakens)}


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "rule": finding.rule,
        "signal_word": finding.signal_word,
        "outcome": finding.outcome.value,
        "hazard": finding.hazard,
        "step": finding.step,
        "step_words": finding.step_words,
        "also_steps": list(finding.also),
        "branch": finding.branch,
        "item": finding.item,
        "path": show_path(finding.path),
        "line": finding.place.line,
        "column": finding.place.column,
        "card": finding.card,
        "message": finding.message,
        "because": finding.because,
        "missing": [_missing(m) for m in finding.missing],
        "remedy": {"do": finding.remedy, "write": finding.write},
        "sources": list(finding.sources),
        "note": finding.note,
        "fingerprints": list(finding.fingerprints),
        "since": {"new": finding.since.new, "why": finding.since.why} if finding.since else None,
    }


def _missing(missing: Missing) -> dict[str, Any]:
    return {"path": missing.path, "asks": missing.asks, "add": missing.line,
            "line": missing.place.line if missing.place else None}


def _accepted(audit: Audit) -> list[dict[str, Any]]:
    return [{"rule": a.finding.rule, "signal_word": a.finding.signal_word, "message": a.finding.message,
             "reason": a.reason, "by": a.by, "until": a.until, "fingerprints": list(a.finding.fingerprints)}
            for a in audit.accepted]


def _gone(gone: Gone) -> dict[str, Any]:
    return {"rule": gone.rule, "signal_word": gone.signal_word, "outcome": gone.outcome.value,
            "step_words": gone.step_words, "message": gone.message}


def _problem(problem: Problem) -> dict[str, Any]:
    place = problem.place
    return {"message": problem.message, "path": show_path(problem.path), "line": place.line if place else None,
            "column": place.column if place else None, "suggestion": problem.suggestion}
