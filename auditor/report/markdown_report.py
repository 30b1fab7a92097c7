"""The report for a page of a wiki or a change request: CommonMark without raw HTML, safe against whatever a plan says."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from auditor.plan.fingerprint import plan_fingerprint
from auditor.plan.problems import Problem
from auditor.report.commonmark import block, code, plain, sentence
from auditor.report.notice import CAUTIONS, NOT_LOOKED_AT
from auditor.report.phrases import (
    all_together,
    counted,
    open_until_then,
    policy_in_force,
    quoted,
    verdict,
    waits,
    what_answers_decide,
)
from auditor.report.since_text import since_parts
from auditor.review.finding import Accepted, Audit, Finding, Outcome, Question
from auditor.review.questions import ranked
from auditor.review.run import Reviewed, Summary
from auditor.rulebook.policy import Policy


def report_lines(reviews: Sequence[Reviewed], summary: Summary) -> Iterator[str]:
    """The report on all plans: what they come to together, then each, and at the end what was not looked at."""
    yield from _paragraphs("# Review of power-up procedures", plain(all_together(summary)), plain(CAUTIONS))
    for policy in summary.policies:
        yield from policy_lines(policy)
    for reviewed in reviews:
        yield from _reviewed(reviewed)
    yield from _paragraphs("## What was not looked at", plain(NOT_LOOKED_AT))


def _reviewed(reviewed: Reviewed) -> Iterator[str]:
    path, audit = reviewed.path, reviewed.audit
    yield from _paragraphs(f"## {plain(reviewed.title) if reviewed.title else code(path)}")
    if audit is None:
        for problem in reviewed.problems:
            yield from _problem(problem)
        return
    yield from _paragraphs(code(path), f"**Verdict:** {sentence(verdict(audit))}", *map(sentence, audit.notes))
    told = [finding for finding in audit.findings if finding.since is None or finding.since.new]
    standing = [finding for finding in told if not waits(finding)]
    if standing:
        yield from _paragraphs("### Findings")
        for finding in standing:
            yield from _finding(finding, audit, path)
    waiting = [finding for finding in told if waits(finding)]
    if waiting:
        yield from _questions(waiting, path)
    for heading, lines in since_parts(audit, reviewed.gone or ()):
        yield from _paragraphs(f"**{sentence(heading)}**")
        yield from _list(f"{word} {plain(rest)}" for word, rest in lines)
    if audit.accepted:
        yield from _paragraphs("### Accepted risks")
        yield from _list(map(_accepted, audit.accepted))
    yield from _paragraphs("### Assumed")
    yield from _list(map(sentence, audit.assumptions))
    yield from _paragraphs(f"Fingerprint of this plan: {code(plan_fingerprint(audit.plan))}.")


def _finding(finding: Finding, audit: Audit, path: str) -> Iterator[str]:
    where = f"step {finding.step}: {plain(finding.step_words or '')}" if finding.step is not None else "whole plan"
    doubt = "" if finding.outcome is Outcome.BROKEN else " (cannot be told)"
    yield from _paragraphs(f"#### {finding.signal_word}{doubt}, {where}")
    if finding.branch:
        yield from _paragraphs(sentence(f"This is on the way out, when {finding.branch}."))
    yield from _paragraphs(sentence(finding.message))
    if finding.also:
        steps = ", ".join(map(str, finding.also))
        yield from _paragraphs(f"The same at step{'s' if len(finding.also) > 1 else ''} {steps}.")
    if finding.note:
        yield from _paragraphs(plain(finding.note))
    if finding.since and finding.since.why:
        yield from _paragraphs(plain(f"New: {finding.since.why}."))
    yield from _quoted(finding, audit)
    yield from _paragraphs(f"**Why:** {sentence(finding.because)}", f"**Instead:** {sentence(finding.remedy)}")
    if finding.write:
        yield from (*block(finding.write.splitlines(), "yaml"), "")
    place = f"{code(path)}, line {finding.place.line}, column {finding.place.column}"
    if finding.card:
        place += f" (from {plain(finding.card)})"
    yield from _paragraphs(f"**Rule:** {code(finding.rule)}. {place}. Source: {plain('; '.join(finding.sources))}.")


def _quoted(finding: Finding, audit: Audit) -> Iterator[str]:
    what = quoted(finding, audit)
    if what.lines:
        more = f", and {counted(what.more, 'more line')}" if what.more else ""
        yield from (f"Line {finding.place.line}{more}:", "", *block(what.lines, "yaml"), "")


def _questions(waiting: Sequence[Finding], path: str) -> Iterator[str]:
    """The missing facts, those first that decide most, and the rules that wait for them."""
    questions = ranked(waiting)
    yield from _paragraphs("### Questions", what_answers_decide(questions, waiting))
    yield from _list(_question(question, path) for question in questions)
    yield from _paragraphs("Open until then:")
    yield from _list(f"{word}: {', '.join(map(code, names))}" for word, names in open_until_then(waiting).items())


def _question(question: Question, path: str) -> str:
    missing = question.missing
    where = f"line {missing.place.line}" if missing.place else code(path)
    return (f"{plain(missing.asks[0].upper() + missing.asks[1:])}? It decides {counted(len(question.rules), 'rule')}. "
            f"Add to {code(missing.path.rpartition('.')[0])} ({where}): {code(missing.line)}")


def _accepted(accepted: Accepted) -> str:
    return (f"{code(accepted.finding.rule)} ({accepted.finding.signal_word}), accepted by {plain(accepted.by)} until "
            f"{accepted.until}. Reason: {plain(accepted.reason)}")


def _problem(problem: Problem) -> Iterator[str]:
    where = f", line {problem.place.line}, column {problem.place.column}" if problem.place else ""
    yield from _paragraphs(f"**Cannot be read{where}:** {sentence(problem.message)}")
    if problem.suggestion:
        yield from _paragraphs(f"Try: {sentence(problem.suggestion)}")


def policy_lines(policy: Policy) -> Iterator[str]:
    """Under which policy plans were audited, and wherever it asks for less than the rules do."""
    yield from _paragraphs(plain(policy_in_force(policy)))
    if policy.weakens:
        yield from _paragraphs("It asks for less than the rules do:")
        yield from _list(map(sentence, policy.weakens))


def _paragraphs(*texts: str) -> Iterator[str]:
    for text in texts:
        yield from (text, "")


def _list(items: Iterable[str]) -> Iterator[str]:
    yield from (f"- {item}" for item in items)
    yield ""
