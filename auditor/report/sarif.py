"""The report as SARIF 2.1.0 (OASIS Standard, March 2020), for continuous integration.

A broken rule is a result of kind `fail`, whose level follows the signal word. A rule that cannot be told is of kind
`open`, and so of level `none` (section 3.27.10). For consumers that show levels alone there is a second form: there it is
a note that says so, and every message begins with its signal word.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from typing import Any

from auditor import __version__
from auditor.plan.files import PAGES
from auditor.plan.problems import Problem
from auditor.report.notice import CAUTIONS, NOT_LOOKED_AT
from auditor.report.sarif_places import ROOTS, Artifacts, beside, location, region, text
from auditor.review.finding import Accepted, Audit, Finding, Outcome, Verdict
from auditor.review.run import Gone, Reviewed, Summary
from auditor.rulebook.fingerprint import rule_fingerprints
from auditor.rulebook.rule import Rule, Rulebook

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
LEVELS = {"DANGER": "error", "WARNING": "error", "CAUTION": "warning", "NOTICE": "note"}
"""The level of each signal word; the word itself is a property of rule and result."""
FINGERPRINT = "beginsAt/v1"
"""Name of the partial fingerprint: where the finding begins, see review.fingerprint."""
EXIT = ("nothing counts", "something counts", "something that was asked for could not be used")


def sarif(reviews: Iterable[Reviewed], summary: Summary, rulebook: Rulebook, *, levels_only: bool = False) -> str:
    """All reviews as one SARIF log with one run. levels_only: for consumers that read neither `kind` nor `suppressions`."""
    reviews = tuple(reviews)
    artifacts = Artifacts()
    results = [result for reviewed in reviews for result in _Results(reviewed, rulebook, artifacts, levels_only)]
    # What could not be read has places too, so the files are listed only now.
    notifications = [note for reviewed in reviews for note in _notifications(reviewed, artifacts)]
    marks = rule_fingerprints(rulebook)
    run = {
        "tool": {"driver": {
            "name": "auditor",
            "fullName": "bringup-auditor",
            "version": __version__,
            "shortDescription": {"text": "Review of written power-up procedures for old mains-powered electronics."},
            "rules": [_rule(rule, marks[rule.name]) for rule in rulebook.rules],
        }},
        "invocations": [{
            "executionSuccessful": summary.exit_status != 2,
            "exitCode": summary.exit_status,
            "exitCodeDescription": EXIT[summary.exit_status],
            "toolExecutionNotifications": notifications,
        }],
        "originalUriBaseIds": ROOTS,
        "artifacts": artifacts.listed(),
        "columnKind": "unicodeCodePoints",
        "defaultEncoding": "utf-8",
        "language": "en",
        "results": results,
        "properties": {
            "notice": [NOT_LOOKED_AT, CAUTIONS],
            "policies": [{"file": policy.file, "title": policy.title, "fails_from": policy.fails_from,
                          "weakens": list(policy.weakens)} for policy in summary.policies],
        },
    }
    return json.dumps({"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}, indent=2, ensure_ascii=False)


def _rule(rule: Rule, mark: str) -> dict[str, Any]:
    words = rule.text
    sources = "; ".join(words.sources)
    said, write = f"{words.because}\n\nInstead: {words.remedy.do}", (words.remedy.write or "").strip()
    after = f"\n\nSource: {sources}\n\n{CAUTIONS}"
    plain, code = (f"\n\n{write}", f"\n\n```yaml\n{write}\n```") if write else ("", "")
    return {
        "id": rule.name,
        **({"deprecatedIds": list(words.formerly)} if words.formerly else {}),
        "shortDescription": {"text": words.requires},
        "fullDescription": {"text": words.because},
        "help": {"text": said + plain + after, "markdown": said + code + after},
        "defaultConfiguration": {"level": LEVELS[words.signal_word]},
        "properties": {"signal_word": words.signal_word, "hazard": words.hazard, "stage": words.stage, "topic": rule.topic,
                       "sources": list(words.sources), "fingerprint": mark},
    }


class _Results:
    """The results of one plan, one after the other."""

    def __init__(self, reviewed: Reviewed, rulebook: Rulebook, artifacts: Artifacts, levels_only: bool) -> None:
        self._reviewed = reviewed
        self._index = {rule.name: i for i, rule in enumerate(rulebook.rules)}
        self._artifacts = artifacts
        self._levels_only = levels_only

    def __iter__(self) -> Iterator[dict[str, Any]]:
        audit = self._reviewed.audit
        if audit is None:
            return
        for finding in audit.findings:
            yield self._finding(finding, audit, None)
        for accepted in audit.accepted:
            yield self._finding(accepted.finding, audit, accepted)
        if not self._levels_only:
            for gone in self._reviewed.gone or ():
                yield self._gone(gone)

    def _finding(self, finding: Finding, audit: Audit, accepted: Accepted | None) -> dict[str, Any]:
        path = self._reviewed.path
        page = path.endswith(tuple(PAGES))
        return {
            **self._graded(finding, accepted),
            "locations": [location(self._artifacts.location(path), region(finding.place),
                                   audit.plan.source.as_written(finding.path))],
            "relatedLocations": list(self._related(finding, audit)),
            # A page may hold several procedures, so there the title belongs to it.
            "partialFingerprints": {FINGERPRINT: finding.fingerprints[0],
                                    **({"procedure/v1": audit.plan.header.title} if page else {})},
            "suppressions": [_suppression(accepted)] if accepted else [],
            **({} if finding.since is None else {"baselineState": "new" if finding.since.new else "unchanged"}),
            "properties": _properties(finding, audit),
        }

    def _graded(self, finding: Finding, accepted: Accepted | None) -> dict[str, Any]:
        """Rule, kind, level and message."""
        rule = {"ruleId": finding.rule, "ruleIndex": self._index[finding.rule]}
        is_open = finding.outcome is Outcome.UNDETERMINED
        message = f"Step {finding.step}. {finding.message}" if finding.step is not None else finding.message
        if not self._levels_only:
            kind, level = ("open", "none") if is_open else ("fail", LEVELS[finding.signal_word])
            return {**rule, "kind": kind, "level": level, "message": text(message)}
        doubt = ", cannot be told" if is_open else ""
        taken = f" (accepted by {accepted.by} until {accepted.until}: {accepted.reason})" if accepted else ""
        level = "note" if is_open or accepted else LEVELS[finding.signal_word]
        return {**rule, "level": level, "message": text(f"{finding.signal_word}{doubt}{taken}. {message}")}

    def _related(self, finding: Finding, audit: Audit) -> Iterator[dict[str, Any]]:
        """The other steps, the line of the bench card, and where an answer belongs."""
        here, source = self._artifacts.location(self._reviewed.path), audit.plan.source
        if finding.also and finding.path[:1] == ("steps",):  # those of a way out have numbers of their own
            steps = {step.number: step for step in audit.plan.steps}
            for number in finding.also:
                if number in steps:
                    step = steps[number]
                    yield location(here, region(source.place(step.path)), source.as_written(step.path),
                                   f"The same at step {number}.")
        if finding.card is not None:
            file, _, line = finding.card.rpartition(", line ")
            yield location(self._artifacts.location(beside(self._reviewed.path, file)), {"startLine": int(line)},
                           message="The step comes from this line of the bench card.")
        for missing in finding.missing:
            if missing.place is not None:
                yield location(here, region(missing.place),
                               message=f"Not stated, and belongs here: {missing.path}. {missing.asks.capitalize()}?")

    def _gone(self, gone: Gone) -> dict[str, Any]:
        """A finding of the earlier report that is no longer there."""
        index = {"ruleIndex": self._index[gone.rule]} if gone.rule in self._index else {}
        kind, level = ("open", "none") if gone.outcome is Outcome.UNDETERMINED else ("fail", LEVELS[gone.signal_word])
        return {"ruleId": gone.rule, **index, "kind": kind, "level": level, "message": text(gone.message),
                "locations": [location(self._artifacts.location(self._reviewed.path), None)],
                "suppressions": [], "baselineState": "absent", "properties": {"signal_word": gone.signal_word}}


def _suppression(accepted: Accepted) -> dict[str, Any]:
    """A risk that the plan accepts, which stands in the plan itself."""
    return {"kind": "inSource", "status": "accepted", "justification": accepted.reason,
            "properties": {"by": accepted.by, "until": accepted.until}}


def _properties(finding: Finding, audit: Audit) -> dict[str, Any]:
    given = {
        "signal_word": finding.signal_word, "outcome": finding.outcome.value, "hazard": finding.hazard,
        "procedure": audit.plan.header.title, "step": finding.step, "step_words": finding.step_words,
        "branch": finding.branch, "item": finding.item, "note": finding.note,
        "new_because": finding.since.why if finding.since else None,
        "instead": finding.remedy, "write": finding.write,
        "missing": [{"path": m.path, "asks": m.asks, "add": m.line} for m in finding.missing] or None,
    }
    return {name: value for name, value in given.items() if value is not None}


def _notifications(reviewed: Reviewed, artifacts: Artifacts) -> Iterator[dict[str, Any]]:
    """Why a plan could not be read, that one has nothing to review, and what was taken for granted."""
    file = artifacts.location(reviewed.path)
    if reviewed.audit is not None:
        for said in (*reviewed.audit.notes, *(f"Assumed: {assumed}" for assumed in reviewed.audit.assumptions)):
            yield {"level": "note", "message": text(said), "locations": [location(file, None)]}
    if reviewed.audit is None:
        for problem in reviewed.problems:
            yield {"level": "error", "message": text(_said(problem)),
                   "locations": [location(file, region(problem.place) if problem.place else None, problem.path)]}
    elif reviewed.audit.verdict is Verdict.NOTHING_TO_REVIEW:
        yield {"level": "warning", "message": text("Nothing to review: no step of this procedure energises the set."),
               "locations": [location(file, None)]}


def _said(problem: Problem) -> str:
    return f"Cannot be read: {problem.message}" + (f" Try: {problem.suggestion}" if problem.suggestion else "")
