"""The report for programs: one JSON document, whose schema is audit.schema.json beside this module."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path as FilePath
from typing import Any

from auditor import __version__
from auditor.plan.place import show_path
from auditor.plan.problems import Problem
from auditor.report.notice import CAUTIONS, NOT_LOOKED_AT
from auditor.review.finding import Audit, Finding, Missing
from auditor.review.run import Reviewed, Summary

SCHEMA = FilePath(__file__).with_name("audit.schema.json")


def report(reviews: Iterable[Reviewed], summary: Summary) -> str:
    """All reviews and their summary as one JSON document."""
    document = {
        "auditor": __version__,
        "plans": [_plan(reviewed) for reviewed in reviews],
        "summary": {
            "plans": summary.plans, "unreadable": summary.unreadable, "with_findings": summary.with_findings,
            "nothing_to_review": summary.nothing_to_review, "findings": summary.findings,
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
        "verdict": audit.verdict.value if audit else None,
        "findings": [_finding(f) for f in audit.findings] if audit else [],
        "accepted": _accepted(audit) if audit else [],
        "assumptions": list(audit.assumptions) if audit else [],
        "questions": [{**_missing(q.missing), "decides": list(q.rules)} for q in audit.questions] if audit else [],
        "outcomes": {rule: outcome.value for rule, outcome in audit.outcomes.items()} if audit else {},
        "error": None if audit else [_problem(p) for p in reviewed.problems],
    }


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
    }


def _missing(missing: Missing) -> dict[str, Any]:
    return {"path": missing.path, "asks": missing.asks, "add": missing.line,
            "line": missing.place.line if missing.place else None}


def _accepted(audit: Audit) -> list[dict[str, Any]]:
    return [{"rule": a.finding.rule, "signal_word": a.finding.signal_word, "message": a.finding.message,
             "reason": a.reason, "by": a.by, "until": a.until} for a in audit.accepted]


def _problem(problem: Problem) -> dict[str, Any]:
    place = problem.place
    return {"message": problem.message, "path": show_path(problem.path), "line": place.line if place else None,
            "column": place.column if place else None, "suggestion": problem.suggestion}
