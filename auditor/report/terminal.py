"""The report for a person: plain lines, the most serious finding first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from auditor.plan.fingerprint import plan_fingerprint
from auditor.plan.problems import Problem
from auditor.report.notice import CAUTIONS, NOT_LOOKED_AT
from auditor.report.phrases import (
    MOST_ASKED,
    all_together,
    counted,
    open_until_then,
    quoted,
    verdict,
    waits,
    what_answers_decide,
)
from auditor.report.policy_text import policy_lines
from auditor.report.since_text import since_lines
from auditor.report.style import Style, shown
from auditor.review.finding import Audit, Finding, Outcome, Question
from auditor.review.questions import ranked
from auditor.review.run import Reviewed, Summary


def report_lines(reviews: Iterable[Reviewed], summary: Summary, style: Style) -> Iterator[str]:
    """The report on all plans. What is assumed of several plans alike is told at the first of them."""
    told: dict[tuple[str, ...], str] = {}
    for reviewed in reviews:
        assumed = reviewed.audit.assumptions if reviewed.audit is not None else ()
        first = told.setdefault(assumed, reviewed.path) if assumed else reviewed.path
        yield from reviewed_lines(reviewed, style, as_for=first if first != reviewed.path else None)
    yield from summary_lines(summary, style)


def reviewed_lines(reviewed: Reviewed, style: Style, as_for: str | None = None) -> Iterator[str]:
    """The report on one plan. as_for: the file of a plan of which the same is assumed, and was told."""
    title = f": {shown(reviewed.title)}" if reviewed.title else ""
    yield style.strong(style.wrapped(f"{reviewed.path}{title}"))
    yield ""
    audit = reviewed.audit
    if audit is None:
        for problem in reviewed.problems:
            yield from problem_lines(problem, reviewed.path, style)
        yield ""
        return
    told = [finding for finding in audit.findings if finding.since is None or finding.since.new]
    for finding in told:
        if not waits(finding):
            yield from _finding(finding, audit, reviewed.path, style)
            yield ""
    waiting = [finding for finding in told if waits(finding)]
    if waiting:
        yield from _questions(waiting, reviewed.path, style)
        yield ""
    if reviewed.gone is not None:
        yield from since_lines(audit, reviewed.gone, style)
    for accepted in audit.accepted:
        yield style.wrapped(f"Accepted by {accepted.by} until {accepted.until}: {accepted.finding.rule} "
                            f"({accepted.finding.signal_word}). Reason: {accepted.reason}")
        yield ""
    for note in audit.notes:
        yield style.wrapped(note)
        yield ""
    yield style.wrapped(verdict(audit), first="Verdict: ", rest="  ")
    yield style.faint(f"  Fingerprint: {plan_fingerprint(audit.plan)}")
    for assumption in audit.assumptions if as_for is None else (f"The same as for {shown(as_for)}.",):
        yield style.faint(style.wrapped(assumption, first="  Assumed: ", rest="    "))
    yield ""


def _finding(finding: Finding, audit: Audit, path: str, style: Style) -> Iterator[str]:
    where = f", step {finding.step}: {shown(finding.step_words or '')}" if finding.step is not None else ", whole plan"
    doubt = "" if finding.outcome is Outcome.BROKEN else " (cannot be told)"
    head = style.wrapped(f"{finding.signal_word}{doubt}{where}", rest="  ")
    yield head.replace(finding.signal_word, style.signal(finding.signal_word, finding.signal_word), 1)
    if finding.branch:
        yield style.wrapped(f"This is on the way out, when {finding.branch}.", first="  ")
    yield style.wrapped(finding.message, first="  ")
    if finding.also:
        steps = ", ".join(map(str, finding.also))
        yield style.wrapped(f"The same at step{'s' if len(finding.also) > 1 else ''} {steps}.", first="  ")
    if finding.note:
        yield style.wrapped(finding.note, first="  ")
    if finding.since and finding.since.why:
        yield style.wrapped(f"New: {finding.since.why}.", first="  ")
    yield from _quoted(finding, audit, style)
    yield style.wrapped(finding.because, first="  Why: ", rest="    ")
    yield style.wrapped(finding.remedy, first="  Instead: ", rest="    ")
    for line in (finding.write or "").splitlines():
        yield f"      {shown(line)}"
    place = f"{path}, line {finding.place.line}, column {finding.place.column}"
    if finding.card:
        place += f" (from {finding.card})"
    sources = "; ".join(finding.sources)
    yield style.faint(style.wrapped(f"{finding.rule}. {place}. Source: {sources}.", first="  Rule: ", rest="    "))


def _quoted(finding: Finding, audit: Audit, style: Style) -> Iterator[str]:
    what = quoted(finding, audit)
    for count, line in enumerate(what.lines):
        first = f"  Line {finding.place.line + count}: "
        text = shown(line)
        room = max(20, style.width - len(first))
        yield style.faint(first) + (text if len(text) <= room else text[: room - 3] + "...")
    if what.more:
        yield style.faint(f"  and {counted(what.more, 'more line')}")


def _questions(waiting: list[Finding], path: str, style: Style) -> Iterator[str]:
    """The missing facts, those first that decide most, and the rules that wait for them."""
    questions = ranked(waiting)
    yield style.strong(style.wrapped(what_answers_decide(questions, waiting)))
    for number, question in enumerate(questions[:MOST_ASKED], start=1):
        yield from _question(number, question, path, style)
    later = [question.missing.path for question in questions[MOST_ASKED:]]
    if later:
        yield style.wrapped(f"Then: {', '.join(later)}.", first="  ", rest="    ")
    for word, rules in open_until_then(waiting).items():
        line = style.wrapped(f"Open until then, {word}: {', '.join(rules)}.", first="  ", rest="    ")
        yield line.replace(word, style.signal(word, word), 1)


def _question(number: int, question: Question, path: str, style: Style) -> Iterator[str]:
    missing = question.missing
    asks = f"{missing.asks[0].upper()}{missing.asks[1:]}?"
    where = f"line {missing.place.line}" if missing.place else path
    yield style.wrapped(f"{asks} It decides {counted(len(question.rules), 'rule')}. "
                        f"Add to {missing.path.rpartition('.')[0]} ({where}):", first=f"  {number}. ", rest="     ")
    yield f"         {missing.line}"


def problem_lines(problem: Problem, path: str, style: Style) -> Iterator[str]:
    """Why a text cannot be read, where, and what to write instead."""
    where = f", line {problem.place.line}, column {problem.place.column}" if problem.place else ""
    yield style.wrapped(f"Cannot be read{where}: {problem.message}", first="  ", rest="    ")
    if problem.suggestion:
        yield style.wrapped(f"Try: {problem.suggestion}", first="    ", rest="      ")


def summary_lines(summary: Summary, style: Style) -> Iterator[str]:
    """The last lines of a report: all plans together, and the cautions."""
    yield style.strong(style.wrapped(all_together(summary)))
    for policy in summary.policies:
        yield from policy_lines(policy, style)
    yield style.wrapped(NOT_LOOKED_AT)
    yield style.wrapped(CAUTIONS)
